"""What was said of a file beside what the file says of itself."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from resile.judge.findings import judge_measures
from resile.judge.wording import residue_words, temperature_words
from resile.records.determination import Condition
from resile.records.file_statement import FileStatement
from resile.records.finding import Finding, FindingRule, Measure


def judge_contradictions(
    said: FileStatement, file: FileStatement, rules: Sequence[FindingRule]
) -> tuple[Finding, ...]:
    """Tell where what was said of a file contradicts the file.

    Parameters
    ----------
    said, file : FileStatement
        What was said of it, and what it says of itself; what either leaves open contradicts nothing.
    rules : sequence of FindingRule
        Of contradictions.

    Returns
    -------
    tuple of Finding
        Empty where both agree.
    """
    measures = [*_residue(said, file), *_temperature(said, file), *_day(said, file), *_instrument(said, file)]
    return judge_measures(measures, rules) if measures else ()


def _residue(said: FileStatement, file: FileStatement) -> list[Measure]:
    if Condition.UNKNOWN in (said.condition, file.condition):
        return []
    where = (
        f"The file names {residue_words(file.condition)} binder; it was said to be "
        f"{residue_words(said.condition)}"
    )
    return [Measure("residue_contradicts", float(said.condition != file.condition), where=where, flag=True)]


def _temperature(said: FileStatement, file: FileStatement) -> list[Measure]:
    if not (said.temperatures_c and file.temperatures_c):
        return []
    told = said.temperatures_c[0]
    nearest = min(file.temperatures_c, key=lambda one: abs(one - told))
    where = f"The file is of {temperature_words(nearest)}; it was said to be of {temperature_words(told)}"
    return [Measure("temperature_difference_c", abs(nearest - told), "°C", where)]


def _day(said: FileStatement, file: FileStatement) -> list[Measure]:
    try:
        first, second = (date.fromisoformat(one.tested[:10]) for one in (said, file))
    except ValueError:
        return []
    where = f"The file says that it was tested on {second}; it was said to be of {first}"
    return [Measure("days_apart", abs((second - first).days), "days", where)]


def _instrument(said: FileStatement, file: FileStatement) -> list[Measure]:
    named = [_plain(one) for one in said.instruments if _plain(one)]
    own = [_plain(one) for one in file.instruments if _plain(one)]
    if not (named and own):
        return []
    # "Rheometer 2 (S/N 1234)" and "rheometer 2" name one instrument: either may hold the other.
    same = any(a in b or b in a for a in named for b in own)
    where = (
        f"The file names the instrument {file.instruments[0]!r}; it was said to be {said.instruments[0]!r}"
    )
    return [Measure("instrument_contradicts", float(not same), where=where, flag=True)]


def _plain(text: str) -> str:
    return "".join(sign for sign in text.casefold() if sign.isalnum())
