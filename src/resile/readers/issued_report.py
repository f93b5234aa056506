"""The JSON that is written with the pages of a report, taken apart into what it states."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.errors import FileFormatError
from resile.readers.source_file import read_source
from resile.records.reading import HeldFile, SourceFile
from resile.records.revision import Entry, IssuedReport

if TYPE_CHECKING:
    from pydantic import BaseModel

MAX_BYTES = 50_000_000
_WHAT = "report in JSON, as 'resile report' writes it beside the pages"


def read_issued_report(path: Path | HeldFile) -> IssuedReport:
    """Read the JSON of a report.

    Parameters
    ----------
    path : Path or HeldFile
        As `resile report` wrote it beside the pages.

    Returns
    -------
    IssuedReport
        What it states, piece by piece.

    Raises
    ------
    RecordNotFoundError
        No such file.
    FileFormatError
        Not JSON, or not a report.
    """
    data, source = read_source(path, _WHAT, MAX_BYTES)
    try:
        content = json.loads(data.decode("utf-8-sig"))
    except (ValueError, RecursionError) as error:
        raise FileFormatError(f"{path}: this is not JSON ({error}); a {_WHAT} is needed") from None
    return issued_report_of(content, name=str(path), source=source)


def issued_report_of(content: Any, *, name: str = "report", source: SourceFile | None = None) -> IssuedReport:
    """Take the JSON of a report apart.

    Parameters
    ----------
    content : dict
        The JSON.
    name : str
        What it is called in a message.
    source : SourceFile, optional
        The file it was read from.

    Returns
    -------
    IssuedReport
        What it states, piece by piece.

    Raises
    ------
    FileFormatError
        Where it is not the JSON of a report.
    """
    from pydantic import ValidationError

    try:
        report: Any = _model().model_validate(content)
    except ValidationError as error:
        first = error.errors()[0]
        key = ".".join(str(part) for part in first["loc"]) or "the whole file"
        raise FileFormatError(
            f"{name}: this is not the JSON of a report: {key}: {first['msg'].lower()}; a {_WHAT} is needed"
        ) from None
    document = report.document
    return IssuedReport(
        number=document.number,
        date=document.date,
        revision_number=(document.revision.number or 1) if document.revision else 0,
        revision_of=document.revision.of if document.revision else document.number,
        entries=tuple(_entries(report)),
        source=source,
    )


def _entries(report: Any) -> Iterator[Entry]:
    yield from _grades(report)
    yield from _verdicts(report)
    yield from _results(report.results)
    yield from _continuous(report)
    yield from _ageing(report.ageing)
    yield from _ageing(report.long_term_ageing, "long-term, ")
    told = (*report.findings, *(finding for result in report.results for finding in result.findings))
    for words in dict.fromkeys(f"{finding.severity}: {finding.message}" for finding in told):
        yield Entry("finding", words, "stated")
    for key, text in report.document.identity.items():
        yield Entry("identity", key, text)
    for key in ("claimed_grade", "decision_rule", "retest_rule", "reported_class"):
        yield Entry("rule", key, getattr(report, key) or "none")
    for key in ("identifier", "edition", "sha256"):
        yield Entry("specification", key, getattr(report.specification, key))
    yield from _files(report.document)
    yield Entry("software", "resile", report.document.package_version)


def _grades(report: Any) -> Iterator[Entry]:
    for one in report.classes:
        yield Entry("grade", one.label, _standing(one))
    for one in report.full_grades:
        yield Entry("grade", one.label, _standing(one))


def _standing(one: Any) -> str:
    if one.satisfied:
        return "satisfied"
    return "not shown: tests are missing" if one.not_tested and not one.limiting else "not satisfied"


def _verdicts(report: Any) -> Iterator[Entry]:
    lines = [(line.class_, line) for line in report.verdicts]
    lines += [(grade.label, line) for grade in report.full_grades for line in grade.verdicts]
    for label, line in lines:
        place = {"condition": line.condition, "temperature_c": line.temperature_c}
        sign = "≤" if line.bound == "maximum" else "≥"
        limit = f"{sign} {line.limit:g} {line.unit}".strip()
        yield Entry("verdict", label, f"{line.outcome} ({limit})", quantity=line.quantity, **place)


def _results(results: Any) -> Iterator[Entry]:
    for one in results:
        place = {"quantity": one.quantity, "condition": one.condition, "temperature_c": one.temperature_c}
        yield Entry("result", "", one.value, one.unit, **place)
        if one.uncertainty is not None:
            yield Entry("uncertainty", one.uncertainty.basis, one.uncertainty.standard, one.unit, **place)
        for count, made in enumerate(one.determinations, start=1):
            value = made.text or "no value" if made.value is None else made.value
            yield Entry("determination", made.replicate or f"no. {count}", value, one.unit, **place)
            if not made.counted:
                yield Entry(
                    "determination", f"{made.replicate or f'no. {count}'}, use", "not counted", **place
                )
            if made.laboratory:
                mark = f"{made.replicate or f'no. {count}'}, laboratory"
                yield Entry("determination", mark, made.laboratory, **place)


def _continuous(report: Any) -> Iterator[Entry]:
    for one in report.continuous_temperatures:
        yield Entry(
            "continuous",
            " ".join(part for part in (one.end, "end", one.service_class or "") if part),
            one.temperature_c,
            "°C",
            quantity=one.quantity,
            condition=one.condition,
        )
    if report.delta_tc_c is not None:
        yield Entry("continuous", "delta-Tc", report.delta_tc_c, "°C")


def _ageing(ageing: Any, which: str = "") -> Iterator[Entry]:
    if ageing is None:
        return
    units = {
        "c": "°C",
        "min": "min",
        "ml_min": "mL/min",
        "r_min": "r/min",
        "percent": "%",
        "h": "h",
        "mpa": "MPa",
    }
    for key, value in (ageing.model_extra or {}).items():
        if isinstance(value, int | float | str) and not isinstance(value, bool):
            unit = next((word for ending, word in reversed(units.items()) if key.endswith(f"_{ending}")), "")
            yield Entry("ageing", f"{which}{key}", value, unit)
    for bottle in ageing.bottles:
        yield Entry("ageing", f"mass change of bottle {bottle.name}", bottle.mass_change_percent, "%")


def _files(document: Any) -> Iterator[Entry]:
    """Name files by their last part: a folder that moved has not changed what is in them."""
    own = document.order.sha256 if document.order else ""
    for source in document.sources:
        if source.sha256 != own:  # number and reason stand in the order itself: it always differs
            name = source.path.replace("\\", "/").rsplit("/", 1)[-1]
            yield Entry("file", name, source.sha256)


@cache
def _model() -> type[BaseModel]:
    from pydantic import BaseModel, ConfigDict, Field

    class Open(BaseModel):
        model_config = ConfigDict(extra="ignore", allow_inf_nan=False)

    class Source(Open):
        path: str
        sha256: str

    class RevisionKeys(Open):
        number: int | None = None
        of: str

    class Document(Open):
        number: str
        date: str
        package_version: str
        identity: dict[str, str]
        sources: tuple[Source, ...]
        order: Source | None = None
        revision: RevisionKeys | None = None

    class Specification(Open):
        identifier: str
        edition: str
        sha256: str

    class Uncertainty(Open):
        standard: float
        basis: str

    class Determination(Open):
        value: float | None
        text: str = ""
        replicate: str = ""
        counted: bool = True
        laboratory: str | None = None

    class Finding(Open):
        severity: str
        message: str

    class Result(Open):
        quantity: str
        condition: str
        temperature_c: float | None
        value: float | None
        unit: str
        uncertainty: Uncertainty | None = None
        determinations: tuple[Determination, ...] = ()
        findings: tuple[Finding, ...] = ()

    class Verdict(Open):
        class_: str = Field(default="", alias="class")
        quantity: str
        condition: str
        temperature_c: float | None
        limit: float
        bound: str
        unit: str
        outcome: str

    class Grade(Open):
        label: str
        satisfied: bool
        limiting: str | None = None
        not_tested: tuple[str, ...] = ()
        verdicts: tuple[Verdict, ...] = ()

    class Continuous(Open):
        quantity: str
        condition: str
        service_class: str | None = None
        end: str
        temperature_c: float | None

    class Bottle(Open):
        name: str
        mass_change_percent: float | None

    class Ageing(BaseModel):
        model_config = ConfigDict(extra="allow")
        bottles: tuple[Bottle, ...] = ()

    class Report(Open):
        document: Document
        specification: Specification
        decision_rule: str
        retest_rule: str
        reported_class: str | None = None
        claimed_grade: str | None = None
        verdicts: tuple[Verdict, ...]
        classes: tuple[Grade, ...]
        full_grades: tuple[Grade, ...] = ()
        results: tuple[Result, ...]
        continuous_temperatures: tuple[Continuous, ...] = ()
        delta_tc_c: float | None = None
        findings: tuple[Finding, ...] = ()
        ageing: Ageing | None = None
        long_term_ageing: Ageing | None = None

    return Report
