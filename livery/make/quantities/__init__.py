"""How much of everything a job takes, and what to buy.

Begin with :mod:`~livery.make.quantities.job_quantities`.
"""
