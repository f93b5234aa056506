"""Results without a raw record: a typed table, or a supplier's certificate."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Determination
from resile.records.finding import Finding, Severity
from resile.records.reading import ReadingAccount, SourceFile

_SHOWN = 8


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
    def findings(self) -> tuple[Finding, ...]:
        """A caution that names the rows that were not used; empty where all were.

        It belongs on every statement made from the table: the determination that was left out may be the one
        that fails.
        """
        count = self.account.rows_refused_count
        if not count:
            return ()
        shown = self.account.rows_refused[:_SHOWN]
        told = "; ".join(f"{row.place}: {row.reason.partition('; known are')[0]}" for row in shown)
        more = f"; and {count - len(shown)} more" if count > len(shown) else ""
        finding = Finding(
            code="rows-not-used",
            severity=Severity.CAUTION,
            message=f"Values of {self.source.path} that were not used ({count}): {told}{more}.",
            rule="every row of a table of results is used or named",
            value=float(count),
            limit=0.0,
            source="own rule",
            advice="Mend the rows, or make sure that the statement does not rest on them.",
        )
        return (finding,)

    @property
    def samples(self) -> tuple[str, ...]:
        """Names of the samples, in the order of the file."""
        return tuple(dict.fromkeys(determination.sample for determination in self.determinations))
