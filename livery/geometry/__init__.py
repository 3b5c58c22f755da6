"""Plane outlines of straight lines, circular arcs and cubics, and what is done with them."""
