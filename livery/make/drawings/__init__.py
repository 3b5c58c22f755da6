"""Drawings of the work itself, true to size: elevations, artwork, templates, stencils, plates."""
