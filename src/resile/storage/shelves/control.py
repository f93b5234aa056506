"""How production is watched: charts, sampling, loads."""

from __future__ import annotations

from sqlalchemy import UniqueConstraint

from resile.records import register
from resile.storage.shelves.shelf import Shelf, key, number, word
from resile.storage.tables import current_table

CONTROL: tuple[Shelf, ...] = (
    Shelf(
        "control_watch",
        "J",
        register.ControlWatch,
        current_table(
            "control_watch",
            key("product"),
            word("quantity"),
            word("condition", size=32),
            number("temperature_c"),
        ),
        "control chart",
    ),
    Shelf(
        "sampling",
        "SP",
        register.SamplingInForce,
        current_table("sampling", key("product"), word("plan"), word("since", size=32)),
        "sampling plan in force",
    ),
    Shelf(
        "delivery",
        "Y",
        register.Delivery,
        current_table(
            "delivery",
            word("number"),
            key("product"),
            key("tank", index=False),
            key("customer"),
            word("lot", index=True),
            word("sent", size=32, index=True),
            word("certificate"),
            UniqueConstraint("number"),
        ),
        "delivery",
        once="a delivery of this number is kept already",
    ),
)
