"""What is asked for and offered: roads, ranges, blend books."""

from __future__ import annotations

from resile.records import register
from resile.storage.shelves.shelf import Shelf, key, number, truth, word
from resile.storage.tables import current_table

OFFER: tuple[Shelf, ...] = (
    Shelf(
        "site",
        "W",
        register.SiteRecord,
        current_table(
            "site",
            word("name", index=True),
            key("customer"),
            word("grade"),
            word("specification"),
            number("latitude_deg"),
            number("longitude_deg"),
            number("amount_t"),
            number("high_design_c"),
            number("low_design_c"),
            truth("invented"),
        ),
        "site",
        files=("file",),
    ),
    Shelf(
        "range",
        "G",
        register.RangeRecord,
        current_table("range", word("name"), word("valid_from", size=32)),
        "range",
        files=("file", "beside"),
    ),
    Shelf(
        "blend",
        "F",
        register.BlendBookRecord,
        current_table("blend", word("name"), word("grade"), key("site"), truth("invented")),
        "blend book",
        files=("file", "beside"),
    ),
)
