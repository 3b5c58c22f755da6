"""Alphabets the project draws: letters built from strokes, spaced by eye, compiled to fonts."""
