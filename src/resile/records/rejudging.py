"""What would change if an archive were judged by another edition or decision rule."""

from __future__ import annotations

from dataclasses import dataclass

NOT_SETTLED = "not settled"
"""Standing of a sample that nothing fails but no class is shown for: untested, or too near to a limit."""
NO_CLASS = "no class"
"""Standing of a sample that fails even the mildest class."""
SATISFIED = "satisfied"
"""Class of a document that does not tell classes apart."""
NOT_ASKED = "not asked"
"""Standing under a document that has no such temperature, or asks nothing of what was tested there."""


@dataclass(frozen=True, slots=True)
class JudgedBy:
    """One of the two ways of judging that are compared.

    Attributes
    ----------
    specification, title, document, edition : str
        The specification; `specification` is its identifier.
    checked : str
        Who compared its file with the document; empty where nobody did.
    sha256 : str
        Hash of its file.
    decision_rule, rule_text : str
        Name of the rule, and the rule in words.
    basis : str
        What the uncertainty rests on.
    retest_text : str
        Which determinations count, in words.
    classes : tuple of str
        Names of the classes, from mild to severe; `SATISFIED` for a document that has one without a name.
    """

    specification: str
    title: str
    document: str
    edition: str
    checked: str
    sha256: str
    decision_rule: str
    rule_text: str
    basis: str
    retest_text: str = ""
    classes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StandingCount:
    """How many samples stand so before and so after.

    Attributes
    ----------
    before, after : str
        Label of the most severe class satisfied, `NOT_SETTLED`, `NO_CLASS` or `NOT_ASKED`.
    class_before, class_after : str
        The same without temperatures: name of the class, or the same words.
    count : int
        Samples at a tested temperature, or whole grades.
    """

    before: str
    after: str
    class_before: str
    class_after: str
    count: int


@dataclass(frozen=True, slots=True)
class LineChange:
    """How the outcomes of one line of the specification move.

    Attributes
    ----------
    service_class, requirement, title, unit : str
        The line, and the class whose limit is meant.
    limit_before, limit_after : float or None
        Its limits; None where the line does not stand in that document.
    compared : int
        Samples it was compared for, before or after.
    passes_to_fails, fails_to_passes, to_conditional : int
        Samples whose outcome turns to the worse, to the better, or into or out of a conditional one.
    within_uncertainty : int
        Of those that turn, how many lie nearer to the limit than two standard uncertainties.
    """

    service_class: str
    requirement: str
    title: str
    unit: str
    limit_before: float | None
    limit_after: float | None
    compared: int
    passes_to_fails: int
    fails_to_passes: int
    to_conditional: int
    within_uncertainty: int


@dataclass(frozen=True, slots=True)
class SampleChange:
    """One sample that stands otherwise after than before.

    Attributes
    ----------
    sample, lot, product, tested : str
        Which; the newest day of its tests.
    temperature_c, low_temperature_c : float or None
        Where it was judged [°C]; the low one for whole grades alone.
    before, after : str
        As in `StandingCount`.
    direction : str
        ``"worse"``, ``"better"`` or ``"other"`` (between documents that name classes differently).
    requirement, title, unit : str
        The line that decides; empty where none alone does.
    value, limit_before, limit_after, margin : float or None
        What was compared, the two limits, and the distance to the one that is missed.
    probability_before, probability_after : float or None
        Probability that the true value satisfies each limit.
    within_uncertainty : bool or None
        True where the value lies nearer to the missed limit than two standard uncertainties; None where no
        uncertainty can be stated.
    reason : str
        Why it changes, in words.
    """

    sample: str
    lot: str
    product: str
    tested: str
    temperature_c: float
    low_temperature_c: float | None
    before: str
    after: str
    direction: str
    requirement: str = ""
    title: str = ""
    unit: str = ""
    value: float | None = None
    limit_before: float | None = None
    limit_after: float | None = None
    margin: float | None = None
    probability_before: float | None = None
    probability_after: float | None = None
    within_uncertainty: bool | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class YearCount:
    """What changes in one year of one product.

    Attributes
    ----------
    year, product : str
        Empty where the archive does not say.
    judged : int
        Samples at a tested temperature.
    stand_before, stand_after : int
        Of these, with a class.
    worse, better : int
        Of these, changed.
    """

    year: str
    product: str
    judged: int
    stand_before: int
    stand_after: int
    worse: int
    better: int


@dataclass(frozen=True, slots=True)
class ReasonCount:
    """How often one reason decides.

    Attributes
    ----------
    direction, title, reason : str
        As in `SampleChange`.
    count, within_uncertainty : int
        Samples, and of these nearer to the limit than two standard uncertainties.
    """

    direction: str
    title: str
    reason: str
    count: int
    within_uncertainty: int


@dataclass(frozen=True, slots=True)
class Rejudging:
    """An archive judged twice, and what differs.

    Attributes
    ----------
    archive : str
        Which.
    before, after : JudgedBy
        The two ways.
    determinations, results, samples : int
        What was judged.
    standings : tuple of StandingCount
        Samples at a tested temperature, by class before and after.
    whole_grades : tuple of StandingCount
        The same for whole grades; empty where either document has none or nothing was tested.
    lines : tuple of LineChange
        By class and line, in the order of the document.
    reasons : tuple of ReasonCount
        The most frequent first.
    years : tuple of YearCount
        By year and product.
    changes : tuple of SampleChange
        Those that change, worse before better; at most as many as were asked for.
    changed, worse, better, within_uncertainty : int
        Samples at a tested temperature that change, and of the worse and better ones how many lie within the
        uncertainty.
    lots, lots_worse, lots_better : int
        Lots in the archive, and those with a sample that turns worse or better.
    product, lot, since, until : str
        What was asked for; empty for all.
    """

    archive: str
    before: JudgedBy
    after: JudgedBy
    determinations: int
    results: int
    samples: int
    standings: tuple[StandingCount, ...]
    whole_grades: tuple[StandingCount, ...]
    lines: tuple[LineChange, ...]
    reasons: tuple[ReasonCount, ...]
    years: tuple[YearCount, ...]
    changes: tuple[SampleChange, ...]
    changed: int
    worse: int
    better: int
    within_uncertainty: int
    lots: int
    lots_worse: int
    lots_better: int
    product: str = ""
    lot: str = ""
    since: str = ""
    until: str = ""

    @property
    def judged(self) -> int:
        """Samples at a tested temperature."""
        return sum(one.count for one in self.standings)
