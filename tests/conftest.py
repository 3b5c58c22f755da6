"""One profile for every property test: the same examples each time, no clock and no cache."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

# Everything is worked out anew, unless a test is about the cache.
os.environ["LIVERY_CACHE"] = "off"

# No test asserts a time: a busy machine fails none of them.
settings.register_profile(
    "livery",
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("livery")
