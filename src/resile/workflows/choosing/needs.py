"""What sites ask for, as places among the grades of a specification."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from resile.errors import InputError
from resile.judge.grades.grade_claim import parse_grade_claim
from resile.records.choice import SiteNeed
from resile.records.demand_request import DemandRequest
from resile.records.finding import Finding, Severity
from resile.records.specification import Specification
from resile.records.standing import AskedGrade
from resile.workflows.sites.site_demand import DemandReport
from resile.workflows.sites.site_demands import SiteDemands

NAMED = 4
"""Sites that a caution of several names."""


def with_demands(
    needs: Sequence[SiteNeed], demands: SiteDemands
) -> tuple[tuple[SiteNeed, ...], tuple[Finding, ...]]:
    """Give the needs whose grade is not stated the grade that was worked out.

    Parameters
    ----------
    needs : sequence of SiteNeed
        As read from the table.
    demands : SiteDemands
        Of those without a grade, in the same order.

    Returns
    -------
    needs : tuple of SiteNeed
        In the same order; a stated grade is kept, a site that could not be answered has none.
    findings : tuple of Finding
        Sites that could not be answered, and why.
    """
    # By place, never by name: two roads may bear the same.
    answers = iter(demands.answers)
    filled = []
    for need in needs:
        answer = None if need.grade else next(answers)
        if not isinstance(answer, DemandReport):
            filled.append(need)
            continue
        demand = answer.demand
        filled.append(
            replace(
                need,
                grade=demand.grade,
                demand=demand,
                latitude_deg=demand.site.latitude_deg,
                longitude_deg=demand.site.longitude_deg,
            )
        )
    doubts = tuple(
        Finding(
            code="site-without-demand",
            severity=Severity.CAUTION,
            message=f"{error.site}: its demand could not be worked out: {error.message}",
            rule="a site needs a grade, or what its grade follows from",
            source="own rule",
            advice="Mend the row, or state the grade.",
        )
        for error in demands.errors
    )
    return tuple(filled), (*doubts, *_carried(demands))


def _carried(demands: SiteDemands) -> list[Finding]:
    """Give the cautions of the demands, each once with the sites that have it."""
    sites: dict[str, list[str]] = {}
    first: dict[str, Finding] = {}
    for report in demands.reports:
        for finding in report.demand.findings:
            if finding.severity is not Severity.NOTE:
                first.setdefault(finding.code, finding)
                sites.setdefault(finding.code, []).append(report.demand.site.name)
    told = []
    for code, finding in first.items():
        names = list(dict.fromkeys(sites[code]))
        more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
        where = ", ".join(names[:NAMED])
        words = f"{where}{more}: as on the demand sheet. At {names[0]}: {finding.message}"
        told.append(replace(finding, message=words))
    return told


def need_of(request: DemandRequest) -> SiteNeed:
    """Give what a row of a table of sites says for a choice.

    Parameters
    ----------
    request : DemandRequest
        The row.

    Returns
    -------
    SiteNeed
        With an empty grade where none is stated; one tonne where no amount is.
    """
    return SiteNeed(
        name=request.name,
        grade=request.grade,
        latitude_deg=request.latitude_deg,
        longitude_deg=request.longitude_deg,
        amount_t=1.0 if request.amount_t is None else request.amount_t,
        remark=request.remark,
    )


@dataclass(frozen=True)
class NeedArrays:
    """The needs as arrays.

    Attributes
    ----------
    demand : ndarray of int, shape (n,)
        Place of the grade each site asks for; -1 where no grade reaches.
    amount_t : ndarray of float, shape (n,)
        Binder each site takes [t].
    """

    demand: NDArray[np.int64]
    amount_t: NDArray[np.float64]

    def per_grade(self, grades: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Give sites and tonnes that ask for each grade; shape (g,)."""
        asked = self.demand >= 0
        sites = np.bincount(self.demand[asked], minlength=grades).astype(float)
        tonnes = np.bincount(self.demand[asked], weights=self.amount_t[asked], minlength=grades)
        return sites, np.asarray(tonnes, dtype=float)


def need_arrays(
    needs: Sequence[SiteNeed], specification: Specification, places: dict[str, int]
) -> NeedArrays:
    """Find the grade of every site among those of the specification.

    Parameters
    ----------
    needs : sequence of SiteNeed
        The sites.
    specification : Specification
        The rule set.
    places : dict of str to int
        Place of each grade by its label.

    Returns
    -------
    NeedArrays
        One entry a site.

    Raises
    ------
    InputError
        Where a site asks for a grade that the specification does not have, or for a class without a low end.
    """
    known = {"": -1}
    for need in needs:
        if need.grade not in known:
            known[need.grade] = _place(need, specification, places)
    return NeedArrays(
        np.array([known[need.grade] for need in needs], dtype=np.int64),
        np.array([need.amount_t for need in needs], dtype=float),
    )


def named_as_written(
    needs: Sequence[SiteNeed], arrays: NeedArrays, grades: Sequence[AskedGrade]
) -> tuple[SiteNeed, ...]:
    """Give the needs with their grade as the specification writes it.

    Parameters
    ----------
    needs : sequence of SiteNeed
        As given.
    arrays : NeedArrays
        Place of each grade.
    grades : sequence of AskedGrade
        The grades.

    Returns
    -------
    tuple of SiteNeed
        ``64v-22`` becomes ``PG 64V-22``.
    """
    return tuple(
        need if place < 0 or grades[place].label == need.grade else replace(need, grade=grades[place].label)
        for need, place in zip(needs, arrays.demand.tolist(), strict=True)
    )


def _place(need: SiteNeed, specification: Specification, places: dict[str, int]) -> int:
    try:
        label = parse_grade_claim(need.grade, specification).label
    except InputError as error:
        raise InputError(f"site {need.name}: {str(error).replace('claim ', 'grade ', 1)}") from error
    if label not in places:
        raise InputError(
            f"site {need.name}: the grade '{need.grade}' has no low end; needed is a whole grade such as "
            f"{next(iter(places))}"
        )
    return places[label]
