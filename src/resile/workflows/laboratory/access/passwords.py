"""Passwords: what one must be, and checking it without using all memory at once (Argon2id)."""

from __future__ import annotations

import threading
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from resile.errors import InputError

_AT_ONCE = threading.BoundedSemaphore(2)
"""One check takes 64 MiB: more than two at a time would let strangers fill the memory by guessing."""


@dataclass(frozen=True, slots=True)
class SignInRule:
    """How signing in is guarded; see ``sign_in.toml``.

    Attributes
    ----------
    shortest_password, longest_password, fewest_different_signs : int
        What a password must be.
    session_hours : int
        A session ends so long after signing in [h].
    invitation_hours : int
        An invitation to choose a password holds so long [h].
    window_minutes : int
        Failed attempts count for so long [min].
    failed_attempts : dict of str to int
        How many may fail in that time: of one account from one place, of one account, from one place.
    """

    shortest_password: int
    longest_password: int
    fewest_different_signs: int
    session_hours: int
    invitation_hours: int
    window_minutes: int
    failed_attempts: dict[str, int]


@cache
def sign_in_rule() -> SignInRule:
    """Give how signing in is guarded."""
    content = tomllib.loads(Path(__file__).with_name("sign_in.toml").read_text(encoding="utf-8"))
    return SignInRule(**content)


@cache
def _hasher() -> Any:
    from argon2 import PasswordHasher

    return PasswordHasher()


def password_secret(password: str, *, account: str) -> str:
    """Give what a new password will be checked against.

    Raises
    ------
    InputError
        Where it is too short, too long, too simple, or the name of the account.
    """
    rule = sign_in_rule()
    if not rule.shortest_password <= len(password) <= rule.longest_password:
        raise InputError(
            f"a password has {rule.shortest_password} to {rule.longest_password} characters; "
            "a few words in a row are easy to keep in mind"
        )
    if len(set(password)) < rule.fewest_different_signs or account.lower() in password.lower():
        raise InputError(
            f"a password has at least {rule.fewest_different_signs} different characters "
            "and does not hold the account's name"
        )
    with _AT_ONCE:
        return str(_hasher().hash(password))


def fits(secret: str, password: str) -> bool:
    """Tell whether a password is the right one; takes as long where there is none to compare with."""
    from argon2.exceptions import InvalidHashError, VerificationError

    with _AT_ONCE:
        try:
            _hasher().verify(secret or _stranger(), password[: sign_in_rule().longest_password + 1])
        except (VerificationError, InvalidHashError):
            return False
    return bool(secret)


@cache
def _stranger() -> str:
    import secrets

    return str(_hasher().hash(secrets.token_urlsafe(32)))
