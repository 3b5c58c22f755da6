"""Outlines read out of drawing files that others made."""
