"""Pages to print and read at the bench.

:mod:`~livery.make.sheets.papers` writes most of them, out of one :class:`~livery.make.making.Making`.
"""
