"""Where the lines of the pictures lie. The script of the live page draws with the same layout.

Plain drawings of our own rather than charts: a reader drags them, so a script must move their lines, and the
words in them must stay readable on a telephone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from resile.records.explanation import LetterLimit, Push

LAYOUT: dict[str, float] = {
    "width": 440,
    "height": 316,
    "left": 52,
    "right": 296,
    "top": 60,
    "bottom": 268,
    "words": 316,
    "apart": 44,
    "room": 1.06,
    "ticks": 5,
    "ladder_left": 136,
    "ladder_right": 428,
    "ladder_room": 1.12,
}
"""Lengths in the units of the drawing; ``room`` is what lies above the highest point, as a factor."""

_GROUP = "\N{NARROW NO-BREAK SPACE}"


@dataclass(frozen=True, slots=True)
class PushGeometry:
    """The lines of one push.

    Attributes
    ----------
    curve, ghost, leftover, springing : str
        Paths: the push, the push it is compared with (empty for none), what stays, what springs back.
    ticks : tuple of tuple
        Place and words of each mark of the upright axis.
    peak_y, left_y, floor_y : float
        Heights of the peak, of what stays, and of the start.
    back_words_y, left_words_y : float
        Where the words of the two pieces stand.
    let_go_x : float
        Where the push ends.
    """

    curve: str
    ghost: str
    leftover: str
    springing: str
    ticks: tuple[tuple[float, str], ...]
    peak_y: float
    left_y: float
    floor_y: float
    back_words_y: float
    left_words_y: float
    let_go_x: float


def push_geometry(push: Push, ghost: Push | None = None) -> PushGeometry:
    """Give the lines of one push, and of another it is compared with.

    Parameters
    ----------
    push : Push
        The push.
    ghost : Push, optional
        Drawn behind it, to the same scale.

    Returns
    -------
    PushGeometry
        In the units of `LAYOUT`.
    """
    place = LAYOUT
    most = max(push.creep_strain, ghost.creep_strain if ghost else 0.0)
    top = most * place["room"]
    length = push.creep_time_s + push.recovery_time_s

    def x(time: float) -> float:
        return place["left"] + (place["right"] - place["left"]) * time / length

    def y(strain: float) -> float:
        return place["bottom"] - (place["bottom"] - place["top"]) * strain / top

    points = [(x(t), y(s)) for t, s in zip(push.time_s, push.strain, strict=True)]
    peak_y, left_y, floor_y = y(push.creep_strain), y(push.recovered_strain), y(0.0)
    let_go = x(push.creep_time_s)
    kept = [(across, max(up, left_y)) for across, up in points]
    sprung = [(across, up) for across, up in points if across >= let_go]
    back_y, words_y = 0.5 * (peak_y + left_y), 0.5 * (left_y + floor_y)
    short = 0.5 * max(0.0, place["apart"] - (words_y - back_y))
    back_y = max(back_y - short, place["top"])
    words_y = max(words_y + short, back_y + place["apart"])
    over = max(0.0, words_y - place["bottom"])
    return PushGeometry(
        curve=_path(points),
        ghost=_path([(x(t), y(s)) for t, s in zip(ghost.time_s, ghost.strain, strict=True)]) if ghost else "",
        leftover=f"{_path(kept)}L{x(length):.2f} {floor_y:.2f}L{x(0.0):.2f} {floor_y:.2f}Z",
        springing=f"{_path(sprung)}L{x(length):.2f} {peak_y:.2f}L{let_go:.2f} {peak_y:.2f}Z",
        ticks=tuple((y(at), words) for at, words in _ticks(most)),
        peak_y=peak_y,
        left_y=left_y,
        floor_y=floor_y,
        back_words_y=back_y - over,
        left_words_y=words_y - over,
        let_go_x=let_go,
    )


def ladder_x(jnr: float, limits: tuple[LetterLimit, ...]) -> float:
    """Give where a compliance stands on the ladder of letters; never beyond its end.

    Parameters
    ----------
    jnr : float
        Strain that stays, per stress [1/kPa].
    limits : tuple of LetterLimit
        From the widest letter on.

    Returns
    -------
    float
        Place across, in the units of `LAYOUT`.
    """
    share = min(1.0, jnr / (limits[0].limit * LAYOUT["ladder_room"]))
    return LAYOUT["ladder_left"] + (LAYOUT["ladder_right"] - LAYOUT["ladder_left"]) * share


def row_geometry(
    rows: dict[str, tuple[tuple[float, ...], tuple[float, ...]]],
) -> dict[str, tuple[str, float]]:
    """Give the paths of several binders pushed again and again, and the height of their ends.

    Parameters
    ----------
    rows : dict of str to tuple
        Times [s] and strain [ratio] of each.

    Returns
    -------
    dict of str to tuple
        Path and height of its end; ends stand apart so that words fit.
    """
    place = LAYOUT
    most = max(max(strain) for _, strain in rows.values()) * place["room"]
    longest = max(times[-1] for times, _ in rows.values())
    width, height = place["right"] - place["left"], place["bottom"] - place["top"]
    drawn: dict[str, tuple[str, float]] = {}
    for name, (times, strain) in rows.items():
        points = [
            (place["left"] + width * t / longest, place["bottom"] - height * s / most)
            for t, s in zip(times, strain, strict=True)
        ]
        drawn[name] = (_path(points), points[-1][1])
    return _apart(drawn, 24.0)


def _apart(drawn: dict[str, tuple[str, float]], least: float) -> dict[str, tuple[str, float]]:
    """Move words up from the lowest one until each has its room."""
    below = math.inf
    for name, (path, at) in sorted(drawn.items(), key=lambda item: -item[1][1]):
        below = min(at, below - least)
        drawn[name] = (path, below)
    return drawn


def _ticks(most: float) -> list[tuple[float, str]]:
    """Give the marks of the upright axis: round steps of strain in per cent, from zero."""
    rough = 100.0 * most / 3.0
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * digit for digit in (1, 2, 5, 10) if power * digit >= rough)
    count = math.floor(100.0 * most / step + 1e-9)
    return [(step * n / 100.0, grouped(step * n)) for n in range(count + 1)]


def grouped(value: float) -> str:
    """Write a number with thousands set apart; no more digits than it needs.

    Parameters
    ----------
    value : float
        The number.

    Returns
    -------
    str
        As shown on the axis.
    """
    text = f"{round(value, 6):,.6f}".rstrip("0").rstrip(".")
    return text.replace(",", _GROUP)


def _path(points: list[tuple[float, float]]) -> str:
    first, *others = points
    return f"M{first[0]:.2f} {first[1]:.2f}" + "".join(f"L{x:.2f} {y:.2f}" for x, y in others)
