"""What is asked on a command line about laboratories, in words, as the records that the tasks take."""

from __future__ import annotations

from typing import Any

from resile.errors import InputError
from resile.readers.conditions import read_condition
from resile.records.determination import Condition
from resile.records.laboratories import Dispute, DisputeParty, DisputeRule
from resile.records.quantity import QUANTITIES, RESULT_QUANTITIES
from resile.records.register.laboratories import CheckMaterial


def dispute_by_options(
    sample: str, quantity: str | None, at_most: float | None, at_least: float | None, **given: Any
) -> Dispute:
    """Make a dispute of the options of the command."""
    if quantity is None or (at_most is None) is (at_least is None):
        raise InputError("a dispute needs a case (TOML), or --property with one of --at-most and --at-least")
    if quantity not in RESULT_QUANTITIES:
        raise InputError(f"property '{quantity}' is not known; known are {', '.join(RESULT_QUANTITIES)}")
    parties = [
        DisputeParty(name=name, role=role, values=numbers_in(given[role], f"--{role}"))
        for name, role in (("supplier", "supplier"), ("receiver", "receiver"), ("referee", "referee"))
        if role != "referee" or given[role]
    ]
    return Dispute(
        sample=sample or "the material",
        quantity=quantity,
        unit=QUANTITIES[quantity].unit,
        condition=condition_of(given["residue"], Condition.ORIGINAL),
        temperature_c=given["temperature_c"],
        limit=at_most if at_most is not None else at_least or 0.0,
        limit_is="at_most" if at_most is not None else "at_least",
        rule=DisputeRule(name=given["rule"], text="", source=""),
        first=parties[0],
        second=parties[1],
        third=parties[2] if len(parties) > 2 else None,
        repeatability_limit=given["repeatability_limit"],
        reproducibility_limit=given["reproducibility_limit"],
    )


def numbers_in(text: str | None, option: str) -> tuple[float, ...]:
    """Read numbers apart by blanks or semicolons; a comma alone may be either mark and is asked about."""
    given = text or ""
    if "," in given and "." not in given:
        raise InputError(
            f"{option} '{given}': is the comma a decimal mark? Write a point, and blanks between numbers"
        )
    try:
        return tuple(float(part) for part in given.replace(";", " ").replace(",", " ").split())
    except ValueError as error:
        raise InputError(f"{option} '{given}': numbers are needed, as '0.42 0.44'") from error


def condition_of(text: str | None, otherwise: Condition = Condition.UNKNOWN) -> Condition:
    """Read a residue in any of its words."""
    if not text:
        return otherwise
    found, remark = read_condition(text)
    if found is Condition.UNKNOWN:
        raise InputError(remark)
    return found


def material_of(name: str, quantity: str, reference: float | None, **given: Any) -> CheckMaterial | None:
    """Make a check material of the options of the command; None without a reference."""
    if reference is None:
        return None
    return CheckMaterial(
        name=name,
        kind="check-fluid" if given.get("reference_expanded") is not None else "check-binder",
        quantity=quantity,
        reference=reference,
        **given,
    )
