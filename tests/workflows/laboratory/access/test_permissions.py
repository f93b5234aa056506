"""Roles are data, and a person may do what their roles say."""

import pytest

from resile.errors import PermissionRefusedError
from resile.records.register import Kept, Person
from resile.workflows.laboratory.access.permissions import (
    actor_of,
    one_person,
    permissions,
    require,
    require_sight,
    roles,
)


def kept(**changes: object) -> Kept[Person]:
    person = Person(name="Ada Muster", account="ada", **changes)  # type: ignore[arg-type]
    return Kept(person, "P-000001", 1, 1, "2026-03-02T08:00:00Z", "P-000001")


def test_a_technician_keeps_runs_and_does_not_release() -> None:
    actor = actor_of(kept(roles=("technician",)))
    require(actor, "runs.keep")
    with pytest.raises(PermissionRefusedError, match="Ada Muster may not release or withdraw a certificate"):
        require(actor, "statements.release")


def test_roles_add_up() -> None:
    actor = actor_of(kept(roles=("technician", "releaser")))
    assert actor.may("runs.keep")
    assert actor.may("statements.release")


def test_every_permission_is_held_by_some_role() -> None:
    assert set(permissions()) == {permission for role in roles().values() for permission in role.may}


def test_a_customer_sees_own_samples_alone() -> None:
    actor = actor_of(kept(roles=("customer-reader",), customer="K-000001"))
    require_sight(actor, "K-000001")
    for other in ("K-000002", ""):
        with pytest.raises(PermissionRefusedError, match="not one of yours"):
            require_sight(actor, other)


def test_a_customer_reader_without_a_customer_sees_nothing() -> None:
    with pytest.raises(PermissionRefusedError, match="none is named"):
        actor_of(kept(roles=("customer-reader",)))


def test_one_whose_access_has_ended_may_do_nothing() -> None:
    with pytest.raises(PermissionRefusedError, match="has ended"):
        actor_of(kept(roles=("manager",), active=False))


def test_the_one_person_of_a_small_laboratory_may_do_everything() -> None:
    assert all(one_person().may(permission) for permission in permissions())
