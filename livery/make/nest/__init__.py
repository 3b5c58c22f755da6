"""Pieces packed on a sheet, close and clear of each other: it knows shapes, not what they are for.

Begin with :mod:`~livery.make.nest.packing`.
"""
