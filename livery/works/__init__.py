"""The plan of the whole works: sessions, days, papers and shopping, over every panel and vehicle.

Begin with :mod:`~livery.works.job_steps`, then :mod:`~livery.works.schedule`.
"""
