"""The finest work each process can hold.

Begin with :mod:`~livery.make.limits.enforce`, which holds every piece of a layout to them.
"""
