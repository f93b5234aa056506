"""Tables of what is watched, delivered and compared: charts, loads, rounds, checks, own precision."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def _line(length: int) -> sa.String:
    return sa.String(length).with_variant(sa.String(length, collation="C"), "postgresql")


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "check_material",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", _line(200), nullable=False),
        sa.Column("kind", _line(32), nullable=False),
        sa.Column("retired", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_check_material_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_check_material")),
        sa.UniqueConstraint("name", name=op.f("uq_check_material_name")),
    )
    op.create_table(
        "check_result",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("material", _line(16), nullable=False),
        sa.Column("instrument", _line(16), nullable=False),
        sa.Column("done", _line(32), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_check_result_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_check_result")),
    )
    op.create_index(op.f("ix_check_result_done"), "check_result", ["done"], unique=False)
    op.create_index(op.f("ix_check_result_instrument"), "check_result", ["instrument"], unique=False)
    op.create_index(op.f("ix_check_result_material"), "check_result", ["material"], unique=False)
    op.create_table(
        "control_watch",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("product", _line(16), nullable=False),
        sa.Column("quantity", _line(200), nullable=False),
        sa.Column("condition", _line(32), nullable=False),
        sa.Column("temperature_c", sa.Float(), nullable=True),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_control_watch_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_control_watch")),
    )
    op.create_index(op.f("ix_control_watch_product"), "control_watch", ["product"], unique=False)
    op.create_table(
        "delivery",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("number", _line(200), nullable=False),
        sa.Column("product", _line(16), nullable=False),
        sa.Column("tank", _line(16), nullable=False),
        sa.Column("customer", _line(16), nullable=False),
        sa.Column("lot", _line(200), nullable=False),
        sa.Column("sent", _line(32), nullable=False),
        sa.Column("certificate", _line(200), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_delivery_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_delivery")),
        sa.UniqueConstraint("number", name=op.f("uq_delivery_number")),
    )
    op.create_index(op.f("ix_delivery_customer"), "delivery", ["customer"], unique=False)
    op.create_index(op.f("ix_delivery_lot"), "delivery", ["lot"], unique=False)
    op.create_index(op.f("ix_delivery_product"), "delivery", ["product"], unique=False)
    op.create_index(op.f("ix_delivery_sent"), "delivery", ["sent"], unique=False)
    op.create_table(
        "own_precision",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("quantity", _line(200), nullable=False),
        sa.Column("condition", _line(32), nullable=False),
        sa.Column("until", _line(32), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_own_precision_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_own_precision")),
    )
    op.create_index(op.f("ix_own_precision_quantity"), "own_precision", ["quantity"], unique=False)
    op.create_table(
        "round_result",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("scheme", _line(200), nullable=False),
        sa.Column("round", _line(200), nullable=False),
        sa.Column("day", _line(32), nullable=False),
        sa.Column("quantity", _line(200), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_round_result_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_round_result")),
    )
    op.create_index(op.f("ix_round_result_day"), "round_result", ["day"], unique=False)
    op.create_index(op.f("ix_round_result_quantity"), "round_result", ["quantity"], unique=False)
    op.create_table(
        "sampling",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("product", _line(16), nullable=False),
        sa.Column("plan", _line(200), nullable=False),
        sa.Column("since", _line(32), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_sampling_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_sampling")),
    )
    op.create_index(op.f("ix_sampling_product"), "sampling", ["product"], unique=False)
