"""What holds for every test."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

# A landing must not hang on luck: continuous integration tries the same examples every time, and whoever works
# on a parser lets chance look further. A loaded machine is slow, which is no fault of the code under test.
settings.register_profile("ci", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("work", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("ci" if os.environ.get("CI") else "work")
