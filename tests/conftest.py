"""How properties are tested: without a clock, and with the same draws where a landing hangs on them."""

import os

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile(
    "steady",
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=os.environ.get("CI") == "true",
    print_blob=True,
)
settings.load_profile("steady")

# As the command line does. The tests run side by side already: more threads for small matrices wait for one
# another, and a fit of a tenth of a second takes four. Said before NumPy is imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

pytest_plugins = ["databases", "engines", "hurried_passwords", "worked_out_once"]


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave the slow proofs out, unless they are asked for by their mark."""
    if "nightly" in (config.getoption("-m") or ""):
        return
    slow = [item for item in items if item.get_closest_marker("nightly")]
    config.hook.pytest_deselected(items=slow)
    items[:] = [item for item in items if not item.get_closest_marker("nightly")]
