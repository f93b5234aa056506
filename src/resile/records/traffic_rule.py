"""What a specification, or the tradition beside it, makes of traffic; quantiles as people round them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TrafficBand:
    """One band of axle loads.

    Attributes
    ----------
    million : float
        Where it begins, in millions of equivalent standard axle loads.
    begins_above : bool
        Whether that number itself still belongs to the band below.
    standing, slow, free : str
        Class, or number of grade steps, by speed.
    consider : tuple of str
        Speeds (``standing``, ``slow``, ``free``) for which one further step is left to the engineer.
    """

    million: float
    begins_above: bool
    standing: str
    slow: str
    free: str
    consider: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TrafficRule:
    """How traffic enters a grade; one file under ``specifications/traffic_rules``.

    Attributes
    ----------
    identifier, title, document, edition, evidence, checked : str
        As in a specification.
    gives : str
        ``class``: a traffic class of the specification. ``steps``: grade steps added at the high end.
    specifications : tuple of str
        Identifiers of the specifications it belongs to; it is refused beside any other.
    standing_below_kmh, slow_up_to_kmh : float
        Below the first traffic counts as standing; up to and with the second as slow [km/h].
    bands : tuple of TrafficBand
        From light to heavy.
    notes : tuple of str
        Cautions in words.
    sha256 : str
        Hash of the file.
    """

    identifier: str
    title: str
    document: str
    edition: str
    evidence: str
    checked: str
    gives: str
    specifications: tuple[str, ...]
    standing_below_kmh: float
    slow_up_to_kmh: float
    bands: tuple[TrafficBand, ...]
    notes: tuple[str, ...] = ()
    sha256: str = ""


@dataclass(frozen=True, slots=True)
class TrafficAnswer:
    """What a rule makes of one traffic.

    Attributes
    ----------
    service_class : str
        Traffic class; empty where the rule gives steps.
    steps : int
        Grade steps to add at the high end; 0 where the rule gives a class.
    consider_more : bool
        Whether one further step is left to the engineer.
    speed : str
        ``standing``, ``slow`` or ``free``.
    band : str
        Band of axle loads in words.
    """

    service_class: str
    steps: int
    consider_more: bool
    speed: str
    band: str


@dataclass(frozen=True, slots=True)
class RoundedQuantile:
    """The quantile of a reliability as some print it.

    Attributes
    ----------
    reliability_percent : float
        Reliability it stands for [%].
    z : float
        As printed.
    words, source, evidence : str
        Who prints it, and where.
    """

    reliability_percent: float
    z: float
    words: str
    source: str
    evidence: str
