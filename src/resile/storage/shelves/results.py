"""What is measured, judged and said: runs, results, verdicts, statements, and how files are read."""

from __future__ import annotations

from sqlalchemy import Column, Index, UniqueConstraint, text

from resile.records import register
from resile.storage.shelves.shelf import Shelf, key, number, word
from resile.storage.tables import SHA256, current_table

_RUN_ONCE = "the specimen has had its creep-recovery run: a specimen serves one run, load a new one"

RESULTS: tuple[Shelf, ...] = (
    Shelf(
        "run",
        "R",
        register.Run,
        current_table(
            "run",
            word("test", size=32),
            Column("file", SHA256, nullable=False, index=True),
            word("file_name"),
            word("part"),
            key("sample"),
            key("specimen"),
            word("condition", size=32),
            key("instrument", index=False),
            word("operator"),
            word("tested", size=32),
            number("temperature_c"),
            key("result", index=False),
            word("worst", size=16),
            word("reduced", size=32),
            Index("ix_run_worst_key", "worst", "key"),
            Index("ix_run_test_key", "test", "key"),
            Index("ix_run_instrument_key", "instrument", "key"),
            Index("ix_run_tested_key", "tested", "key"),
            Index(
                "ix_run_once",
                "specimen",
                unique=True,
                sqlite_where=text("test = 'creep_recovery' AND specimen <> ''"),
                postgresql_where=text("test = 'creep_recovery' AND specimen <> ''"),
            ),
        ),
        "run",
        {},
        {"result": "", "worst": "", "reduced": ""},
        _RUN_ONCE,
        files=("file", "layout"),
    ),
    Shelf(
        "result",
        "E",
        register.Result,
        current_table("result", key("run"), key("sample"), word("worst", size=16), word("software", size=32)),
        "result",
    ),
    Shelf(
        "verdict",
        "V",
        register.Verdict,
        current_table(
            "verdict",
            key("sample"),
            word("specification"),
            word("grade"),
            word("outcome", size=32),
            number("nearest_margin"),
            Index("ix_verdict_nearest_margin", "nearest_margin"),
        ),
        "verdict",
        files=("file", "pictures"),
    ),
    Shelf(
        "statement",
        "Z",
        register.Statement,
        current_table(
            "statement",
            word("number"),
            key("sample"),
            key("customer"),
            word("state", size=16, index=True),
            word("issued", size=32, index=True),
            key("author", index=False),
            UniqueConstraint("number"),
        ),
        "statement",
        once="a statement of this number is kept already",
        files=("files",),
    ),
    Shelf(
        "layout",
        "L",
        register.SavedLayout,
        current_table(
            "layout", word("name"), word("headings", size=64, index=True), UniqueConstraint("name")
        ),
        "layout",
        once="a layout of this name is kept already",
        files=("file",),
    ),
)
