"""The invented binders: pushed, heated, compared, and handed to the page that lets a reader drag them."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from resile.compute.rheology.creep.single_push import push_once, softened_model
from resile.compute.rheology.models.viscoelastic_models import (
    BurgersModel,
    KelvinElement,
    StressPulse,
    creep_recovery_response,
)
from resile.errors import InputError
from resile.records.explanation import ExplainingWords, LetterLimit, Push, TeachingBinder
from resile.records.specification import Specification
from resile.report.explaining.geometry import LAYOUT
from resile.specifications.explaining import load_explaining_words
from resile.specifications.load import load_specification
from resile.workflows.explaining.sentences import comparison, letter_of, what_moved

_DECIDING = "jnr_3.2"


@dataclass(frozen=True, slots=True)
class Trial:
    """One push of an invented binder, beside the same binder where the page starts.

    Attributes
    ----------
    binder : TeachingBinder
        What was pushed.
    push, reference, deciding : Push
        As asked; at the grade temperature and the stress that decides; as asked but at that stress.
    letter : LetterLimit or None
        Letter that lets this much stay behind at this temperature.
    sentences : tuple of str
        What a reader is told, in order.
    """

    binder: TeachingBinder
    push: Push
    reference: Push
    deciding: Push
    letter: LetterLimit | None
    sentences: tuple[str, ...]


def letter_limits(specification: Specification) -> tuple[LetterLimit, ...]:
    """Give what each letter of a specification lets stay behind.

    Parameters
    ----------
    specification : Specification
        With classes.

    Returns
    -------
    tuple of LetterLimit
        From the widest letter to the narrowest; empty where it has no letters.
    """
    limits = next((one.limits for one in specification.requirements if one.quantity == _DECIDING), {})
    ranked = sorted(specification.classes, key=lambda one: one.rank)
    return tuple(
        LetterLimit(one.name, one.title.partition(":")[0], limits[one.name])
        for one in ranked
        if one.name in limits
    )


def push_binder(words: ExplainingWords, name: str, *, stress_kpa: float, temperature_c: float) -> Push:
    """Push one of the invented binders.

    Parameters
    ----------
    words : ExplainingWords
        With the binders.
    name : str
        Short name of the binder.
    stress_kpa, temperature_c : float
        Stress [kPa] and temperature [°C].

    Returns
    -------
    Push
        What became of it.

    Raises
    ------
    InputError
        Where there is no such binder.
    """
    model = words.model
    return push_once(
        _softened(words, name, stress_kpa, temperature_c),
        stress_kpa=stress_kpa,
        temperature_c=temperature_c,
        creep_time_s=model.creep_time_s,
        recovery_time_s=model.recovery_time_s,
    )


def pushes_in_a_row(words: ExplainingWords, name: str) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Push an invented binder again and again where the page starts.

    Parameters
    ----------
    words : ExplainingWords
        With the binders.
    name : str
        Short name of the binder.

    Returns
    -------
    tuple of float
        Times [s], shape (n,).
    tuple of float
        Strain [ratio], shape (n,).
    """
    model = words.model
    length = model.creep_time_s + model.recovery_time_s
    starts = [number * length for number in range(model.pushes_in_a_row)]
    inside = (0.0, 0.25, 0.5, 1.0, 1.25, 1.5, 2.0, 3.0, 5.0, 10.0)
    times = [start + part * model.creep_time_s for start in starts for part in inside if part < length]
    times.append(length * model.pushes_in_a_row)
    stress = model.reference_stress_kpa
    strain = creep_recovery_response(
        _softened(words, name, stress, model.grade_temperature_c),
        times,
        pulses=[StressPulse(start, start + model.creep_time_s, stress) for start in starts],
    )
    return tuple(times), tuple(strain.tolist())


def try_binder(
    *,
    stress: str | float | None = None,
    temperature: str | float | None = None,
    binder: str | None = None,
    hotter: bool = False,
) -> Trial:
    """Push an invented binder as a reader asked for it.

    Parameters
    ----------
    stress : str or float, optional
        Stress [kPa]; the one that decides where not given.
    temperature : str or float, optional
        Temperature, whole degrees [°C]; the grade temperature where not given.
    binder : str, optional
        Short name; the one the page starts with where not given.
    hotter : bool
        Add the one step of the button, as far as the page goes.

    Returns
    -------
    Trial
        Numbers and sentences.

    Raises
    ------
    InputError
        Where something asked for is none of what can be tried.
    """
    words = load_explaining_words()
    model = words.model
    middle, reach = model.grade_temperature_c, model.warmest_c
    stress_kpa = _number(
        "stress",
        stress,
        model.reference_stress_kpa,
        (model.lowest_stress_kpa, model.highest_stress_kpa),
        "kPa",
    )
    warmth = _number("temperature", temperature, middle, (middle - reach, middle + reach), "°C")
    warmth = min(float(round(warmth)) + (model.hotter_step_c if hotter else 0), middle + reach)
    name = binder or model.first_binder
    limits = letter_limits(load_specification(words.specification))
    push = push_binder(words, name, stress_kpa=stress_kpa, temperature_c=warmth)
    decide = model.reference_stress_kpa
    reference = push_binder(words, name, stress_kpa=decide, temperature_c=middle)
    deciding = push_binder(words, name, stress_kpa=decide, temperature_c=warmth)
    kind = _binder(words, name)
    letter = letter_of(deciding.jnr, limits)
    return Trial(kind, push, reference, deciding, letter, _told(words, kind, push, reference, letter))


def model_to_json() -> dict[str, Any]:
    """Give the invented binders, the limits, the sentences and the picture for the script of the page.

    Returns
    -------
    dict
        The very numbers that Python computes with.
    """
    words = load_explaining_words()
    return {
        "model": asdict(words.model),
        "binders": [asdict(one) for one in words.binders],
        "limits": [asdict(one) for one in letter_limits(load_specification(words.specification))],
        "sentences": dict(words.sentences),
        "fractions": list(words.fractions),
        "layout": LAYOUT,
    }


def _binder(words: ExplainingWords, name: str) -> TeachingBinder:
    kind = words.binder(name)
    if kind is None:
        known = ", ".join(one.name for one in words.binders)
        raise InputError(f"binder: '{name}' found, one of {known} is needed")
    return kind


def _softened(words: ExplainingWords, name: str, stress_kpa: float, temperature_c: float) -> BurgersModel:
    kind = _binder(words, name)
    cold = BurgersModel(
        kind.maxwell_dashpot_kpa_s,
        kind.maxwell_spring_kpa,
        (KelvinElement(kind.kelvin_spring_kpa, kind.kelvin_dashpot_kpa_s),),
    )
    return softened_model(
        cold,
        warmer_c=temperature_c - words.model.grade_temperature_c,
        slope_per_c=kind.slope_per_c,
        stress_kpa=stress_kpa,
        doubling_stress_kpa=kind.doubling_stress_kpa,
    )


def _number(
    name: str, given: str | float | None, default: float, ends: tuple[float, float], unit: str
) -> float:
    """Take a number that was typed, with a point or a comma, between the ends."""
    if given is None or given == "":
        return float(default)
    try:
        value = float(str(given).strip().replace(",", "."))
    except ValueError:
        value = float("nan")
    low, high = ends
    if not low <= value <= high:
        raise InputError(f"{name}: '{given}' found, a number from {low:g} to {high:g} {unit} is needed")
    return value


def _told(
    words: ExplainingWords, kind: TeachingBinder, push: Push, reference: Push, letter: LetterLimit | None
) -> tuple[str, ...]:
    say, model = words.sentences, words.model
    values = {
        "binder": kind.title[0].upper() + kind.title[1:],
        "temperature": f"{push.temperature_c:g}",
        "stress": f"{push.stress_kpa:g}",
        "reference_stress": f"{model.reference_stress_kpa:g}",
        "grade_temperature": f"{model.grade_temperature_c:g}",
        "letter": letter.service_class if letter else "",
    }
    than = say["than_reference"].format(**values)
    ratio = push.recovered_strain / reference.recovered_strain
    return (
        say["state"].format(**values),
        *what_moved(push, say),
        say["compared"].format(comparison=comparison(ratio, words), than=than),
        say["letter_now" if letter else "letter_now_none"].format(**values),
    )
