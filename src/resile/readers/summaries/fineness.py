"""How finely a number was printed, where a spreadsheet dropped the noughts at its end.

A spreadsheet shows 0.1700 as 0.17 and 0.0000 as 0. Read alone such a number seems rounded to its last digit,
and a misprint beside it hides in that rounding; its column tells how finely it was given.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Sequence

from resile.readers.summaries.values import Conversion
from resile.records.determination import Determination

Entry = tuple[Determination, Conversion]

_BARE = frozenset({"0", "1", "-1"})
_MOST_DECIMALS = 6  # beyond these the digits are those of a computation, not of a print
_FEWEST_VALUES = 6
_SHARE = 2.0 / 3.0


def dropped_noughts(entries: Sequence[Entry]) -> dict[int, float]:
    """Find the numbers that lost noughts at their end.

    Parameters
    ----------
    entries : sequence of (Determination, Conversion)
        Of a whole table.

    Returns
    -------
    dict of int to float
        By place, one unit of the last digit as it was given, in the unit of the determination.

    Notes
    -----
    Two rules, both common practice, no source. Within one column and one power of ten two thirds of at least
    six values have the same decimals, at most six: those with fewer have lost noughts. (Within one power of
    ten, so that three significant figures are not taken for it.) A bare 0, 1 or -1 takes the coarsest
    fineness of its column where two other values or more have decimals and all of them do.
    """
    columns: dict[tuple[str, float], list[int]] = defaultdict(list)
    for place, (determination, conversion) in enumerate(entries):
        if determination.value is not None and determination.resolution:
            columns[determination.quantity, conversion.factor].append(place)
    found: dict[int, float] = {}
    for (_, factor), places in columns.items():
        decimals = {place: _decimals(entries[place][0], factor) for place in places}
        short = _within_powers(entries, decimals, factor)
        found |= {place: abs(factor) * 10.0**-usual for place, usual in short.items()}
        found |= _bare_numbers(entries, decimals | short, factor)
    return found


def _decimals(determination: Determination, factor: float) -> int:
    return round(-math.log10((determination.resolution or 1.0) / abs(factor)))


def _within_powers(entries: Sequence[Entry], decimals: dict[int, int], factor: float) -> dict[int, int]:
    powers: dict[int, list[int]] = defaultdict(list)
    for place in decimals:
        value = abs(entries[place][0].value or 0.0) / abs(factor)
        if value > 0.0:
            powers[math.floor(math.log10(value))].append(place)
    found: dict[int, int] = {}
    for places in powers.values():
        usual, count = Counter(decimals[place] for place in places).most_common(1)[0]
        if len(places) >= _FEWEST_VALUES and count >= _SHARE * len(places) and usual <= _MOST_DECIMALS:
            short = [place for place in places if decimals[place] < usual]
            found |= dict.fromkeys(short, usual)
    return found


def _bare_numbers(entries: Sequence[Entry], decimals: dict[int, int], factor: float) -> dict[int, float]:
    bare = [place for place in decimals if entries[place][0].text in _BARE]
    others = [count for place, count in decimals.items() if place not in bare]
    if len(others) < 2 or min(others) < 1:
        return {}
    return dict.fromkeys(bare, abs(factor) * 10.0 ** -min(others))
