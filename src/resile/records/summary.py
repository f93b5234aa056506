"""Results without a raw record: a typed table, or a supplier's certificate."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Determination
from resile.records.reading import ReadingAccount, SourceFile


@dataclass(frozen=True, slots=True)
class SummaryTable:
    """The determinations of one file of results.

    Attributes
    ----------
    determinations : tuple of Determination
        In the order of the file; `raw` is False for all of them. A traffic class as the laboratory reported
        it is one of them: quantity ``traffic_class``, value None, the letter or word in `text`.
    source : SourceFile
        The file.
    account : ReadingAccount
        How it was understood: columns, rows refused and why, what was assumed.
    """

    determinations: tuple[Determination, ...]
    source: SourceFile
    account: ReadingAccount

    @property
    def remarks(self) -> tuple[str, ...]:
        """What was assumed, rebuilt or corrected."""
        return self.account.remarks

    @property
    def samples(self) -> tuple[str, ...]:
        """Names of the samples, in the order of the file."""
        return tuple(dict.fromkeys(determination.sample for determination in self.determinations))
