"""Passwords at a lower cost: hundreds of accounts are made and signed in to here, and guard nothing.

What a password costs who guesses hangs on numbers that are part of its secret, so what is kept at the lower
cost is checked as ever. That the product itself asks for the full cost is held in
``tests/workflows/laboratory/access/test_passwords.py``.
"""

import functools
from collections.abc import Iterator

import argon2
import pytest


@pytest.fixture(scope="session", autouse=True)
def passwords_at_a_lower_cost(pytestconfig: pytest.Config) -> Iterator[None]:
    """Hash with 1 MiB once; at full cost where the nightly proofs are run."""
    if "nightly" in (pytestconfig.getoption("-m") or ""):
        yield
        return
    with pytest.MonkeyPatch.context() as patch:
        cheap = functools.partial(argon2.PasswordHasher, time_cost=1, memory_cost=1024, parallelism=1)
        patch.setattr(argon2, "PasswordHasher", cheap)
        yield
