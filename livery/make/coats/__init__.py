"""Everything that is sprayed: the coats, their order, masks and tape.

Begin with :mod:`~livery.make.coats.panel_coats`, then :mod:`~livery.make.coats.coat_schedule`.
"""
