"""Livery: from drawing and photograph to finished paint on metal.

One TOML description is read, laid out on the panels as built, turned into cut
sheets, masks and templates, and written.  The pipeline runs one way only:
``describe -> layout -> make -> write``.
"""

__version__ = "0.1.0"
