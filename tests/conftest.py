"""How properties are tested: without a clock, and with the same draws where a landing hangs on them."""

import os

from hypothesis import HealthCheck, settings

settings.register_profile(
    "steady",
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=os.environ.get("CI") == "true",
    print_blob=True,
)
settings.load_profile("steady")

pytest_plugins = ["databases"]
