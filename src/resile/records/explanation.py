"""What people outside the laboratory are told: one push in numbers, a result in sentences, binders to try."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Push:
    """One push of a binder and what became of it.

    Attributes
    ----------
    stress_kpa, temperature_c : float
        Shear stress of the push [kPa] and temperature [°C].
    creep_time_s, recovery_time_s : float
        How long it was pushed and how long let go [s].
    creep_strain, recovered_strain : float
        Strain at the end of the push and at the end of the rest, counted from its start [ratio].
    percent_recovery : float
        Share that sprang back [%].
    jnr : float
        Strain that stayed, per stress [1/kPa].
    time_s, strain : tuple of float
        The path between, shape (n,) each [s], [ratio].
    """

    stress_kpa: float
    temperature_c: float
    creep_time_s: float
    recovery_time_s: float
    creep_strain: float
    recovered_strain: float
    percent_recovery: float
    jnr: float
    time_s: tuple[float, ...]
    strain: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class TeachingBinder:
    """An invented binder to try.

    Attributes
    ----------
    name, title, words : str
        Short name, words for a person, and what it is.
    slope_per_c : float
        Change of the natural logarithm of the flow by one degree [1/°C].
    slope_source : str
        Where the slope comes from.
    doubling_stress_kpa : float
        Stress at which the flow for each kPa has doubled [kPa].
    maxwell_dashpot_kpa_s, maxwell_spring_kpa, kelvin_spring_kpa, kelvin_dashpot_kpa_s : float
        Elements at the grade temperature and a vanishing stress [kPa·s], [kPa].
    """

    name: str
    title: str
    words: str
    slope_per_c: float
    slope_source: str
    doubling_stress_kpa: float
    maxwell_dashpot_kpa_s: float
    maxwell_spring_kpa: float
    kelvin_spring_kpa: float
    kelvin_dashpot_kpa_s: float


@dataclass(frozen=True, slots=True)
class TeachingModel:
    """How the invented binders may be pushed and heated.

    Attributes
    ----------
    creep_time_s, recovery_time_s : float
        As in `Push` [s].
    grade_temperature_c, warmest_c, hotter_step_c : int
        Temperature the page starts at, how far it may be left in either direction, and the step of the one
        button [°C].
    reference_stress_kpa, lowest_stress_kpa, highest_stress_kpa : float
        Stress that decides the letter, and the ends of what may be tried [kPa].
    retardation_time_s : float
        How a result is drawn of which only the two numbers are known [s].
    pushes_in_a_row : int
        Pushes of the picture that adds up.
    first_binder : str
        Short name of the binder the page starts with.
    source, evidence : str
        Where the numbers come from, and the evidence mark.
    """

    creep_time_s: float
    recovery_time_s: float
    grade_temperature_c: int
    warmest_c: int
    hotter_step_c: int
    reference_stress_kpa: float
    lowest_stress_kpa: float
    highest_stress_kpa: float
    retardation_time_s: float
    pushes_in_a_row: int
    first_binder: str
    source: str
    evidence: str


@dataclass(frozen=True, slots=True)
class ExplainingWords:
    """One file of words for people outside the laboratory.

    Attributes
    ----------
    identifier, title : str
        As in a specification.
    specification : str
        Whose letters and limits are explained.
    example_grade : str
        The name that is taken apart.
    model : TeachingModel
        How the invented binders are pushed.
    binders : tuple of TeachingBinder
        From plain to modified.
    sentences, grade_parts, adding_up : mapping of str to str
        Sentences with words in braces, by their use.
    fractions : tuple of str
        Words for one part in so many, by the number.
    pieces, misunderstandings, terms : tuple of mapping
        Blocks as in the file.
    cautions : tuple of str
        Cautions in words.
    road_over_air_c : int
        How much hotter than the air a black road is, about [°C].
    sha256 : str
        Hash of the file.
    """

    identifier: str
    title: str
    specification: str
    example_grade: str
    model: TeachingModel
    binders: tuple[TeachingBinder, ...]
    sentences: Mapping[str, str]
    fractions: tuple[str, ...]
    grade_parts: Mapping[str, str]
    adding_up: Mapping[str, str]
    pieces: tuple[Mapping[str, str], ...]
    misunderstandings: tuple[Mapping[str, str], ...]
    terms: tuple[Mapping[str, str], ...]
    cautions: tuple[str, ...]
    road_over_air_c: int
    sha256: str = ""

    def binder(self, name: str) -> TeachingBinder | None:
        """Give the invented binder of a name.

        Parameters
        ----------
        name : str
            Short name.

        Returns
        -------
        TeachingBinder or None
            None where there is none.
        """
        return next((one for one in self.binders if one.name == name), None)


@dataclass(frozen=True, slots=True)
class LetterLimit:
    """What one letter lets stay behind.

    Attributes
    ----------
    service_class : str
        The letter.
    title : str
        Its traffic in words.
    limit : float
        Largest Jnr at 3.2 kPa [1/kPa].
    """

    service_class: str
    title: str
    limit: float


@dataclass(frozen=True, slots=True)
class Explanation:
    """A binder's result in one picture and five sentences.

    Attributes
    ----------
    push : Push
        The result as one push.
    service_class : str
        Letter that was stated; empty for none.
    limits : tuple of LetterLimit
        From the widest letter to the narrowest.
    sentences : tuple of str
        Five of them, in the order they are read.
    sample, sample_description, laboratory, number, date : str
        Whose result, from which report; empty where not known.
    specification : str
        Identifier of the specification of the letters.
    cautions : tuple of str
        What the reader must know beside it.
    """

    push: Push
    service_class: str
    limits: tuple[LetterLimit, ...]
    sentences: tuple[str, ...]
    sample: str = ""
    sample_description: str = ""
    laboratory: str = ""
    number: str = ""
    date: str = ""
    specification: str = ""
    cautions: tuple[str, ...] = ()
