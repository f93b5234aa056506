"""Reclaimed binder: how much of it, with which new binder, and what published practice says."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ShareWindow:
    """Shares of reclaimed binder that keep every criterion, by the linear rule.

    Attributes
    ----------
    lowest, highest : float
        Ends as ratios of the binder, the lowest rounded up and the highest down.
    exact_lowest, exact_highest : float
        The same before rounding.
    open : bool
        False where no share keeps every criterion.
    """

    lowest: float
    highest: float
    exact_lowest: float
    exact_highest: float
    open: bool


@dataclass(frozen=True, slots=True)
class RecyclingDose:
    """Dose of a recycling agent, by straight lines between a blend without it and one with a tested dose.

    Attributes
    ----------
    dose_percent : float
        Dose that brings the high temperature to the wanted one [%].
    high_c, low_c : float
        High and low temperature at that dose [°C].
    largest_percent : float or None
        Largest dose that keeps the high temperature of the contract [%]; None where none was named.
    extrapolated : bool
        True where the dose lies beyond the tested one.
    largest_extrapolated : bool
        The same of the largest dose.
    """

    dose_percent: float
    high_c: float
    low_c: float
    largest_percent: float | None = None
    extrapolated: bool = False
    largest_extrapolated: bool = False


@dataclass(frozen=True, slots=True)
class WarmMixGain:
    """What a cooler plant saves of the new binder's low grade.

    Attributes
    ----------
    new_binder : str
        Grade of the new binder.
    gain_per_c : float
        Improvement of the low grade for one degree less at the plant [°C/°C].
    """

    new_binder: str
    gain_per_c: float


@dataclass(frozen=True, slots=True)
class ReclaimedTier:
    """What a share of reclaimed material asks for.

    Attributes
    ----------
    from_percent : float
        Where the tier begins; it ends where the next one does [%].
    included : bool
        True where this very share belongs to it.
    asks : str
        What to do, in words.
    """

    from_percent: float
    included: bool
    asks: str


@dataclass(frozen=True, slots=True)
class PublishedBlend:
    """A blend that was tested, set beside the linear rule.

    Attributes
    ----------
    share : float
        Share of reclaimed binder, as a ratio.
    high_error_c, low_error_c : float
        Measured less predicted high and low temperature [°C].
    """

    share: float
    high_error_c: float
    low_error_c: float


@dataclass(frozen=True, slots=True)
class ReclaimedPractice:
    """Published practice for reclaimed binder, as read from one TOML file.

    Attributes
    ----------
    identifier, title : str
        Name, and words for a person.
    beam_offset_c : float
        Test temperature of a beam less the low number of the grade [°C].
    high_temperatures_c, low_temperatures_c : tuple of float
        Ladders of grades [°C].
    warm_mix : tuple of WarmMixGain
        Improvement of the low grade by the kind of new binder.
    warm_mix_source, tiers_source, blends_source : str
        Documents of the three tables, each with its evidence mark.
    tiers : tuple of ReclaimedTier
        What each share asks for.
    blends : tuple of PublishedBlend
        Tested blends beside the linear rule.
    transcribed, checked : str
        Who or what, and when; empty `checked` means unchecked.
    notes : tuple of str
        Cautions in words.
    sha256 : str
        Hash of the file.
    """

    identifier: str
    title: str
    beam_offset_c: float
    high_temperatures_c: tuple[float, ...]
    low_temperatures_c: tuple[float, ...]
    warm_mix: tuple[WarmMixGain, ...]
    warm_mix_source: str
    tiers: tuple[ReclaimedTier, ...]
    tiers_source: str
    blends: tuple[PublishedBlend, ...]
    blends_source: str
    transcribed: str = ""
    checked: str = ""
    notes: tuple[str, ...] = ()
    sha256: str = ""


@dataclass(frozen=True, slots=True)
class ReclaimedLine:
    """One critical temperature.

    Attributes
    ----------
    criterion : str
        Residue or test it belongs to.
    new_c, reclaimed_c, wanted_c : float or None
        Of the new binder, of the reclaimed binder, and wanted of the blend [°C]; None where not given.
    needed_c : float or None
        What the new binder needs at the share asked for [°C].
    blend_c : float or None
        What the blend has at the share asked for [°C].
    share : float or None
        Share at which the blend just meets what is wanted, as a ratio; None where no blend changes.
    """

    criterion: str
    new_c: float | None
    reclaimed_c: float
    wanted_c: float | None
    needed_c: float | None = None
    blend_c: float | None = None
    share: float | None = None


@dataclass(frozen=True, slots=True)
class ReclaimedAnswer:
    """How much reclaimed binder, or which new binder.

    Attributes
    ----------
    lines : tuple of ReclaimedLine
        One for each critical temperature.
    share_percent : float or None
        Share asked for [%].
    window : ShareWindow or None
        Shares that keep every criterion, where the new binder is given.
    needed_high_c, needed_low_c : float or None
        Grade of the new binder that serves, where a share is given [°C].
    tier : ReclaimedTier or None
        What published practice asks for at that share.
    practice : ReclaimedPractice
        The file behind it, with how far tested blends were from the rule.
    """

    lines: tuple[ReclaimedLine, ...]
    share_percent: float | None
    window: ShareWindow | None
    needed_high_c: float | None
    needed_low_c: float | None
    tier: ReclaimedTier | None
    practice: ReclaimedPractice
