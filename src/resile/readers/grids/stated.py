"""What a heading states beside its quantity: a temperature, a frequency, the replicate.

``Gstar_Pa_44.7C_10rad_s`` is a modulus in Pa at 44.7 °C and 10 rad/s, ``high_grade_rep1_C`` the first
replicate.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_TEMPERATURE = re.compile(r"(?<![\d.,])(-?\d+(?:[.,]\d+)?)(?:\s*(?:°|º|deg)\s*C|C)(?![^\W_])", re.IGNORECASE)
_FREQUENCY = re.compile(r"(?<![\d.,])(\d+(?:[.,]\d+)?)\s*(rad\s*[/_ ]\s*s|Hz)(?![^\W_])", re.IGNORECASE)
_REPLICATE = re.compile(
    r"(?<![^\W_])(?:rep(?:licate|etition)?[\s_.]*(\d{1,2})|(mean|average|avg))(?![^\W_])", re.IGNORECASE
)
RADIANS_PER_TURN = 6.283185307179586
MEAN = "mean"
"""Replicate of a value that the heading calls a mean."""


@dataclass(frozen=True, slots=True)
class Stated:
    """What a heading states beside its quantity.

    Attributes
    ----------
    temperature_c : float or None
        Test temperature [°C].
    radians_per_s : float or None
        Angular frequency [rad/s].
    replicate : str
        Number of the replicate, ``"mean"``, or empty.
    bare : str
        The heading without what it states.
    """

    temperature_c: float | None
    radians_per_s: float | None
    replicate: str
    bare: str


def what_is_stated(heading: str) -> Stated:
    """Take temperature, frequency and replicate out of a heading.

    Parameters
    ----------
    heading : str
        As printed.

    Returns
    -------
    Stated
        Nothing but the heading itself where it states nothing.

    Examples
    --------
    >>> what_is_stated("viscosity at 135 °C, Pa·s").temperature_c
    135.0
    >>> what_is_stated("high_grade_rep2_C").replicate
    '2'
    """
    celsius, frequency = _TEMPERATURE.search(heading), _FREQUENCY.search(heading)
    replicate = _REPLICATE.search(heading)
    bare = heading
    for found in (celsius, frequency, replicate):
        bare = bare.replace(found[0], " ", 1) if found else bare
    radians = None
    if frequency:
        radians = _number(frequency[1]) * (RADIANS_PER_TURN if "h" in frequency[2].casefold() else 1.0)
    return Stated(
        _number(celsius[1]) if celsius else None,
        radians,
        (replicate[1] or MEAN) if replicate else "",
        re.sub(r"[\s_]+", " ", bare).strip(" ,;"),
    )


def _number(text: str) -> float:
    return float(text.replace(",", "."))
