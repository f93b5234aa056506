"""What is received and kept: products, tanks, customers, samples, cans, heatings, ageings, specimens."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sqlalchemy import Column, Index, UniqueConstraint

from resile.records import register
from resile.storage.shelves.shelf import Shelf, key, truth, word
from resile.storage.tables import SHA256, current_table, prose

STAGES = tuple(stage.value for stage in register.SampleStage)


def _sought(*names: str) -> Callable[[Any], str]:
    def words(noun: Any) -> str:
        return " ".join(str(getattr(noun, name)) for name in names).casefold()

    return words


SAMPLES: tuple[Shelf, ...] = (
    Shelf(
        "product",
        "B",
        register.Product,
        current_table("product", word("name"), word("grade"), truth("invented"), UniqueConstraint("name")),
        "product",
        once="a product of this name is kept already",
    ),
    Shelf("tank", "T", register.Tank, current_table("tank", word("name"), key("product")), "tank"),
    Shelf(
        "customer",
        "K",
        register.Customer,
        current_table("customer", word("name"), UniqueConstraint("name")),
        "customer",
        once="a customer of this name is kept already",
    ),
    Shelf(
        "sample",
        "S",
        register.Sample,
        current_table(
            "sample",
            word("number"),
            key("product"),
            key("tank"),
            word("lot"),
            word("claimed_grade"),
            word("received"),
            key("parent"),
            key("customer", index=False),
            truth("invented"),
            Column("sought", prose(), nullable=False),
            word("stage", size=16),
            UniqueConstraint("number"),
            Index("ix_sample_stage_received", "stage", "received", "key"),
            Index("ix_sample_received", "received", "key"),
            Index("ix_sample_customer_received", "customer", "received", "key"),
        ),
        "sample",
        {"sought": _sought("number", "lot", "claimed_grade", "label")},
        {"stage": STAGES[0]},
        "a sample of this number is kept already",
    ),
    Shelf(
        "can",
        "C",
        register.Can,
        current_table("can", key("sample"), word("name"), UniqueConstraint("sample", "name")),
        "can",
        once="the sample has a can of this name already",
    ),
    Shelf(
        "heating",
        "H",
        register.Heating,
        current_table(
            "heating",
            key("can"),
            key("sample"),
            word("started", size=32),
            truth("open"),
            Index("ix_heating_open_started", "open", "started"),
        ),
        "heating",
        {"open": lambda heating: heating.duration_min is None},
    ),
    Shelf(
        "custody",
        "U",
        register.Custody,
        current_table("custody", key("sample"), word("happened", size=32)),
        "custody event",
    ),
    Shelf(
        "conditioning",
        "A",
        register.Conditioning,
        current_table(
            "conditioning",
            key("sample"),
            word("condition", size=32),
            word("happened", size=32),
            Column("file", SHA256, nullable=False, index=True),
            key("instrument", index=False),
            word("worst", size=16),
        ),
        "ageing",
        files=("file",),
    ),
    Shelf(
        "specimen",
        "N",
        register.Specimen,
        current_table(
            "specimen",
            key("sample"),
            word("number"),
            word("condition", size=32),
            word("form"),
            UniqueConstraint("sample", "condition", "form", "number"),
        ),
        "specimen",
        once="the sample has a specimen of this number, condition and kind already",
    ),
    Shelf(
        "retention",
        "D",
        register.Retention,
        current_table(
            "retention",
            key("sample"),
            word("due", size=32),
            truth("ended"),
            Index("ix_retention_ended_due", "ended", "due"),
        ),
        "retention",
        followed={"ended": False},
    ),
    Shelf(
        "disposal",
        "X",
        register.Disposal,
        current_table(
            "disposal",
            key("retention"),
            key("sample"),
            word("disposed", size=32),
            UniqueConstraint("retention"),
        ),
        "disposal",
        once="this retention has ended already",
    ),
)
