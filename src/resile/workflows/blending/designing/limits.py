"""What a blend has to keep: the limits of a whole grade of a specification, and one's own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from resile.errors import InputError
from resile.judge.grades.grade_claim import GradeClaim, parse_grade_claim
from resile.judge.grades.selection import asked_temperature, limit_for, needs_low_temperature
from resile.judge.wording import property_words, temperature_words
from resile.records.blending.book import BlendBook
from resile.records.blending.limit import BlendLimit, Response
from resile.records.finding import Finding, Severity
from resile.records.specification import Requirement, Specification
from resile.specifications.load import load_specification
from resile.workflows.sites.demand_request import DemandSettings
from resile.workflows.sites.site_demand import DEFAULT_SPECIFICATION
from resile.workflows.sites.site_demands import site_demands

_ENDS = {"high": "high", "low + 10": "low", "intermediate": "intermediate"}


@dataclass(frozen=True, slots=True)
class AimLimits:
    """What the aim of a book asks for.

    Attributes
    ----------
    grade : str
        As the specification writes it; empty where only own limits hold.
    limits : tuple of BlendLimit
        Those of the grade in the order of the document, then one's own.
    temperature_tolerance_c : float
        A test within this of the temperature asked for answers a limit [°C].
    findings : tuple of Finding
        Waivers, a grade without a low end, doubts of the demand of the site.
    """

    grade: str
    limits: tuple[BlendLimit, ...]
    temperature_tolerance_c: float = 0.1
    findings: tuple[Finding, ...] = ()


def limits_of_aim(book: BlendBook) -> tuple[BlendLimit, ...]:
    """Give the limits that a blend of a book must keep; see `aim_limits`.

    Parameters
    ----------
    book : BlendBook
        Its aim names a grade or a site, or has limits of its own.

    Returns
    -------
    tuple of BlendLimit
        Those of the grade, then one's own.
    """
    return aim_limits(book).limits


def aim_limits(book: BlendBook) -> AimLimits:
    """Work out what the aim of a book asks for.

    Parameters
    ----------
    book : BlendBook
        Its aim names a grade or a site, or has limits of its own.

    Returns
    -------
    AimLimits
        Grade, limits, and what must be said of them.

    Raises
    ------
    ResileError
        Where the specification, the grade or the demand of the site cannot be used, or nothing is asked for.
    """
    aim = book.aim
    findings: tuple[Finding, ...] = ()
    grade = aim.grade
    if aim.demand is not None and not grade:
        grade, findings = _grade_of_site(book)
    if not grade:
        if not aim.limits:
            raise InputError(
                f"{book.title}: the aim names no grade, no site and no limit; needed is one of them"
            )
        return AimLimits("", aim.limits)
    specification = load_specification(aim.specification or DEFAULT_SPECIFICATION)
    claim = parse_grade_claim(grade, specification)
    limits, told = grade_limits(specification, claim)
    return AimLimits(
        claim.label,
        (*limits, *aim.limits),
        specification.temperature_tolerance_c,
        (*findings, *told),
    )


def grade_limits(
    specification: Specification, claim: GradeClaim
) -> tuple[tuple[BlendLimit, ...], tuple[Finding, ...]]:
    """Give every limit of a grade, and what must be said of them.

    Parameters
    ----------
    specification : Specification
        The rule set.
    claim : GradeClaim
        Whole grade; a class without a low end gives the limits at the high temperature alone.

    Returns
    -------
    limits : tuple of BlendLimit
        In the order of the document; requirements that the class does not have, or is freed of, are left
        out.
    findings : tuple of Finding
        Waivers, a missing low end.
    """
    limits, waived, perhaps = [], [], []
    for requirement in specification.requirements:
        value = limit_for(requirement, claim.service_class.name)
        if value is None or (claim.low_temperature_c is None and needs_low_temperature(requirement)):
            continue
        classes = requirement.waived_when.get("service_classes")
        if isinstance(classes, list | tuple) and claim.service_class.name in classes:
            waived.append(requirement)
            continue
        limit = _limit(requirement, value, claim)
        limits.append(limit)
        if limit.note:
            perhaps.append(limit)
    return tuple(limits), tuple(_told(specification, claim, waived, perhaps))


def _limit(requirement: Requirement, value: float, claim: GradeClaim) -> BlendLimit:
    at = asked_temperature(requirement, claim.high_temperature_c, claim.low_temperature_c)
    words = temperature_words(at) if at is not None else ""
    title = requirement.title
    return BlendLimit(
        response=Response(requirement.quantity, requirement.condition, at),
        bound=requirement.bound,
        value=float(value),
        title=title if not words or words in title else f"{title}, {words}",
        clause=requirement.clause,
        end=_ENDS.get(str(requirement.temperature), "any"),
        absolute=requirement.absolute,
        note=_waiver_words(requirement),
    )


def _waiver_words(requirement: Requirement) -> str:
    """Say when another result would waive the limit; empty where none can."""
    waiver = requirement.waived_when
    quantity = waiver.get("quantity")
    if not isinstance(quantity, str):
        return ""
    below, at_least, up_to = waiver.get("below"), waiver.get("at_least"), waiver.get("own_up_to")
    side = f"below {below:g}" if isinstance(below, int | float) else f"of at least {at_least:g}"
    own = f" up to {up_to:g} {requirement.unit}" if isinstance(up_to, int | float) else ""
    return f"waived{own} by a {property_words(quantity)} {side} at the same temperature; not counted on here"


def _told(
    specification: Specification,
    claim: GradeClaim,
    waived: Sequence[Requirement],
    perhaps: Sequence[BlendLimit],
) -> list[Finding]:
    found = []
    if claim.low_temperature_c is None and specification.low_temperatures_c:
        found.append(
            Finding(
                code="grade-without-low-end",
                severity=Severity.CAUTION,
                message=f"{claim.label} is the high-temperature part alone: no limit at the low and "
                "intermediate temperature is asked of the blend.",
                rule="a blend is designed for both ends of a grade",
                source="own rule; most recipes that gain at the top lose a little at the low end",
                advice="Name the whole grade, with its low temperature.",
            )
        )
    if waived:
        found.append(
            Finding(
                code="limit-not-of-class",
                severity=Severity.NOTE,
                message=f"Not asked of class {claim.service_class.name}: "
                f"{', '.join(one.title for one in waived)}.",
                rule="limits as the specification gives them for the class",
                source=f"{specification.document} ({specification.edition})",
                advice="Check the edition of the contract.",
            )
        )
    if perhaps:
        found.append(
            Finding(
                code="limit-may-be-waived",
                severity=Severity.NOTE,
                message="; ".join(f"{limit.title}: {limit.note}" for limit in perhaps) + ".",
                rule="a waiver that depends on another result is not counted on when a recipe is worked out",
                source=f"{specification.document} ({specification.edition})",
                advice="Where this limit stands in the way, test the other property too.",
            )
        )
    if not specification.checked:
        found.append(
            Finding(
                code="specification-not-checked",
                severity=Severity.NOTE,
                message=f"The limits of {specification.identifier} were not compared with the document by a "
                "second person.",
                rule="limits are compared with the document before they are relied on",
                source="own rule",
                advice="The edition of the contract prevails.",
            )
        )
    return found


def _grade_of_site(book: BlendBook) -> tuple[str, tuple[Finding, ...]]:
    demand = book.aim.demand
    assert demand is not None
    settings = DemandSettings(specification=book.aim.specification or DEFAULT_SPECIFICATION)
    found = site_demands([demand], settings=settings)
    if found.errors:
        raise InputError(f"site {found.errors[0].site}: {found.errors[0].message}")
    answer = found.reports[0].demand
    if not answer.grade:
        raise InputError(f"site {demand.name}: no grade of the specification reaches its demand")
    serious = tuple(one for one in answer.findings if one.severity is not Severity.NOTE)
    return answer.grade, serious
