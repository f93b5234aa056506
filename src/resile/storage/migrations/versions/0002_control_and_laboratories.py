"""Tables of what is watched, delivered and compared: charts, loads, rounds, checks, own precision."""

from resile.storage.migrations.writing import key, make_current_table, number, text, truth

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Make the tables."""
    make_current_table(
        "check_material",
        text("name"),
        text("kind", 32),
        truth("retired"),
        unique=["name"],
    )
    make_current_table(
        "check_result",
        key("material"),
        key("instrument"),
        text("done", 32),
        sought=["done", "instrument", "material"],
    )
    make_current_table(
        "control_watch",
        key("product"),
        text("quantity"),
        text("condition", 32),
        number("temperature_c"),
        sought=["product"],
    )
    make_current_table(
        "delivery",
        text("number"),
        key("product"),
        key("tank"),
        key("customer"),
        text("lot"),
        text("sent", 32),
        text("certificate"),
        unique=["number"],
        sought=["customer", "lot", "product", "sent"],
    )
    make_current_table(
        "own_precision",
        text("quantity"),
        text("condition", 32),
        text("until", 32),
        sought=["quantity"],
    )
    make_current_table(
        "round_result",
        text("scheme"),
        text("round"),
        text("day", 32),
        text("quantity"),
        sought=["day", "quantity"],
    )
    make_current_table(
        "sampling",
        key("product"),
        text("plan"),
        text("since", 32),
        sought=["product"],
    )
