"""The workbook of a choice: every site, every binder, every grade, in full precision."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any

from resile.records.choice import Choice
from resile.records.standing import GradeStanding
from resile.report.choice_words import ALWAYS_TEST, answer_sentences, property_words, why_not
from resile.report.workbook.book import new_book
from resile.report.workbook.cells import set_widths, write_cell, write_head

Cell = float | str | None


def choice_workbook(choice: Choice, standings: Sequence[Sequence[GradeStanding]], *, date: str) -> bytes:
    """Set a choice as an XLSX workbook.

    Parameters
    ----------
    choice : Choice
        The choice.
    standings : sequence of sequence of GradeStanding
        By binder, then by grade.
    date : str
        The day that dates the file.

    Returns
    -------
    bytes
        Sheets Answer, Sites, Binders, Grade map, Next tests, Products, What if; the same choice gives the
        same bytes.
    """
    file = io.BytesIO()
    book, formats = new_book(file, "Which binder for which road", date)
    answer = book.add_worksheet("Answer")
    set_widths(answer, (110,))
    for row, words in enumerate((*answer_sentences(choice), ALWAYS_TEST)):
        answer.write_string(row, 0, words, formats["title" if row == 0 else "text"])
    for name, head, body in _sheets(choice, standings):
        sheet = book.add_worksheet(name)
        set_widths(sheet, (24,) + (16,) * (len(head) - 2) + (60,))
        write_head(sheet, formats, 0, head)
        sheet.freeze_panes(1, 0)
        for row, cells in enumerate(body, 1):
            for column, cell in enumerate(cells):
                write_cell(sheet, row, column, cell, formats["text" if isinstance(cell, str) else "number"])
    book.close()
    return file.getvalue()


def _sheets(
    choice: Choice, standings: Sequence[Sequence[GradeStanding]]
) -> list[tuple[str, tuple[str, ...], list[tuple[Cell, ...]]]]:
    price = f"Price per tonne ({choice.currency})" if choice.currency else "Price per tonne"
    return [
        (
            "Sites",
            (
                "Site",
                "Grade",
                "Binder",
                "Sold as",
                price,
                "Tonnes",
                "Cost",
                "Latitude (°)",
                "Longitude (°)",
                "Remark",
            ),
            _sites(choice),
        ),
        (
            "Binders",
            (
                "Grade",
                "Sites",
                "Rank",
                "Binder",
                price,
                "Standing",
                "Counted probability",
                "True value holds",
                "Sold as",
                "Why, or why not",
            ),
            _binders(choice),
        ),
        (
            "Grade map",
            (
                "Binder",
                "Climate (°C)",
                "Traffic",
                "Low end (°C)",
                "Grade",
                "Standing",
                "Counted probability",
                "True value holds",
                "Nearest to its limit",
            ),
            _map(standings),
        ),
        (
            "Next tests",
            ("Binder", "Property", "Temperature (°C)", "Limit", "Would pass", "Sites won", "Saving expected"),
            [
                (
                    one.binder,
                    one.quantity,
                    one.temperature_c,
                    one.limit,
                    one.probability,
                    one.expected_sites,
                    one.expected_saving,
                )
                for one in choice.next_tests
            ],
        ),
        (
            "Products",
            ("Products", "Cost", "Gap", "Proven", "Which"),
            [
                (len(one.binders), one.cost, one.gap, "yes" if one.proven else "no", ", ".join(one.binders))
                for one in choice.plans
            ],
        ),
        (
            "What if",
            ("Change", "Sites served", "Sites that change binder", "Change of cost"),
            [(one.change, one.served, one.switched, one.cost_change) for one in choice.suppositions],
        ),
    ]


def _sites(choice: Choice) -> list[tuple[Cell, ...]]:
    first = {g.grade: g.serving[0] for g in choice.grades if g.serving}
    found: list[tuple[Cell, ...]] = []
    for site, name in zip(choice.sites, choice.chosen, strict=True):
        offer = first.get(site.grade) if name else None
        price = offer.price_per_tonne if offer else None
        cost: Any = price * site.amount_t if price is not None else None
        found.append(
            (
                site.name,
                site.grade or "none reaches",
                name or "nobody",
                offer.under if offer else "",
                price,
                site.amount_t,
                cost,
                site.latitude_deg,
                site.longitude_deg,
                site.remark,
            )
        )
    return found


def _binders(choice: Choice) -> list[tuple[Cell, ...]]:
    found: list[tuple[Cell, ...]] = []
    for grade in choice.grades:
        for rank, offer in enumerate(grade.offers, 1):
            ends = [one for one in (offer.governs_high, offer.governs_low) if one is not None]
            words = "; ".join(property_words(one) for one in ends)
            found.append(
                (
                    grade.grade,
                    grade.sites,
                    rank if offer.serves else None,
                    offer.binder,
                    offer.price_per_tonne,
                    str(offer.standing),
                    offer.counted_probability,
                    offer.probability,
                    offer.under,
                    words if offer.serves else why_not(offer, choice.required_probability),
                )
            )
    return found


def _map(standings: Sequence[Sequence[GradeStanding]]) -> list[tuple[Cell, ...]]:
    found: list[tuple[Cell, ...]] = []
    for row in standings:
        for one in row:
            ends = [weak for end in ("high", "low") if (weak := one.weakest(end)) is not None]
            found.append(
                (
                    one.binder,
                    one.grade.high_temperature_c,
                    one.grade.service_class,
                    one.grade.low_temperature_c,
                    one.grade.label,
                    str(one.standing),
                    one.counted_probability,
                    one.probability,
                    "; ".join(property_words(weak) for weak in ends),
                )
            )
    return found
