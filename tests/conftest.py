"""Settings for all tests: deterministic property tests, and Qt without a screen."""

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from hypothesis import HealthCheck, settings

settings.register_profile(
    "ci", derandomize=True, deadline=None, max_examples=100, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile(
    "long", derandomize=True, deadline=None, max_examples=5000, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile(os.environ.get("CORESTOW_HYPOTHESIS", "ci"))
