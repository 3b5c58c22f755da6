"""Everything that is printed to be transferred: artwork in spot colours, page by page."""
