"""What is measured with: instruments and their verifications."""

from __future__ import annotations

from sqlalchemy import UniqueConstraint

from resile.records import register
from resile.storage.shelves.shelf import Shelf, key, truth, word
from resile.storage.tables import current_table

EQUIPMENT: tuple[Shelf, ...] = (
    Shelf(
        "instrument",
        "I",
        register.Instrument,
        current_table("instrument", word("name"), truth("retired"), UniqueConstraint("name")),
        "instrument",
        once="an instrument of this name is kept already",
    ),
    Shelf(
        "verification",
        "Q",
        register.Verification,
        current_table(
            "verification",
            key("instrument"),
            word("what"),
            word("done", size=32),
            word("due", size=32, index=True),
            truth("passed"),
        ),
        "verification",
        files=("file",),
    ),
)
