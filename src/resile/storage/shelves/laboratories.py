"""How the laboratory is compared: rounds, check materials, checks, own precision."""

from __future__ import annotations

from sqlalchemy import UniqueConstraint

from resile.records import register
from resile.storage.shelves.shelf import Shelf, key, truth, word
from resile.storage.tables import current_table

LABORATORIES: tuple[Shelf, ...] = (
    Shelf(
        "round_result",
        "M",
        register.RoundResult,
        current_table(
            "round_result",
            word("scheme"),
            word("round"),
            word("day", size=32, index=True),
            word("quantity", index=True),
        ),
        "result of a round",
        files=("file",),
    ),
    Shelf(
        "check_material",
        "CM",
        register.CheckMaterial,
        current_table(
            "check_material",
            word("name"),
            word("kind", size=32),
            truth("retired"),
            UniqueConstraint("name"),
        ),
        "check material",
        once="a check material of this name is kept already",
    ),
    Shelf(
        "check_result",
        "CR",
        register.CheckResult,
        current_table("check_result", key("material"), key("instrument"), word("done", size=32, index=True)),
        "check",
    ),
    Shelf(
        "own_precision",
        "OP",
        register.OwnPrecision,
        current_table(
            "own_precision",
            word("quantity", index=True),
            word("condition", size=32),
            word("until", size=32),
        ),
        "precision of the laboratory",
    ),
)
