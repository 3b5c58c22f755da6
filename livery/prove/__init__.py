"""The proof: the written files alone, followed in a simulated raster and held against the elevation."""
