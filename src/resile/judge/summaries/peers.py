"""One replicate against the others: a value that is a tenth of its peers has probably lost a digit."""

from __future__ import annotations

import statistics
from collections.abc import Iterator, Mapping, Sequence

from resile.judge.summaries.plausibility import Where, finding_of
from resile.judge.wording import number_words
from resile.records.check import SummaryCheck
from resile.records.determination import Determination
from resile.records.finding import Finding
from resile.records.quantity import QUANTITIES

CODE = "digit-lost-in-replicate"


def findings_among_peers(
    reported: Mapping[str, Determination],
    peers: Sequence[Determination],
    table: Mapping[str, SummaryCheck],
    where: Where,
) -> Iterator[Finding]:
    """Compare one specimen's values with those of the other replicates.

    Parameters
    ----------
    reported : mapping of str to Determination
        Values of the specimen by quantity.
    peers : sequence of Determination
        Values of the other replicates; at least two a quantity are needed, and they must agree.
    table : mapping of str to SummaryCheck
        Checks by code.
    where : callable
        Gives the place of a quantity in words.

    Yields
    ------
    Finding
        One a quantity that is off by a factor of ten.
    """
    check = table.get(CODE)
    if check is None:
        return
    factor, agreement = check.limits["factor"], check.limits["agreement_ratio"]
    for name, own in reported.items():
        others = [d.value for d in peers if d.quantity == name and d.value is not None and d.value > 0.0]
        if own.value is None or own.value <= 0.0 or len(others) < 2:
            continue
        middle = statistics.median(others)
        if max(others) - min(others) > agreement * middle:
            continue
        for step, words in ((1.0 / factor, "a tenth of"), (factor, "ten times")):
            if abs(own.value / step - middle) <= agreement * middle:
                symbol, unit = QUANTITIES[name].symbol, QUANTITIES[name].unit
                message = (
                    f"{where(name)}: {symbol} of {number_words(own.value)} {unit} is about {words} its peers "
                    f"({', '.join(number_words(value) for value in others)}): probably a lost digit."
                )
                yield finding_of(check, message, own.value, middle, unit)
