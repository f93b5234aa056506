"""A test plan: what to test on which residue, in which order, with what to keep to and to beware of."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Condition
from resile.records.specification import Requirement, Specification


@dataclass(frozen=True, slots=True)
class PlanTolerance:
    """One thing to keep to at the bench.

    Attributes
    ----------
    what, asked : str
        What is looked at, and what is asked for, in words with unit.
    source : str
        Document with evidence mark.
    """

    what: str
    asked: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class PlanCaution:
    """One hazard, in one sentence that says what to do.

    Attributes
    ----------
    name : str
        By which steps and tests name it.
    text, source : str
        The sentence; where it comes from, with evidence mark.
    """

    name: str
    text: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class ResiduePreparation:
    """How one residue is made.

    Attributes
    ----------
    condition : Condition
        State of the binder it gives.
    title, method : str
        Words for a person; test method.
    binder_g : float
        Binder it takes [g].
    tolerances : tuple of PlanTolerance
        What to keep to.
    cautions : tuple of str
        Names of hazards.
    note, source : str
        What else matters; where it comes from.
    """

    condition: Condition
    title: str
    method: str
    binder_g: float = 0.0
    tolerances: tuple[PlanTolerance, ...] = ()
    cautions: tuple[str, ...] = ()
    note: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class BenchMethod:
    """How one test is done at the bench.

    Attributes
    ----------
    quantities : tuple of str
        What it gives.
    conditions : tuple of Condition
        Residues it is described for; empty for all.
    title, method : str
        Words for a person; test method.
    specimen : str
        Plates, beam or cup.
    plate_diameter_mm, gap_mm : float or None
        Plates, where there are any [mm].
    specimens : int
        How many are tested.
    binder_g : float
        Binder for one specimen [g].
    conditioning : str
        What is done before the reading.
    entries : tuple of str
        What is written down for each specimen, with unit.
    tolerances : tuple of PlanTolerance
        What to keep to.
    cautions : tuple of str
        Names of hazards.
    source : str
        Where it comes from, with evidence mark.
    """

    quantities: tuple[str, ...]
    conditions: tuple[Condition, ...]
    title: str
    method: str
    specimen: str = ""
    plate_diameter_mm: float | None = None
    gap_mm: float | None = None
    specimens: int = 1
    binder_g: float = 0.0
    conditioning: str = ""
    entries: tuple[str, ...] = ()
    tolerances: tuple[PlanTolerance, ...] = ()
    cautions: tuple[str, ...] = ()
    source: str = ""


@dataclass(frozen=True, slots=True)
class BenchBook:
    """Residues, tests and hazards, as read from a file under ``specifications/plans``.

    Attributes
    ----------
    identifier, title : str
        Name and words for a person.
    preparations : tuple of ResiduePreparation
        In working order.
    methods : tuple of BenchMethod
        In working order.
    cautions : tuple of PlanCaution
        Hazards by name.
    transcribed, checked, sha256 : str
        Who or what, and when; empty `checked` means unchecked; hash of the file.
    """

    identifier: str
    title: str
    preparations: tuple[ResiduePreparation, ...]
    methods: tuple[BenchMethod, ...]
    cautions: tuple[PlanCaution, ...]
    transcribed: str = ""
    checked: str = ""
    sha256: str = ""


@dataclass(frozen=True, slots=True)
class PlannedTest:
    """One test of a plan.

    Attributes
    ----------
    method : BenchMethod
        How it is done.
    condition : Condition
        Residue.
    temperature_c : float or None
        Test temperature [°C]; None where it has none.
    requirements : tuple of Requirement
        Lines of the specification it answers.
    limits : tuple of float, same length as `requirements`
        Limits of the class planned for.
    done : tuple of str
        Quantities that have a result already.
    described : bool
        False where the book has no description of the test.
    specimens_done : int
        Specimens that have a result for every property asked for.
    """

    method: BenchMethod
    condition: Condition
    temperature_c: float | None
    requirements: tuple[Requirement, ...]
    limits: tuple[float, ...]
    done: tuple[str, ...] = ()
    described: bool = True
    specimens_done: int = 0

    @property
    def is_done(self) -> bool:
        """True where every property asked for has a result."""
        return {r.quantity for r in self.requirements} <= set(self.done)


@dataclass(frozen=True, slots=True)
class OpenTest:
    """How far one property has been searched where no grade is known.

    Attributes
    ----------
    requirement : Requirement
        Line of the specification.
    limit : float
        In its unit.
    tested : tuple of (float, float, bool)
        Temperature [°C], value, and whether it meets the limit; coldest first.
    next_temperature_c : float or None
        Where to test next [°C]; None where it is bracketed, or the specification has no further step.
    bracket_c : tuple of (float, float) or None
        Hardest temperature that passes and mildest that fails [°C]; None where not bracketed.
    """

    requirement: Requirement
    limit: float
    tested: tuple[tuple[float, float, bool], ...]
    next_temperature_c: float | None
    bracket_c: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class TestPlan:
    """What to test for one grade, in order.

    Attributes
    ----------
    grade : str
        As the specification writes it.
    high_temperature_c, low_temperature_c : float, float or None
        The two ends [°C]; no low end where a class alone was asked for.
    service_class : str
        Class of the specification.
    specification : Specification
        What is planned for.
    book : BenchBook
        Where methods and tolerances come from.
    preparations : tuple of ResiduePreparation
        Those that the tests need.
    tests : tuple of PlannedTest
        In working order.
    long_term_ageing_c : tuple of float
        Temperature of pressure ageing for the grade; a second one is for desert climate [°C]. Empty where the
        specification does not say.
    left_out : tuple of str
        Requirements that cannot be planned, with the reason.
    sample : str
        Name of the sample; empty where none was given.
    """

    __test__ = False  # a noun of the trade, not a test case

    grade: str
    high_temperature_c: float
    low_temperature_c: float | None
    service_class: str
    specification: Specification
    book: BenchBook
    preparations: tuple[ResiduePreparation, ...]
    tests: tuple[PlannedTest, ...]
    long_term_ageing_c: tuple[float, ...] = ()
    left_out: tuple[str, ...] = ()
    sample: str = ""
