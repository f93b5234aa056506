"""Who may do what: roles as data, and the checks that every task on the record makes."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from resile.errors import PermissionRefusedError, SpecificationError
from resile.records.register import Actor, Kept, Person

_FILE = Path(__file__).with_name("roles.toml")

ONE_PERSON = "P-LOCAL"
"""Key under which a laboratory of one person, without accounts, writes into its record."""


@dataclass(frozen=True, slots=True)
class Role:
    """A role and what it allows.

    Attributes
    ----------
    name, title : str
        As kept with a person, and as shown.
    may : frozenset of str
        Permissions.
    of_one_customer : bool
        True where it sees the samples of one customer alone.
    """

    name: str
    title: str
    may: frozenset[str]
    of_one_customer: bool = False


@cache
def roles() -> dict[str, Role]:
    """Give the roles, by name.

    Raises
    ------
    SpecificationError
        Where a role allows what is no permission.
    """
    content = tomllib.loads(_FILE.read_text(encoding="utf-8"))
    found = {
        name: Role(name, role["title"], frozenset(role["may"]), role.get("of_one_customer", False))
        for name, role in content["roles"].items()
    }
    for role in found.values():
        unknown = sorted(role.may - content["permissions"].keys())
        if unknown:
            raise SpecificationError(
                f"{_FILE.name}, role '{role.name}': {', '.join(unknown)} is no permission"
            )
    return found


@cache
def permissions() -> dict[str, str]:
    """Give every permission with what it lets a person do, in words."""
    told: dict[str, str] = tomllib.loads(_FILE.read_text(encoding="utf-8"))["permissions"]
    return told


def actor_of(person: Kept[Person]) -> Actor:
    """Give what a person may do, by their roles.

    Raises
    ------
    PermissionRefusedError
        Where their access has ended, or one who may see a single customer has none.
    """
    if not person.value.active:
        raise PermissionRefusedError(f"the access of {person.value.name} has ended")
    held = [roles()[name] for name in person.value.roles]
    bound = any(role.of_one_customer for role in held)
    if bound and not person.value.customer:
        raise PermissionRefusedError(
            f"{person.value.name} may see the samples of a customer, and none is named"
        )
    may = frozenset(permission for role in held for permission in role.may)
    return Actor(person.key, person.value.name, may, person.value.customer if bound else "")


def one_person() -> Actor:
    """Give the one person of a laboratory without accounts, who may do everything."""
    return Actor(ONE_PERSON, "the laboratory", frozenset(permissions()))


def require(actor: Actor, permission: str) -> None:
    """Refuse somebody who may not do this.

    Raises
    ------
    PermissionRefusedError
        With what the permission would allow.
    """
    if not actor.may(permission):
        raise PermissionRefusedError(
            f"{actor.name} may not {permissions()[permission]}; "
            "a person with that role, or the administrator, can help"
        )


def require_sight(actor: Actor, customer: str, *, what: str = "sample") -> None:
    """Refuse one who may see a single customer's samples and sites, and asks for another's.

    Raises
    ------
    PermissionRefusedError
        Without telling whose the sample is.
    """
    if actor.customer and actor.customer != customer:
        raise PermissionRefusedError(f"this {what} is not one of yours")
