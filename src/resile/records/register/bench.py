"""What was done to a sample: cans, heatings, custody, conditioning, specimens."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Condition


@dataclass(frozen=True, slots=True, kw_only=True)
class Can:
    """A container that holds a part of a sample; its heatings are counted.

    Attributes
    ----------
    sample : str
        Key of the sample.
    name : str
        What is written on it, for example ``A1``.
    mass_g : float or None
        Mass of binder in it [g].
    modified : bool
        True for polymer-modified binder: other heating limits apply.
    place : str
        Where it stands.
    """

    sample: str
    name: str
    mass_g: float | None = None
    modified: bool = False
    place: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heating:
    """One heating of a can.

    Attributes
    ----------
    can, sample : str
        Keys of the can and its sample.
    started : str
        When it went into the oven, ISO 8601 in UTC.
    temperature_c : float
        Oven temperature [°C].
    duration_min : float or None
        How long it stayed [min]; None while it is in the oven.
    purpose : str
        What for.
    preparation_min : float or None
        From the oven to the last specimen poured, the time in the oven included [min].
    permitted_by : str
        Key of the person who let a heating beyond the limits of the method stand; empty for one within them.
    """

    can: str
    sample: str
    started: str
    temperature_c: float
    duration_min: float | None = None
    purpose: str = ""
    preparation_min: float | None = None
    permitted_by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Custody:
    """That a sample changed hands, or its seal was broken.

    Attributes
    ----------
    sample : str
        Key of the sample.
    happened : str
        When, ISO 8601.
    event : str
        What happened: received, moved, split, seal broken, sent.
    from_whom, to_whom, place, seal, note : str
        Between whom, where, which seal, what else.
    """

    sample: str
    happened: str
    event: str
    from_whom: str = ""
    to_whom: str = ""
    place: str = ""
    seal: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditioning:
    """One ageing of a part of a sample: rolling thin film oven or pressure vessel.

    Attributes
    ----------
    sample, can : str
        Keys of the sample and the can it was poured from.
    condition : Condition
        State of the binder afterwards.
    file : str
        SHA-256 of the ageing record (TOML) with masses, temperatures and times.
    file_name : str
        Name under which it came.
    happened : str
        Day of the test.
    instrument : str
        Key of the oven or vessel.
    mass_change_percent : float or None
        Mean mass change [%], as reduced.
    findings : tuple of str
        Codes of the findings, the worst first.
    worst : str
        Worst severity among them; empty for none.
    verification : str
        State of the instrument's verification on that day (`Verification`).
    """

    sample: str
    condition: Condition
    can: str = ""
    file: str = ""
    file_name: str = ""
    happened: str = ""
    instrument: str = ""
    mass_change_percent: float | None = None
    findings: tuple[str, ...] = ()
    worst: str = ""
    verification: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Specimen:
    """A specimen poured from a residue; it serves one creep-recovery run.

    Attributes
    ----------
    sample : str
        Key of the sample.
    number : str
        Number of the specimen or replicate within the sample and condition.
    condition : Condition
        State of the binder.
    conditioning, can : str
        Keys of the conditioning it comes from and of the can.
    form : str
        What it is: plate 25 mm, plate 8 mm, beam, spindle.
    made : str
        When it was made, ISO 8601.
    """

    sample: str
    number: str
    condition: Condition
    conditioning: str = ""
    can: str = ""
    form: str = ""
    made: str = ""
