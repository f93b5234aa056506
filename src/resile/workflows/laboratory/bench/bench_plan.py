"""The test plan of a sample of the record: what to test, where, with how much binder."""

from __future__ import annotations

from dataclasses import dataclass, replace

from resile.errors import InputError
from resile.records.plan import TestPlan
from resile.records.register import Actor, Kept, Sample
from resile.report.bench_sheet import OVERVIEW, bench_sheet_of, pdf_bench_sheet
from resile.report.paper.bench import BenchSheet
from resile.storage.laboratory_record import LaboratoryRecord
from resile.version import __version__
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.bench.bench_hub import sample_named
from resile.workflows.plans.planning import plan_tests


@dataclass(frozen=True, slots=True)
class BenchPlan:
    """What to test for a sample.

    Attributes
    ----------
    sample : Kept of Sample or None
        The sample; None where a grade alone was asked for.
    grade : str
        Grade planned for; empty where none is claimed.
    sheet : BenchSheet or None
        The plan in words; None where no grade is known.
    overview : tuple of str
        Headings of its rows.
    refusal : str
        Why the grade cannot be planned; empty otherwise.
    """

    sample: Kept[Sample] | None
    grade: str
    sheet: BenchSheet | None
    overview: tuple[str, ...] = OVERVIEW
    refusal: str = ""


def bench_plan(
    record: LaboratoryRecord, actor: Actor, at: str, sample: str = "", *, grade: str = ""
) -> BenchPlan:
    """Plan the tests of a sample for the grade it claims, or for another one.

    Parameters
    ----------
    record : LaboratoryRecord
        Where to look.
    actor : Actor
        Who asks.
    at : str
        The time, ISO 8601 in UTC.
    sample : str
        Number or key of the sample; empty to plan a grade alone.
    grade : str
        Grade to plan for; empty for the one that the sample claims.
    """
    require(actor, "runs.see")
    whole = sample_named(record, actor, sample) if sample else None
    wanted = grade or (whole.value.claimed_grade if whole else "")
    if not wanted:
        return BenchPlan(whole, "", None)
    try:
        plan = _plan(wanted, whole)
    except InputError as error:
        return BenchPlan(whole, wanted, None, refusal=str(error))
    return BenchPlan(whole, wanted, bench_sheet_of(plan, date=at[:10], package_version=__version__))


def bench_plan_pdf(
    record: LaboratoryRecord, actor: Actor, at: str, sample: str = "", *, grade: str = ""
) -> bytes:
    """Give the same plan as a sheet of paper with boxes and blanks.

    Parameters
    ----------
    record, actor, at, sample, grade
        As in `bench_plan`.
    """
    require(actor, "runs.see")
    whole = sample_named(record, actor, sample) if sample else None
    wanted = grade or (whole.value.claimed_grade if whole else "")
    if not wanted:
        raise InputError("the sample claims no grade; say for which grade to plan")
    return pdf_bench_sheet(_plan(wanted, whole), date=at[:10], package_version=__version__)


def _plan(grade: str, sample: Kept[Sample] | None) -> TestPlan:
    specification = sample.value.asked.specification if sample else ""
    plan = plan_tests(grade, specification=specification or None).plan
    return replace(plan, sample=sample.value.number) if sample else plan
