"""What holds for every test."""

from __future__ import annotations

import os
import signal

from hypothesis import HealthCheck, settings

# A landing must not hang on luck: continuous integration tries the same examples every time, and whoever works
# on a parser lets chance look further. A loaded machine is slow, which is no fault of the code under test.
settings.register_profile("ci", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("work", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("ci" if os.environ.get("CI") else "work")

# A shell that starts the tests in the background has them ignore Ctrl+C, and every program that they start would too.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)
