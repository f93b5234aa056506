"""Who works here, and how the laboratory works."""

from __future__ import annotations

from sqlalchemy import UniqueConstraint

from resile.records import register
from resile.storage.shelves.shelf import Shelf, truth, word
from resile.storage.tables import current_table

PEOPLE: tuple[Shelf, ...] = (
    Shelf(
        "person",
        "P",
        register.Person,
        current_table(
            "person",
            word("account"),
            word("name"),
            truth("active"),
            word("external", index=True),
            UniqueConstraint("account"),
        ),
        "person",
        once="an account of this name is kept already",
    ),
    Shelf(
        "settings",
        "O",
        register.LaboratorySettings,
        current_table("settings"),
        "laboratory settings",
        files=("logo",),
    ),
)
