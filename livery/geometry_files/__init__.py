"""Outlines read from drawing files."""
