"""Continuous temperatures and whole grades in words: what governs each end, what is shown of it.

Picture, page, terminal and workbook all ask here, so that they say the same.
"""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.verdict import ContinuousEnd, ContinuousTemperature, FullGradeVerdict, GradeStatement
from resile.report.numbers import NOT_KNOWN, fixed, shown_limit
from resile.report.words import CONDITION_WORDS, joined, symbol_of

HIGH = "high"
INTERMEDIATE = "intermediate"
LOW = "low"
END_WORDS: dict[str, str] = {HIGH: "high end", INTERMEDIATE: "in between", LOW: "low end"}
GOVERNS_WORDS: dict[str, str] = {HIGH: "governs the hot end", LOW: "governs the cold end"}


@dataclass(frozen=True, slots=True)
class ContinuousLine:
    """One continuous temperature as it is shown.

    Attributes
    ----------
    one : ContinuousTemperature
        The record.
    at_c : float or None
        Temperature on the scale of the grade [°C].
    interval : tuple of float or None
        Ends of the interval of about 95 % on that scale [°C]; None where no uncertainty is stated.
    governs : bool
        It limits its end of the grade.
    classes : tuple of str
        Traffic classes that share this limit; empty where it holds for all.
    """

    one: ContinuousTemperature
    at_c: float | None
    interval: tuple[float, float] | None
    governs: bool
    classes: tuple[str, ...] = ()


def chosen_grade(statement: GradeStatement) -> FullGradeVerdict | None:
    """Give the whole grade a page is about.

    Parameters
    ----------
    statement : GradeStatement
        Verdicts of one sample.

    Returns
    -------
    FullGradeVerdict or None
        The claimed one; without a claim the first satisfied one, else the first; None where there is none.
    """
    grades = statement.full_grades
    if statement.claimed_grade:
        wanted = _bare(statement.claimed_grade)
        return next((grade for grade in grades if _bare(grade.label) == wanted), None)
    return next((grade for grade in grades if grade.satisfied), grades[0] if grades else None)


def _bare(label: str) -> str:
    """Compare labels without blanks, case and kind of dash."""
    plain = "".join(label.split()).casefold()
    return plain.replace("\N{MINUS SIGN}", "-").replace("\N{EN DASH}", "-")


def class_in_question(statement: GradeStatement) -> str:
    """Give the traffic class whose limits govern: that of the chosen grade, else the mildest there is."""
    grade = chosen_grade(statement)
    if grade is not None:
        return grade.service_class.name
    classes = statement.specification.classes
    return min(classes, key=lambda service: service.rank).name if classes else ""


def continuous_lines(statement: GradeStatement) -> tuple[ContinuousLine, ...]:
    """Give every continuous temperature with its interval, and whether it governs.

    Parameters
    ----------
    statement : GradeStatement
        Verdicts of one sample.

    Returns
    -------
    tuple of ContinuousLine
        In the order of the statement, classes with one and the same limit together. At the high end the
        lowest temperature governs, at the low end the highest; limits of another traffic class than the one
        in question never do.
    """
    governing = _judged_to_govern(statement) if statement.continuous_ends else _nearest(statement)
    alike: dict[tuple[str, float], list[ContinuousTemperature]] = {}
    for one in statement.continuous:
        alike.setdefault((one.requirement.name, one.critical.limit), []).append(one)
    return tuple(
        ContinuousLine(
            group[0],
            _grade_scale(group[0]),
            _interval(group[0]),
            any(governing.get(one.end) is one for one in group),
            tuple(one.service_class for one in group if one.service_class),
        )
        for group in alike.values()
    )


def _ends_in_question(statement: GradeStatement) -> tuple[ContinuousEnd, ...]:
    ours = ("", class_in_question(statement))
    return tuple(end for end in statement.continuous_ends if end.service_class in ours)


def _judged_to_govern(statement: GradeStatement) -> dict[str, ContinuousTemperature]:
    """Find the temperatures that the statement itself says govern."""
    ours = ("", class_in_question(statement))
    return {
        end.end: one
        for end in _ends_in_question(statement)
        for one in statement.continuous
        if end.temperature_c is not None
        and one.end == end.end
        and one.requirement.name == end.governed_by
        and one.service_class in ours
    }


def _nearest(statement: GradeStatement) -> dict[str, ContinuousTemperature]:
    """Find the lowest high and the highest low temperature, where the statement does not say what governs."""
    ours = ("", class_in_question(statement))
    governing: dict[str, ContinuousTemperature] = {}
    for one in statement.continuous:
        at = _grade_scale(one)
        if at is None or one.end not in GOVERNS_WORDS or one.service_class not in ours:
            continue
        held = governing.get(one.end)
        sign = 1.0 if one.end == HIGH else -1.0
        if held is None or sign * at < sign * (_grade_scale(held) or 0.0):
            governing[one.end] = one
    return governing


def _grade_scale(one: ContinuousTemperature) -> float | None:
    return one.critical.temperature_c if one.grade_temperature_c is None else one.grade_temperature_c


def _interval(one: ContinuousTemperature) -> tuple[float, float] | None:
    """Give the interval on the scale of the grade; by simulation where the linear law fails."""
    at, critical = _grade_scale(one), one.critical
    if at is None or critical.temperature_c is None:
        return None
    shift = at - critical.temperature_c
    simulated = critical.simulated
    if simulated is not None and critical.linear_holds is False:
        return simulated.lower + shift, simulated.upper + shift
    if critical.standard is None:
        return None
    reach = critical.coverage_factor * critical.standard
    return at - reach, at + reach


def shown_continuous(line: ContinuousLine) -> str:
    """Show the temperature with U, or with both ends where the interval is not even."""
    if line.at_c is None:
        return NOT_KNOWN
    if line.interval is None:
        return f"{fixed(line.at_c, 1)} °C"
    low, high = line.interval
    if line.one.critical.linear_holds is False:
        return f"{fixed(line.at_c, 1)} ({fixed(low, 1)} to {fixed(high, 1)}) °C"
    return f"{fixed(line.at_c, 1)} ± {fixed((high - low) / 2.0, 1)} °C"


def name_of_line(line: ContinuousLine) -> str:
    """Name property and residue, with the class where the limit hangs on it."""
    requirement = line.one.requirement
    return f"{symbol_of(requirement.quantity)}, {CONDITION_WORDS[requirement.condition]}{classes_words(line)}"


def classes_words(line: ContinuousLine) -> str:
    """Name the classes a line holds for, behind a comma; empty where it holds for all."""
    if not line.classes:
        return ""
    return f", class{'es' if len(line.classes) > 1 else ''} {joined(line.classes)}"


def limit_of_line(line: ContinuousLine) -> str:
    """Give the limit with its sign and unit."""
    requirement = line.one.requirement
    sign = "≤" if requirement.bound == "maximum" else "≥"
    unit = f" {requirement.unit}" if requirement.unit else ""
    return f"{sign} {shown_limit(line.one.critical.limit, requirement.quantity)}{unit}"


def standing_of_line(line: ContinuousLine) -> str:
    """Say whether the limit was bracketed by the measurements."""
    critical = line.one.critical
    if critical.temperature_c is None:
        return critical.reason or "cannot be stated"
    how = "; simulated" if critical.uncertainty_method == "simulation" else ""
    if critical.bracketed:
        return f"between measurements{how}"
    return f"extrapolated by {fixed(abs(critical.extrapolated_c), 1)} °C{how}"


def governing_sentences(statement: GradeStatement) -> tuple[str, ...]:
    """Say what governs each end, one sentence an end."""
    sentences = []
    for end, words in ((HIGH, "The hot end"), (LOW, "The cold end")):
        for line in continuous_lines(statement):
            if line.governs and line.one.end == end:
                doubt = "" if line.one.critical.bracketed else f", {standing_of_line(line)}"
                sentences.append(
                    f"{words} is governed by {name_of_line(line)}: {shown_continuous(line)}{doubt}."
                )
        sentences += [
            f"{words} has no continuous grade yet: {_missing_words(statement, open_end.missing)} might "
            "govern it and has no temperature."
            for open_end in _ends_in_question(statement)
            if open_end.end == end and open_end.temperature_c is None
        ]
    return tuple(sentences)


def correlation_sentences(statement: GradeStatement) -> tuple[str, ...]:
    """Say what was declared about shared errors, and what U would be at both ends, where it matters."""
    if statement.correlation is None or not any(one.critical.standard for one in statement.continuous):
        return ()
    sentences = [f"Shared errors, declared as {statement.correlation.name}: {statement.correlation.text}"]
    for line in continuous_lines(statement):
        critical = line.one.critical
        between = critical.standard_range
        if not line.governs or between is None:
            continue
        apart, shared = (fixed(critical.coverage_factor * end, 1) for end in between)
        if apart != shared:
            sentences.append(
                f"{name_of_line(line)}: by the linear law U is {apart} °C where the errors at the two "
                f"temperatures are independent, {shared} °C where they are wholly shared; a correlation of "
                f"{fixed(critical.correlation, 2)} was taken."
            )
    return tuple(sentences)


def _missing_words(statement: GradeStatement, names: tuple[str, ...]) -> str:
    known = {requirement.name: requirement for requirement in statement.specification.requirements}
    return (
        joined(
            [
                f"{symbol_of(known[name].quantity)}, {CONDITION_WORDS[known[name].condition]}"
                if name in known
                else name
                for name in names
            ]
        )
        or "a property"
    )
