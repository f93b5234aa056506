"""How one binder stands to a grade: requirement by requirement, and as a whole."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.prediction import Standing


@dataclass(frozen=True, slots=True)
class AskedGrade:
    """A whole grade of the specification.

    Attributes
    ----------
    label : str
        As the specification writes it.
    high_temperature_c, low_temperature_c : float
        The two ends [°C].
    service_class : str
        Name of its class.
    rank : int
        Severity of the class.
    """

    label: str
    high_temperature_c: float
    low_temperature_c: float
    service_class: str
    rank: int


@dataclass(frozen=True, slots=True)
class PropertyStanding:
    """One requirement at one temperature: what was measured, or is expected.

    Attributes
    ----------
    requirement : str
        Name within the specification.
    quantity : str
        Name from the glossary.
    end : str
        ``"high"``, ``"low"`` or ``"any"``: the end of the grade it belongs to.
    temperature_c : float or None
        Test temperature [°C].
    limit : float
        In `unit`.
    bound : str
        ``"maximum"`` or ``"minimum"``.
    unit : str
        The unit of the glossary.
    standing : Standing
        See there.
    probability : float or None
        Probability that it holds, by the uncertainty of the result or of the line; None where not known, 1
        or 0 for a result without a known uncertainty.
    counted_probability : float or None
        What the choice counts: 1 or 0 for what was measured, as it was judged, unless measured results are
        to count with their uncertainty too.
    value : float or None
        Measured or expected value, in `unit`.
    tested_at_c : float or None
        Temperature of the nearest test where it was not tested at its own [°C].
    reason : str
        One sentence.
    """

    requirement: str
    quantity: str
    end: str
    temperature_c: float | None
    limit: float
    bound: str
    unit: str
    standing: Standing
    probability: float | None = None
    counted_probability: float | None = None
    value: float | None = None
    tested_at_c: float | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class GradeStanding:
    """One binder and one grade.

    Attributes
    ----------
    binder : str
        Name of the binder.
    grade : AskedGrade
        The grade.
    standing : Standing
        Of the whole grade.
    probability : float or None
        Product of the probabilities of its requirements; None where one of them is not known.
    counted_probability : float or None
        Product of what the choice counts of each.
    properties : tuple of PropertyStanding
        Every requirement.
    """

    binder: str
    grade: AskedGrade
    standing: Standing
    probability: float | None
    counted_probability: float | None
    properties: tuple[PropertyStanding, ...]

    def weakest(self, end: str) -> PropertyStanding | None:
        """Give the requirement of an end that is least sure to hold; None where the end has none."""
        here = [one for one in self.properties if one.end == end]
        return min(here, key=lambda one: -1.0 if one.probability is None else one.probability, default=None)

    @property
    def not_known(self) -> tuple[PropertyStanding, ...]:
        """The requirements of which nothing is known."""
        return tuple(one for one in self.properties if one.standing is Standing.UNKNOWN)
