"""Settings for all tests."""

from __future__ import annotations

from hypothesis import settings

# a test asserts no time, so that a busy machine fails none
settings.register_profile("energymodel", deadline=None)
settings.load_profile("energymodel")
