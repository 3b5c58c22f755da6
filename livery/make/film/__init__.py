"""Everything that is cut in film: the parts, the sheets they lie on, the path of the knife.

Begin with :mod:`~livery.make.film.cut_parts`, then :mod:`~livery.make.film.film_sheets`.
"""
