"""From an order and its verdict to the document that is issued, under the name of a laboratory."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from resile.compute.rheology.creep.creep_indices import CURVE_FROM_JNR, CURVE_TO_JNR, minimum_recovery_percent
from resile.errors import InputError
from resile.readers.laboratory import read_laboratory
from resile.records.ageing import AgeingRecord, LongTermAgeingRecord
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.determination import Determination
from resile.records.laboratory import Laboratory
from resile.records.order import TESTS_OF_INSTRUMENTS, Instrument, TestOrder
from resile.records.quantity import QUANTITIES
from resile.records.summary import SummaryTable
from resile.records.verdict import GradeStatement
from resile.report.document import ReportDocument
from resile.version import __version__

CREEP_RECOVERY_TITLE = "Creep recovery of a bituminous binder"
CREEP_RECOVERY_METHOD = "Multiple-stress creep and recovery"
WHOLE_GRADE_TITLE = "Performance grade of a bituminous binder"
CURVE_SOURCE = "DNIT 423/2020-ME (second-hand); AASHTO R 92, from memory"


def issuer_of(order: TestOrder, settings: str | Path | None) -> Laboratory | None:
    """Read who issues the report; an order that names another laboratory is refused, not overruled.

    Parameters
    ----------
    order : TestOrder
        May name a laboratory itself.
    settings : str or Path or None
        Settings file of the laboratory.

    Returns
    -------
    Laboratory or None
        None where no settings file is given.

    Raises
    ------
    InputError
        Where order and settings name different laboratories.
    """
    if settings is None:
        return None
    issuer = read_laboratory(Path(settings))
    for key, stated, own in (
        ("laboratory", order.laboratory, issuer.name),
        ("address", order.address, issuer.address),
    ):
        if stated and stated != own:
            raise InputError(
                f"key {key!r} of the test order says {stated!r}, {settings} says {own!r}: leave it out "
                "of the order, or make both the same"
            )
    return issuer


def issued_by(document: ReportDocument, issuer: Laboratory | None) -> ReportDocument:
    """Put a document under the name, accreditation and logo of a laboratory; unchanged without one."""
    if issuer is None:
        return document
    own = () if issuer.source is None else (issuer.source,)
    return replace(
        document,
        laboratory=issuer.name,
        laboratory_address=issuer.address,
        laboratory_contact=issuer.contact,
        accreditation=issuer.accreditation,
        logo=issuer.logo,
        logo_form=issuer.logo_form,
        sources=(*document.sources, *own),
    )


def made_elsewhere(determinations: Sequence[Determination], own: str) -> list[Determination]:
    """Keep the name of a laboratory only on what another one made; the report's own is not external."""
    return [
        replace(one, laboratory="") if one.laboratory.casefold() == own.casefold() else one
        for one in determinations
    ]


def _methods_of(statement: GradeStatement) -> str:
    """Name the documents of the tests that were judged, in their order, without our evidence marks.

    A number that no requirement asks for, such as the slope of Jnr, comes from a paper, not from a method.
    """
    judged = {v.requirement.quantity for grade in statement.full_grades for v in grade.verdicts}
    sources = [
        QUANTITIES[result.quantity].source.partition(",")[0]
        for result in statement.results
        if not judged or result.quantity in judged
    ]
    return "; ".join(dict.fromkeys(source for source in sources if source)) or "as listed under Results"


def document_of(
    order: TestOrder,
    statement: GradeStatement,
    runs: Sequence[CreepRecoveryRun],
    ageing: AgeingRecord | None,
    tables: Sequence[SummaryTable],
    date: str,
    long_term_ageing: LongTermAgeingRecord | None = None,
) -> ReportDocument:
    """Gather everything that stands on the report of an order."""
    records = [record for record in (ageing, long_term_ageing) if record is not None]
    files = [order.source, *(record.source for record in records), *(table.source for table in tables)]
    programmes = {run.programme.document for run in runs if run.programme}
    sample = order.sample
    described = (
        sample.product,
        sample.container,
        f"claimed grade {sample.claimed_grade}" if sample.claimed_grade else "",
    )
    whole = bool(statement.full_grades or statement.continuous)
    return ReportDocument(
        title=WHOLE_GRADE_TITLE if whole else CREEP_RECOVERY_TITLE,
        number=order.number or sample.name,
        date=date,
        sample=sample.name,
        runs=tuple(runs),
        statement=statement,
        ageing=ageing,
        long_term_ageing=long_term_ageing,
        elastic_curve=elastic_curve(),
        elastic_curve_source=CURVE_SOURCE,
        invented=order.invented,
        package_version=__version__,
        sources=tuple(source for source in files if source is not None),
        tables_read=tuple((table.source, table.account) for table in tables),
        sample_description="; ".join(part for part in described if part),
        laboratory=order.laboratory,
        laboratory_address=order.address,
        customer=order.customer,
        customer_contact=order.customer_contact,
        external_results=order.external_results,
        sample_state=sample.state,
        method=_methods_of(statement) if whole else CREEP_RECOVERY_METHOD,
        method_edition=", ".join(sorted(programmes)),
        place_of_work=order.place_of_work,
        received=sample.received,
        tested_on=order.tested,
        sampling=sample.taken,
        deviations=" ".join(order.notes),
        instrument="; ".join(filter(None, map(_instrument_words, order.instruments))),
        tested_by=order.operator,
        reviewed_by=order.reviewed_by,
        form=order.form,
    )


def _instrument_words(instrument: Instrument) -> str:
    """Say of one instrument what it was used for, and when its temperature was last verified."""
    diameter, gap = instrument.plate_diameter_mm, instrument.gap_mm
    tests = ", ".join(TESTS_OF_INSTRUMENTS[test] for test in instrument.tests)
    parts = (
        f"{instrument.name} ({tests})".strip() if tests else instrument.name,
        f"plates of {diameter:g} mm" if diameter else "",
        f"gap {gap:g} mm" if gap else "",
        f"temperature verified {instrument.verified}" if instrument.verified else "",
        instrument.note,
    )
    return ", ".join(part for part in parts if part)


def elastic_curve(points: int = 60) -> tuple[tuple[float, float], ...]:
    """Give points (Jnr [1/kPa], recovery [%]) of the elastic-response curve, its flat part included."""
    import numpy as np

    curved = np.geomspace(CURVE_FROM_JNR, CURVE_TO_JNR, points)
    flat = np.array([0.01, np.nextafter(CURVE_FROM_JNR, 0.0)])
    jnr = np.concatenate((flat, curved))
    return tuple(zip(jnr.tolist(), minimum_recovery_percent(jnr).tolist(), strict=True))
