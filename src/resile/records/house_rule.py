"""What a laboratory keeps to in heating samples and in keeping what is left of them."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.finding import Severity


@dataclass(frozen=True, slots=True)
class HeatingLimit:
    """One limit on heating.

    Attributes
    ----------
    measure : str
        ``heating_count``, ``duration_min``, ``preparation_min``, ``total_min`` or ``temperature_c``.
    title, unit : str
        What it is in words, and its unit.
    lowest, highest : float or None
        Ends, both allowed.
    binder : str
        ``any``, ``modified`` or ``unmodified``: the binder it holds for.
    refuses : bool
        True where a heating beyond it is not kept without a person who may permit it.
    severity : Severity
        Weight of the finding where a heating lies beyond it.
    advice, source : str
        What to do; document and clause with evidence mark.
    """

    measure: str
    title: str
    unit: str
    lowest: float | None
    highest: float | None
    binder: str = "any"
    refuses: bool = False
    severity: Severity = Severity.CAUTION
    advice: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class HeatingRule:
    """How a sample may be heated, as read from a file under ``specifications/heating_rules``.

    Attributes
    ----------
    identifier, title, document : str
        Name, words for a person, document and edition.
    limits : tuple of HeatingLimit
        In the order of the file.
    notes : tuple of str
        What it holds for, in words.
    transcribed, checked, sha256 : str
        Who or what, and when; empty `checked` means unchecked; hash of the file.
    """

    identifier: str
    title: str
    document: str
    limits: tuple[HeatingLimit, ...]
    notes: tuple[str, ...] = ()
    transcribed: str = ""
    checked: str = ""
    sha256: str = ""


@dataclass(frozen=True, slots=True)
class RetentionRule:
    """How long samples are kept, as read from a file under ``specifications/retention_rules``.

    Attributes
    ----------
    identifier, title : str
        Name, and words for a person.
    starts : str
        What it counts from: ``received`` or ``issued``.
    days : int
        How long [days].
    remind_days : int
        How long before its end it is told [days].
    source : str
        Where that comes from, with evidence mark.
    notes : tuple of str
        What else is to be known.
    transcribed, checked, sha256 : str
        Who or what, and when; empty `checked` means unchecked; hash of the file.
    """

    identifier: str
    title: str
    starts: str
    days: int
    remind_days: int
    source: str = ""
    notes: tuple[str, ...] = ()
    transcribed: str = ""
    checked: str = ""
    sha256: str = ""
