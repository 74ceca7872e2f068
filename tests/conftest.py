"""One hypothesis profile for everybody: the same examples on every machine, no clock."""

from hypothesis import HealthCheck, settings

settings.register_profile(
    "wetside", derandomize=True, deadline=None, max_examples=100, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("wetside")
