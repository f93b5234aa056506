"""The ageing records: short-term in the rolling thin film oven, long-term under pressure."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Condition
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
class Pan:
    """One pan of the pressure vessel.

    Attributes
    ----------
    name : str
        Mark on the pan.
    mass_g : float or None
        Mass of the binder in it [g].
    film_mm : float or None
        Thickness of the film that makes, at 1 g/cm³ [mm].
    note : str
        What was seen (tilted, spilt, skin).
    """

    name: str
    mass_g: float | None = None
    film_mm: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class LongTermAgeingRecord:
    """One run of the pressure ageing vessel, with the degassing after it.

    Attributes
    ----------
    sample, method : str
        Sample aged; method in force, for example ``r28`` or ``r28-40h``.
    aged_on : str
        Date, ISO 8601; empty where not given.
    temperature_c, pressure_mpa, duration_h : float or None
        Temperature of the chamber [°C], air pressure [MPa] and time under pressure [h].
    pan_count : float or None
        How many pans stood in the vessel.
    pan_diameter_mm : float or None
        Inside diameter of the pans [mm].
    pans : tuple of Pan
        Pans that were weighed.
    release_min : float or None
        Time over which the pressure was released [min].
    pan_heating_temperature_c, pan_heating_min : float or None
        Oven in which the pans were heated to be scraped out [°C], [min].
    degassing_temperature_c, degassing_pressure_kpa, degassing_min : float or None
        Vacuum degassing: temperature [°C], absolute pressure [kPa] and time [min].
    feed : Condition
        Binder that was put into the pans.
    short_term_record : str
        File of the short-term ageing record of the feed; empty where none is named.
    departure : str
        Departure from the method that the laboratory declares, for example a thin film.
    note : str
        What was seen.
    grade_temperature : Tolerance or None
        What the method allows between the chamber and the temperature that a grade asks for.
    """

    sample: str
    method: str
    aged_on: str = ""
    temperature_c: float | None = None
    pressure_mpa: float | None = None
    duration_h: float | None = None
    pan_count: float | None = None
    pan_diameter_mm: float | None = None
    pans: tuple[Pan, ...] = ()
    release_min: float | None = None
    pan_heating_temperature_c: float | None = None
    pan_heating_min: float | None = None
    degassing_temperature_c: float | None = None
    degassing_pressure_kpa: float | None = None
    degassing_min: float | None = None
    feed: Condition = Condition.UNKNOWN
    short_term_record: str = ""
    departure: str = ""
    note: str = ""
    measures: tuple[Measure, ...] = ()
    findings: tuple[Finding, ...] = ()
    source: SourceFile | None = None
    grade_temperature: Tolerance | None = None


@dataclass(frozen=True, slots=True)
class Tolerance:
    """What a method asks of one number of the record.

    Attributes
    ----------
    measure : str
        Field of the record it concerns, for example ``duration_min``; or ``bottle_mass_g`` (binder in a
        bottle), ``bottle_difference_percent`` (largest difference of the bottles' mass changes),
        ``mass_change_misfit_percent`` (stated mean against that of the bottles), ``bottles`` (how many),
        ``pan_mass_g`` (binder in a pan), ``feed_age_days`` (from short-term to long-term ageing) or
        ``temperature_from_grade_c`` (chamber less what the grade asks for).
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
    slips : tuple of str
        Units the number may have been written in by mistake; named where that would explain it.
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
    slips: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class AgeingMethod:
    """An ageing method, as read from a file under ``specifications/methods``.

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
    kind : str
        ``"short-term"`` or ``"long-term"``.
    feed : Condition or None
        Binder that is to be aged; None where the method does not say.
    feed_source : str
        Where that comes from.
    """

    identifier: str
    title: str
    document: str
    tolerances: tuple[Tolerance, ...]
    transcribed: str = ""
    checked: str = ""
    sha256: str = ""
    notes: tuple[str, ...] = ()
    kind: str = "short-term"
    feed: Condition | None = None
    feed_source: str = ""
