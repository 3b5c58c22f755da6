"""Mixing of paint: what a mixture of tints will look like, and which mixture gives a colour.

``kubelka_munk`` and ``saunderson`` hold the optics, ``drawdowns`` and ``shelf``
read what was measured, ``calibrate`` turns it into a ``model``, ``recipe`` and
``batch`` look for mixtures with it.
"""
