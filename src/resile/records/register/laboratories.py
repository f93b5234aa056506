"""The laboratory beside others and beside itself: rounds, check materials, its own precision."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Condition


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundResult:
    """One property of one material of a comparison round, as the organiser's sheet gives it.

    Attributes
    ----------
    scheme, round : str
        Who runs the rounds, in the laboratory's own words, and which round it was.
    material : str
        Name of the material.
    day : str
        Day of the round.
    quantity : str
        Name from the glossary.
    condition : Condition
        Residue that was tested.
    temperature_c : float or None
        Test temperature [°C].
    value : float
        What this laboratory reported, in the unit of the quantity.
    assigned, assigned_standard : float or None
        Value assigned by the round and its standard uncertainty.
    deviation : float or None
        Standard deviation by which the round scores.
    own_standard : float or None
        Standard uncertainty that the laboratory stated.
    laboratories : int or None
        How many took part.
    file : str
        SHA-256 of the sheet it was read from.
    note : str
        What was found and done about it.
    invented : bool
        True for a round of the demonstration.
    """

    scheme: str
    round: str
    material: str
    quantity: str
    value: float
    day: str = ""
    condition: Condition = Condition.ORIGINAL
    temperature_c: float | None = None
    assigned: float | None = None
    assigned_standard: float | None = None
    deviation: float | None = None
    own_standard: float | None = None
    laboratories: int | None = None
    file: str = ""
    note: str = ""
    invented: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckMaterial:
    """A material of known value: a Newtonian check fluid, a steel beam, a binder kept for checks.

    Attributes
    ----------
    name : str
        Name and lot, as they stand on the bottle.
    kind : str
        ``check-fluid``, ``steel-beam`` or ``check-binder``.
    quantity : str
        Name from the glossary.
    reference : float
        Certified, or found at the start, in the unit of the quantity.
    reference_expanded : float or None
        Expanded uncertainty of the reference (k = 2), in the same unit.
    site_deviation : float or None
        Standard deviation of this laboratory for such checks, in the same unit.
    temperature_c : float or None
        Temperature at which it holds [°C].
    condition : Condition
        Residue, for a binder.
    certificate : str
        Number of its certificate.
    tolerance : float or None
        Largest difference allowed, in the same unit, where a method or maker states one: it then stands in
        place of the zone that follows from the two above.
    interval_days : int or None
        Days within which a check is to be repeated; None for the interval of the instrument.
    until : str
        Day until which it may be used.
    retired : bool
        True when it is no longer used.
    note : str
        What else is to be known.
    invented : bool
        True for a material of the demonstration.
    """

    name: str
    kind: str
    quantity: str
    reference: float
    reference_expanded: float | None = None
    site_deviation: float | None = None
    temperature_c: float | None = None
    condition: Condition = Condition.UNKNOWN
    certificate: str = ""
    tolerance: float | None = None
    interval_days: int | None = None
    until: str = ""
    retired: bool = False
    note: str = ""
    invented: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckResult:
    """One check of an instrument with a check material.

    Attributes
    ----------
    material, instrument : str
        Keys of the material and the instrument.
    measured : float
        What was found, in the unit of the material's quantity.
    done : str
        Day or time.
    operator : str
        Who tested.
    note : str
        What else is to be known.
    verification : str
        Key of the verification of the instrument that this check is.
    """

    material: str
    instrument: str
    measured: float
    done: str
    operator: str = ""
    note: str = ""
    verification: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnPrecision:
    """What the laboratory has found out about its own doubt, dated: used in verdicts while it is in force.

    Attributes
    ----------
    quantity : str
        Name from the glossary.
    condition : Condition
        Residue it holds for; unknown for every residue.
    relative : bool
        True where the standard deviations are ratios of the value, False where they are in its unit.
    repeatability : float
        Standard deviation of one operator, instrument and day.
    intermediate : float
        Standard deviation within the laboratory, over days, operators and instruments.
    bias, bias_standard : float
        Found against check materials and rounds, and its standard uncertainty.
    standard : float
        Standard uncertainty of one result: the scatter within the laboratory and the bias with its own
        uncertainty, since results are not corrected for it.
    degrees_of_freedom : float or None
        Of `standard`; None where taken as infinite.
    lowest, highest : float or None
        Values for which it was found, in the unit of the quantity.
    duplicates, checks, rounds : int
        What it rests on: pairs of duplicates, checks, rounds.
    since, until : str
        First and last day of the data; it holds from the day after the last.
    valid_until : str
        Day until which it may be used; empty until it is replaced.
    note : str
        How it was worked out.
    invented : bool
        True in the demonstration.
    """

    quantity: str
    condition: Condition = Condition.UNKNOWN
    relative: bool = True
    repeatability: float = 0.0
    intermediate: float = 0.0
    bias: float = 0.0
    bias_standard: float = 0.0
    standard: float = 0.0
    degrees_of_freedom: float | None = None
    lowest: float | None = None
    highest: float | None = None
    duplicates: int = 0
    checks: int = 0
    rounds: int = 0
    since: str = ""
    until: str = ""
    valid_until: str = ""
    note: str = ""
    invented: bool = False
