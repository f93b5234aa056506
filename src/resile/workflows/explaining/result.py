"""A binder's own result as one picture and five sentences."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from resile.compute.rheology.creep.single_push import model_of_result, push_once
from resile.errors import MeasurementError
from resile.readers.issued_report import read_issued_report
from resile.records.determination import Condition
from resile.records.explanation import ExplainingWords, Explanation, LetterLimit, Push
from resile.records.reading import HeldFile
from resile.records.revision import Entry, IssuedReport
from resile.records.specification import Specification
from resile.specifications.explaining import load_explaining_words
from resile.specifications.load import load_specification
from resile.workflows.explaining.sentences import letter_of, what_moved
from resile.workflows.explaining.trying import letter_limits

_NEAR_C = 0.5
DOUBT = "The laboratory noted something about this test; ask for the findings in its report."


def explain_result(
    *,
    jnr: float,
    percent_recovery: float,
    temperature_c: float,
    stress_kpa: float = 3.2,
    service_class: str = "",
    limits: Sequence[LetterLimit] = (),
    judged: bool = True,
) -> Explanation:
    """Explain a creep-recovery result to a person outside the laboratory.

    Parameters
    ----------
    jnr : float
        Strain that stays, per stress; above 0 [1/kPa].
    percent_recovery : float
        Share that springs back; a negative one is told as none [%].
    temperature_c : float
        Test temperature [°C].
    stress_kpa : float
        Stress of the test [kPa].
    service_class : str
        Letter that the laboratory stated; empty for none.
    limits : sequence of LetterLimit
        Of the specification in force, from the widest letter on; those of the shipped one where empty.
    judged : bool
        Whether the laboratory judged the result; a run alone carries no letter, and the sentence says so.

    Returns
    -------
    Explanation
        One push drawn from the two numbers, and five sentences without a decimal.

    Raises
    ------
    InputError
        Where no push can have these numbers.
    """
    words = load_explaining_words()
    model = words.model
    specification = ""
    if not limits:
        specification = words.specification
        limits = letter_limits(load_specification(specification))
    times = {"creep_time_s": model.creep_time_s, "recovery_time_s": model.recovery_time_s}
    binder = model_of_result(jnr, percent_recovery, retardation_time_s=model.retardation_time_s, **times)
    drawn = push_once(binder, stress_kpa=stress_kpa, temperature_c=temperature_c, **times)
    # The reported recovery stands, also a negative one; the picture shows the nearest push there can be.
    push = replace(drawn, percent_recovery=percent_recovery)
    return Explanation(
        push=push,
        service_class=service_class,
        limits=tuple(limits),
        sentences=_five(words, push, service_class, limits, judged=judged),
        specification=specification,
        cautions=(words.cautions[0],),
    )


def explain_report(path: Path | HeldFile, *, at_c: float | None = None) -> Explanation:
    """Explain the creep-recovery result of a report.

    Parameters
    ----------
    path : Path or HeldFile
        JSON that `resile report` wrote beside the pages.
    at_c : float, optional
        Test temperature to explain; that of the grade stated where not given [°C].

    Returns
    -------
    Explanation
        With sample, laboratory, number and date of the report.

    Raises
    ------
    RecordNotFoundError, FileFormatError
        Where there is no such report.
    MeasurementError
        Where it states no creep recovery at 3.2 kPa, or none at this temperature.
    """
    report = read_issued_report(path)
    specification = load_specification(_stated(report, "specification", "identifier"))
    limits = letter_limits(specification)
    if not limits:
        raise MeasurementError(
            f"{path}: specification '{specification.identifier}' has no traffic letters; "
            "a report under one with letters is needed"
        )
    labels = _satisfied(report, specification, limits)
    compliance = _chosen(report, [temperature for temperature, _ in labels], at_c, name=str(path))
    at = float(compliance.temperature_c or 0.0)
    letter = next((one for temperature, one in labels if abs(temperature - at) <= _NEAR_C), "")
    explained = explain_result(
        jnr=float(compliance.value or 0.0),
        percent_recovery=_recovery_beside(report, compliance, name=str(path)),
        temperature_c=at,
        service_class=letter,
        limits=limits,
    )
    doubts = [entry.subject for entry in report.entries if entry.kind == "finding"]
    return replace(
        explained,
        sample=_stated(report, "identity", "sample"),
        sample_description=_stated(report, "identity", "sample_description"),
        laboratory=_stated(report, "identity", "laboratory"),
        number=report.number,
        date=report.date,
        specification=specification.identifier,
        cautions=(*explained.cautions, *([DOUBT] if any(not d.startswith("note") for d in doubts) else [])),
    )


def _five(
    words: ExplainingWords, push: Push, service_class: str, limits: Sequence[LetterLimit], *, judged: bool
) -> tuple[str, ...]:
    say = words.sentences
    temperature = f"{push.temperature_c:.0f}"
    stated = next((one for one in limits if one.service_class == service_class), None)
    allowed = letter_of(push.jnr, limits)
    if stated is not None and push.jnr <= stated.limit * 1.005:  # a value is rounded before it is judged
        used = min(100, max(1, round(100 * push.jnr / stated.limit)))
        kind = say["kind_letter" if len(service_class) == 1 else "kind_class"]
        letter = say["letter_held"].format(
            kind=kind, letter=service_class, class_title=stated.title, used=used
        )
    elif allowed is None:
        letter = say["letter_held_not"].format(letter=limits[0].service_class)
    else:
        letter = say["letter_withheld" if judged else "letter_alone"].format(letter=allowed.service_class)
    return (
        say["pushed"].format(temperature=temperature),
        *what_moved(push, say),
        letter,
        say["meaning"].format(temperature=temperature),
    )


def _stated(report: IssuedReport, kind: str, subject: str) -> str:
    return next((str(e.value or "") for e in report.entries if (e.kind, e.subject) == (kind, subject)), "")


def _satisfied(
    report: IssuedReport, specification: Specification, limits: Sequence[LetterLimit]
) -> list[tuple[float, str]]:
    """Give temperature and letter of every class the report says is satisfied, the narrowest letter first."""
    shown = {e.subject for e in report.entries if e.kind == "grade" and e.value == "satisfied"}
    return [
        (temperature, one.service_class)
        for one in reversed(limits)
        for temperature in specification.high_temperatures_c
        if specification.label.format(temperature=f"{temperature:g}", service_class=one.service_class)
        in shown
    ]


def _creep_results(report: IssuedReport, quantity: str) -> Iterable[Entry]:
    residues = (Condition.SHORT_TERM_AGED.value, Condition.RECOVERED.value)
    return (
        entry
        for entry in report.entries
        if entry.kind == "result"
        and entry.quantity == quantity
        and entry.condition in residues
        and entry.temperature_c is not None
        and entry.value is not None
    )


def _chosen(report: IssuedReport, of_grade: Sequence[float], at_c: float | None, *, name: str) -> Entry:
    """Choose the compliance to explain: that asked for, else that of the grade, else the hottest."""
    there = sorted(_creep_results(report, "jnr_3.2"), key=lambda entry: -float(entry.temperature_c or 0.0))
    if not there:
        raise MeasurementError(
            f"{name}: no creep recovery at 3.2 kPa is stated; a report with Jnr and recovery is needed"
        )
    wanted = [at_c] if at_c is not None else list(of_grade)
    for temperature in wanted:
        for entry in there:
            if abs(float(entry.temperature_c or 0.0) - temperature) <= _NEAR_C:
                return entry
    if at_c is None:
        return there[0]
    known = ", ".join(f"{entry.temperature_c:.0f}" for entry in there)
    raise MeasurementError(f"{name}: no creep recovery at {at_c:g} °C; the report states it at {known} °C")


def _recovery_beside(report: IssuedReport, compliance: Entry, *, name: str) -> float:
    for entry in _creep_results(report, "percent_recovery_3.2"):
        same = (entry.temperature_c, entry.condition) == (compliance.temperature_c, compliance.condition)
        if same:
            return float(entry.value or 0.0)
    raise MeasurementError(
        f"{name}: Jnr at {compliance.temperature_c:.0f} °C stands without its recovery; both are needed"
    )
