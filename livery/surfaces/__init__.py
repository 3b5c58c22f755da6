"""Sheets that are not flat, laid out flat: bent, rolled, coned and doubly curved ones.

What is developed is the face the livery is put on, since paint and film lie on the
metal and not in it.  The blank that the metal itself is cut from is a different
size and is developed along the neutral line; each part here gives both.
"""
