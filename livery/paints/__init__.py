"""Each paint of a job: its colour, its nature, its recipe, and what its test cards have shown.

Begin with :mod:`~livery.paints.paint_colours`; the rest adds to what that settles once for a job.
"""
