"""One profile for every property test: the same examples each time, no clock and no cache."""

from __future__ import annotations

import os

from hypothesis import settings

# Everything is worked out anew, unless a test is about the cache.
os.environ["LIVERY_CACHE"] = "off"

settings.register_profile("livery", derandomize=True, deadline=None)
settings.load_profile("livery")
