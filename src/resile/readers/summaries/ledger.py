"""What is gathered from the rows of a summary table; what is said of repeats and of doubtful units."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, field, replace

from resile.readers.summaries.fineness import dropped_noughts
from resile.readers.summaries.values import Conversion
from resile.records.determination import Determination
from resile.records.finding import Finding, Severity
from resile.records.quantity import REPORTED_QUANTITIES, WORD_QUANTITIES
from resile.records.reading import RefusedRow

MOST_REFUSED_LISTED = 50
WITHOUT_TEMPERATURE = frozenset(
    {"mass_change_percent", "flash_point", *REPORTED_QUANTITIES} - WORD_QUANTITIES
)
_LARGEST_FRACTION = 1.2
_SMALLEST_TELLING_RECOVERY = 0.05


@dataclass(slots=True)
class Ledger:
    """Determinations, refusals and remarks in the order of the file.

    Attributes
    ----------
    entries : list of (Determination, Conversion)
        What was kept, and how its unit was brought to the glossary's.
    refused : list of RefusedRow
        The first `MOST_REFUSED_LISTED` refusals.
    refused_count : int
        All refusals.
    remarks : dict of str to None
        Sentences, each once, in the order in which they arose.
    missing : dict of str to list of (str, str)
        By quantity, place and printed text of each cell without a value.
    rows_kept, rows_converted : int
        Rows that gave a determination; those of them where a unit was converted.
    """

    entries: list[tuple[Determination, Conversion]] = field(default_factory=list)
    refused: list[RefusedRow] = field(default_factory=list)
    refused_count: int = 0
    remarks: dict[str, None] = field(default_factory=dict)
    missing: dict[str, list[tuple[str, str]]] = field(default_factory=dict)
    rows_kept: int = 0
    rows_converted: int = 0

    def refuse(self, place: str, text: str, reason: str) -> None:
        """Note a row, or one cell of it, that is not used."""
        self.refused_count += 1
        if len(self.refused) < MOST_REFUSED_LISTED:
            self.refused.append(RefusedRow(place, text[:80], reason))

    def remark(self, text: str) -> None:
        """Note a sentence once."""
        if text:
            self.remarks.setdefault(text)

    def miss(self, quantity: str, place: str, text: str) -> None:
        """Note a cell without a value."""
        self.missing.setdefault(quantity, []).append((place, text))

    def remark_missing(self) -> None:
        """Say once for each quantity where values are missing."""
        for quantity, cells in self.missing.items():
            place, text = cells[0]
            shown = f"{text!r}" if text else "an empty cell"
            more = f" and {len(cells) - 1} more places" if len(cells) > 1 else ""
            self.remark(f"{quantity}: no value in {place} ({shown}){more}")

    def keep(self, entries: list[tuple[Determination, Conversion]]) -> None:
        """Note what one row gave."""
        if entries:
            self.rows_kept += 1
            self.rows_converted += any(c.factor != 1.0 or c.offset != 0.0 for _, c in entries)
            self.entries += entries

    def settle_repeats(self, *, is_long: bool) -> None:
        """Take out what is printed twice and number determinations that nothing tells apart."""
        if not is_long:
            self._take_once()
        self._refuse_repeated_rows()
        self._number_replicates()

    def restore_fineness(self) -> None:
        """Give numbers whose last noughts a spreadsheet dropped the fineness of their column."""
        for place, resolution in dropped_noughts(self.entries).items():
            determination, conversion = self.entries[place]
            self.entries[place] = (replace(determination, resolution=resolution), conversion)

    def doubt_units(self) -> None:
        """Attach a finding where recoveries are fractions under a percent sign, or the other way round."""
        recoveries = [
            (place, determination, conversion)
            for place, (determination, conversion) in enumerate(self.entries)
            if determination.quantity.startswith("percent_recovery_") and determination.value is not None
        ]
        as_percent = [entry for entry in recoveries if entry[2].factor == 1.0]
        sizes = [abs(determination.value or 0.0) for _, determination, _ in as_percent]
        telling = sum(size > _SMALLEST_TELLING_RECOVERY for size in sizes)
        if sizes and max(sizes) <= 1.0 and telling >= 2:
            for place, determination, _ in as_percent:
                self._doubt(place, determination, _percent_finding(max(sizes)))
        for place, determination, conversion in recoveries:
            printed = abs(determination.value or 0.0) / conversion.factor
            if conversion.factor > 1.0 and printed > _LARGEST_FRACTION:
                self._doubt(place, determination, _fraction_finding(determination, printed))

    def _doubt(self, place: int, determination: Determination, finding: Finding) -> None:
        doubted = replace(determination, findings=(*determination.findings, finding))
        self.entries[place] = (doubted, self.entries[place][1])
        self.remark(finding.message)

    def _take_once(self) -> None:
        """A property without temperature may stand on every row of its specimen: it is one determination."""
        seen: set[tuple[str, ...]] = set()
        kept = []
        for determination, conversion in self.entries:
            key = (*_specimen(determination), determination.text)
            if determination.quantity in WITHOUT_TEMPERATURE and key in seen:
                self.remark(
                    f"{determination.quantity} of {determination.sample}: printed on several rows, taken once"
                )
                continue
            seen.add(key)
            kept.append((determination, conversion))
        self.entries = kept

    def _refuse_repeated_rows(self) -> None:
        first: dict[tuple[str, ...], Determination] = {}
        kept = []
        for determination, conversion in self.entries:
            key = (*_specimen(determination), str(determination.temperature_c))
            earlier = first.setdefault(key, determination)
            if determination.replicate and earlier is not determination:
                if earlier.text == determination.text:
                    reason = f"{determination.quantity} repeats {earlier.place}, same sample and replicate"
                    self.refuse(determination.place, determination.text, reason)
                    continue
                self.remark(
                    f"{determination.place}: {determination.quantity} of {determination.sample}, "
                    f"replicate {determination.replicate}, also stands in {earlier.place} "
                    "with another value; both are kept"
                )
            kept.append((determination, conversion))
        self.entries = kept

    def _number_replicates(self) -> None:
        groups: dict[tuple[str, ...], list[int]] = defaultdict(list)
        for place, (determination, _) in enumerate(self.entries):
            if not determination.replicate:
                celsius = determination.temperature_c
                groups[(*_specimen(determination), "" if celsius is None else str(round(celsius)))].append(
                    place
                )
        for places in groups.values():
            if len(places) < 2:
                continue
            self.remark("nothing tells repeated determinations apart: numbered in the order of the file")
            for number, place in enumerate(places, start=1):
                determination, conversion = self.entries[place]
                self.entries[place] = (replace(determination, replicate=str(number)), conversion)


def summarise_refusals(refused: list[RefusedRow]) -> str:
    """Give the commonest reason with its first place, for the case that nothing could be kept."""
    if not refused:
        return "no row below the headings holds a value"
    reason, count = Counter(row.reason for row in refused).most_common(1)[0]
    first = next(row for row in refused if row.reason == reason)
    return f"{first.place}: {reason}" + (f" (and {count - 1} more rows)" if count > 1 else "")


def _specimen(determination: Determination) -> tuple[str, ...]:
    return (
        determination.sample,
        determination.condition.value,
        determination.quantity,
        determination.replicate,
    )


def _percent_finding(largest: float) -> Finding:
    return Finding(
        code="unit-suspected",
        severity=Severity.CAUTION,
        message=f"every recovery lies within {largest:g} %: these may be fractions under a percent sign",
        rule="a table of recoveries in % has a value above 1 %",
        value=largest,
        limit=1.0,
        unit="%",
        source="common practice, no source",
        advice="look at the raw record; give the column the unit 'fraction' if that is what it holds",
    )


def _fraction_finding(determination: Determination, printed: float) -> Finding:
    return Finding(
        code="unit-suspected",
        severity=Severity.CAUTION,
        message=f"{determination.place}: recovery printed as {printed:g} under a heading that says fraction",
        rule="a recovery as a fraction does not exceed 1.2",
        value=printed,
        limit=_LARGEST_FRACTION,
        unit="",
        source="common practice, no source",
        advice="look at the raw record; give the column the unit '%' if that is what it holds",
    )
