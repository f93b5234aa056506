"""What is published of the effect of polymer on recovery, and of its loss in hot storage."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class RecoveryPrior:
    """What a recovery curve is expected to be before any trial.

    Attributes
    ----------
    plateau, plateau_standard : float
        Recovery at much polymer, and its doubt [%].
    middle_percent, middle_standard : float
        Polymer at half of the plateau, and its doubt [%].
    width_percent, width_standard : float
        Width of the rise, and its doubt [%].
    """

    plateau: float
    plateau_standard: float
    middle_percent: float
    middle_standard: float
    width_percent: float
    width_standard: float


@dataclass(frozen=True, slots=True)
class StoragePoint:
    """One published statement of what hot storage does.

    Attributes
    ----------
    temperature_c, hours : float
        Storage [°C] and [h].
    outcome : str
        ``stable`` (no loss up to then) or ``lost`` (the effect is gone, or badly eroded, by then).
    said : str
        What the source says, in words.
    """

    temperature_c: float
    hours: float
    outcome: str
    said: str


@dataclass(frozen=True, slots=True)
class StorageLoss:
    """What is left of the effect of polymer after hot storage.

    Attributes
    ----------
    retained : float or None
        Share of the effect that is left, by a cautious straight line; None where nothing published tells.
    known : bool
        True where a published statement covers this storage, False where it is read off between two.
    hours_to_loss : float or None
        Time to the loss of the effect at this temperature [h]; None where none is published so cool.
    words : str
        What is known and what is not.
    """

    retained: float | None
    known: bool
    hours_to_loss: float | None
    words: str


@dataclass(frozen=True, slots=True)
class PolymerEffect:
    """Published ranges of one polymer, as read from one TOML file.

    Attributes
    ----------
    identifier, title : str
        Name, and words for a person.
    prior : RecoveryPrior
        Of recovery over polymer content.
    prior_source : str
        Where it comes from, with its evidence mark.
    storage : tuple of StoragePoint
        Statements on hot storage.
    storage_source : str
        Where they come from, with their evidence mark.
    transcribed, checked : str
        Who or what, and when; empty `checked` means unchecked.
    notes : tuple of str
        Cautions in words.
    sha256 : str
        Hash of the file.
    """

    identifier: str
    title: str
    prior: RecoveryPrior
    prior_source: str
    storage: tuple[StoragePoint, ...]
    storage_source: str
    transcribed: str = ""
    checked: str = ""
    notes: tuple[str, ...] = ()
    sha256: str = ""
