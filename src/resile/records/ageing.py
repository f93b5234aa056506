"""The short-term (rolling thin film) ageing record."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.finding import Finding, Measure, Severity
from resile.records.reading import SourceFile


@dataclass(frozen=True, slots=True)
class Bottle:
    """Masses of one bottle.

    Attributes
    ----------
    name : str
        Mark on the bottle.
    empty_g, before_g, after_g : float or None
        Mass of the bottle empty, with binder before, with binder after ageing [g].
    mass_change_percent : float or None
        ``100 (after - before)/(before - empty)``: gain positive, loss negative [%].
    note : str
        What was seen (creeping, lump, no film).
    """

    name: str
    empty_g: float | None
    before_g: float | None
    after_g: float | None
    mass_change_percent: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class AgeingRecord:
    """One run of the rolling thin film oven.

    Attributes
    ----------
    sample, method : str
        Sample aged; method in force, for example ``t240`` or ``en12607-1``.
    temperature_c : float or None
        Oven temperature [°C].
    duration_min : float or None
        Time in the oven [min].
    air_flow_ml_min : float or None
        Air flow [mL/min].
    rotation_r_min : float or None
        Carriage speed [r/min].
    recovery_min : float or None
        Time the oven took to return to temperature [min].
    bottles : tuple of Bottle
        Bottles that were weighed.
    mass_change_percent : float or None
        Mean of the weighed bottles [%].
    """

    sample: str
    method: str
    temperature_c: float | None = None
    duration_min: float | None = None
    air_flow_ml_min: float | None = None
    rotation_r_min: float | None = None
    recovery_min: float | None = None
    aged_on: str = ""
    bottles: tuple[Bottle, ...] = ()
    mass_change_percent: float | None = None
    measures: tuple[Measure, ...] = ()
    findings: tuple[Finding, ...] = ()
    source: SourceFile | None = None


@dataclass(frozen=True, slots=True)
class Tolerance:
    """What a method asks of one number of the record.

    Attributes
    ----------
    measure : str
        Field of `AgeingRecord` it concerns, for example ``duration_min``; or ``bottle_mass_g`` (binder in a
        bottle), ``bottle_difference_percent`` (largest difference of the bottles' mass changes),
        ``mass_change_misfit_percent`` (stated mean against that of the bottles) or ``bottles`` (how many).
    title : str
        Words for a person.
    unit : str
        Unit for a person.
    nominal : float or None
        The number asked for; None where only a lower or upper end is given.
    lowest, highest : float or None
        Ends of what is accepted, both included.
    severity : Severity
        Weight of the finding where the record lies outside.
    advice, source : str
        What to do; where the number comes from, with its evidence mark.
    """

    measure: str
    title: str
    unit: str
    nominal: float | None
    lowest: float | None
    highest: float | None
    severity: Severity
    advice: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class AgeingMethod:
    """A short-term ageing method, as read from a file under ``specifications/methods``.

    Attributes
    ----------
    identifier, title, document : str
        Name in a record, words for a person, document and edition.
    tolerances : tuple of Tolerance
        What is checked.
    transcribed, checked : str
        Who or what, and when; empty `checked` means unchecked.
    sha256 : str
        Hash of the file.
    notes : tuple of str
        Differences between editions in words.
    """

    identifier: str
    title: str
    document: str
    tolerances: tuple[Tolerance, ...]
    transcribed: str = ""
    checked: str = ""
    sha256: str = ""
    notes: tuple[str, ...] = ()
