"""Colours from photographs: sampling them, correcting them, and how far to trust them."""
