"""Whether the reported traffic class follows from the reported numbers under the specification in force."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from resile.judge.grades.selection import limit_for
from resile.judge.results.conformity import meets
from resile.judge.summaries.intervals import Printed
from resile.judge.summaries.plausibility import Where
from resile.judge.wording import number_words
from resile.records.check import SummaryCheck
from resile.records.determination import Determination
from resile.records.finding import Finding
from resile.records.specification import Requirement, ServiceClass, Specification

CODE = "reported-class-does-not-follow"
NO_CLASS_WORDS = frozenset({"failed", "fail", "none", "no class", "no grade", "-", "–", "—"})


def class_named(text: str, specification: Specification) -> ServiceClass | None:
    """Find the class a reported word names: ``V``, ``64V``, ``PG 64V-22``; None where it names none.

    Parameters
    ----------
    text : str
        As printed.
    specification : Specification
        Holds the classes.

    Returns
    -------
    ServiceClass or None
        The class.
    """
    word = text.strip()
    for service_class in specification.classes:
        name = re.escape(service_class.name)
        if service_class.name and re.fullmatch(
            rf"(?:PG\s*)?(?:\d+\s*-?\s*)?{name}(?:\s*-\s*\d+)?", word, re.I
        ):
            return service_class
    return None


def reported_class_findings(
    reported: Mapping[str, Determination],
    numbers: Mapping[str, Printed],
    table: Mapping[str, SummaryCheck],
    specification: Specification | None,
    where: Where,
) -> Iterator[Finding]:
    """Compare the reported class with those the reported compliance allows.

    Parameters
    ----------
    reported : mapping of str to Determination
        Reported values by quantity.
    numbers : mapping of str to Printed
        The same as printed spans.
    table : mapping of str to SummaryCheck
        Checks by code.
    specification : Specification or None
        Without one nothing is checked.
    where : callable
        Gives the place of a quantity in words.

    Yields
    ------
    Finding
        At most one. The class is judged at both ends of the printed span of Jnr, so rounding alone raises
        nothing.
    """
    check, stated, jnr = table.get(CODE), reported.get("traffic_class"), numbers.get("jnr_3.2")
    if check is None or stated is None or jnr is None or specification is None or not stated.text.strip():
        return
    if not any(r.quantity == "jnr_3.2" for r in specification.requirements):
        return
    word = stated.text.strip()
    none = word.casefold() in NO_CLASS_WORDS
    named = class_named(word, specification)
    possible = {_best(end, numbers, specification) for end in (jnr.ends[0], jnr.value, jnr.ends[1])}
    if (none and None in possible) or (named is not None and named.name in possible):
        return
    shown = " or ".join(sorted(name or "no class" for name in possible))
    unknown = "" if none or named is not None else f" ('{word}' names no class of that specification)"
    found = number_words(jnr.value, *_limits(specification))
    yield Finding(
        code=check.code,
        severity=check.severity,
        message=f"{where('traffic_class')}: class '{word}' is reported, "
        f"but Jnr3.2 of {found} 1/kPa gives {shown} under {specification.identifier}{unknown}.",
        rule=check.rule,
        value=jnr.value,
        unit="1/kPa",
        source=f"{specification.document}, edition {specification.edition}",
        advice=check.advice,
    )


def _limits(specification: Specification) -> list[float]:
    return [
        limit
        for requirement in specification.requirements
        if requirement.quantity == "jnr_3.2"
        for limit in requirement.limits.values()
    ]


def _best(jnr: float, numbers: Mapping[str, Printed], specification: Specification) -> str | None:
    """Give the most severe class the compliance allows, the difference counted where it is given."""
    for service_class in reversed(specification.classes):
        if all(_passes(r, service_class, jnr, numbers) for r in specification.requirements):
            return service_class.name
    return None


def _passes(
    requirement: Requirement, service_class: ServiceClass, jnr: float, numbers: Mapping[str, Printed]
) -> bool:
    limit = limit_for(requirement, service_class.name)
    if limit is None:
        return True
    if requirement.quantity == "jnr_3.2":
        return meets(jnr, limit, requirement.bound)
    stated = numbers.get(requirement.quantity)
    if requirement.quantity != "jnr_difference_percent" or stated is None:
        return True
    return _is_waived(requirement, service_class, jnr) or any(
        meets(end, limit, requirement.bound) for end in stated.ends
    )


def _is_waived(requirement: Requirement, service_class: ServiceClass, jnr: float) -> bool:
    waiver = requirement.waived_when
    classes, below = waiver.get("service_classes"), waiver.get("below")
    if isinstance(classes, list | tuple) and service_class.name in classes:
        return True
    return waiver.get("quantity") == "jnr_3.2" and isinstance(below, int | float) and jnr < below
