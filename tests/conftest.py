"""One profile for every property test: the same examples each time, and no clock."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("livery", derandomize=True, deadline=None)
settings.load_profile("livery")
