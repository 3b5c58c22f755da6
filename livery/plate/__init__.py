"""Number, builder's and name plates: artwork, limits, pattern allowances and the pattern itself."""
