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
    rule: str,
    *,
    sample: str = "the material",
    quantity: str | None = None,
    at_most: float | None = None,
    at_least: float | None = None,
    residue: str | None = None,
    temperature_c: float | None = None,
    supplier: str = "",
    receiver: str = "",
    referee: str = "",
    **given: Any,
) -> Dispute:
    """Make a dispute of the options of the command; the others are its agreed r and R."""
    if quantity is None or (at_most is None) is (at_least is None):
        raise InputError("a dispute needs a case (TOML), or --property with one of --at-most and --at-least")
    if quantity not in RESULT_QUANTITIES:
        raise InputError(f"property '{quantity}' is not known; known are {', '.join(RESULT_QUANTITIES)}")
    first, second = (_party(role, text) for role, text in (("supplier", supplier), ("receiver", receiver)))
    return Dispute(
        sample=sample,
        quantity=quantity,
        unit=QUANTITIES[quantity].unit,
        condition=condition_of(residue, Condition.ORIGINAL),
        temperature_c=temperature_c,
        limit=at_most if at_most is not None else at_least or 0.0,
        limit_is="at_most" if at_most is not None else "at_least",
        rule=DisputeRule(name=rule, text="", source=""),
        first=first,
        second=second,
        third=_party("referee", referee) if referee else None,
        **given,
    )


def _party(role: str, text: str) -> DisputeParty:
    return DisputeParty(name=role, role=role, values=numbers_in(text, f"--{role}"))


def precision_by_options(
    quantity: str,
    *,
    residue: str | None = None,
    reference: float | None = None,
    reference_expanded: float | None = None,
    **given: Any,
) -> dict[str, Any]:
    """Give what `precision_sheet` is asked, of the options of the command."""
    material = None
    if reference is not None:
        material = material_of("check material", quantity, reference, reference_expanded=reference_expanded)
    return {**given, "condition": condition_of(residue), "material": material}


def numbers_in(text: str, option: str) -> tuple[float, ...]:
    """Read numbers apart by blanks or semicolons; a comma alone may be either mark and is asked about."""
    if "," in text and "." not in text:
        raise InputError(
            f"{option} '{text}': is the comma a decimal mark? Write a point, and blanks between numbers"
        )
    try:
        return tuple(float(part) for part in text.replace(";", " ").replace(",", " ").split())
    except ValueError as error:
        raise InputError(f"{option} '{text}': numbers are needed, as '0.42 0.44'") from error


def condition_of(text: str | None, otherwise: Condition = Condition.UNKNOWN) -> Condition:
    """Read a residue in any of its words."""
    if not text:
        return otherwise
    found, remark = read_condition(text)
    if found is Condition.UNKNOWN:
        raise InputError(remark)
    return found


def material_of(name: str, quantity: str, reference: float, **given: Any) -> CheckMaterial:
    """Make a check material of the options of the command; the others are its fields."""
    return CheckMaterial(
        name=name,
        kind="check-fluid" if given.get("reference_expanded") is not None else "check-binder",
        quantity=quantity,
        reference=reference,
        **given,
    )
