"""The first tables of the record, and the triggers that keep log and files from being changed."""

import sqlalchemy as sa
from alembic import op

from resile.storage.migrations.writing import (
    key,
    make_current_table,
    make_index,
    number,
    place,
    prose,
    text,
    truth,
)

revision = "0001"
down_revision = None

_LASTING = ("entry", "raw_file")
_SQLITE = """
CREATE TRIGGER {table}_lasts_{what} BEFORE {what} ON {table}
BEGIN SELECT RAISE(ABORT, 'the log and the files of the record are never changed'); END
"""
_POSTGRESQL_FUNCTION = """
CREATE FUNCTION record_lasts() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION 'the log and the files of the record are never changed'; END $$
"""
_POSTGRESQL = """
CREATE TRIGGER {table}_lasts BEFORE UPDATE OR DELETE OR TRUNCATE ON {table}
FOR EACH STATEMENT EXECUTE FUNCTION record_lasts()
"""


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "attempt",
        sa.Column("id", place(), autoincrement=True, nullable=False),
        text("what", 120),
        text("at", 32),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_attempt")),
    )
    make_index("attempt", ["what", "at"], name="ix_attempt_what")
    op.create_table(
        "counter",
        text("kind", 32),
        sa.Column("last", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("kind", name=op.f("pk_counter")),
    )
    op.create_table(
        "credential",
        key("person"),
        sa.Column("secret", prose(), nullable=False),
        text("changed", 32),
        sa.PrimaryKeyConstraint("person", name=op.f("pk_credential")),
    )
    op.create_table(
        "entry",
        sa.Column("seq", place(), autoincrement=False, nullable=False),
        text("at", 32),
        key("by"),
        text("kind", 32),
        key("key"),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("reason", prose(), nullable=False),
        sa.Column("body", prose(), nullable=False),
        text("previous", 64),
        text("hash", 64),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_entry")),
        sa.UniqueConstraint("key", "revision", name=op.f("uq_entry_key_revision")),
    )
    make_index("entry", ["by", "seq"], name="ix_entry_by")
    op.create_table(
        "invitation",
        sa.Column("person", sa.String(length=16), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("expires", sa.String(length=32), nullable=False),
        sa.PrimaryKeyConstraint("person", name=op.f("pk_invitation")),
        sa.UniqueConstraint("digest", name=op.f("uq_invitation_digest")),
    )
    op.create_table(
        "last_sign_in",
        sa.Column("person", sa.String(length=16), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.PrimaryKeyConstraint("person", name=op.f("pk_last_sign_in")),
    )
    op.create_table(
        "raw_file",
        text("sha256", 64),
        sa.Column("size", sa.BigInteger(), nullable=False),
        sa.Column("packed", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("sha256", name=op.f("pk_raw_file")),
    )
    op.create_table(
        "session",
        text("digest", 64),
        key("person"),
        text("made", 32),
        text("seen", 32),
        text("expires", 32),
        sa.Column("body", prose(), nullable=False),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_session")),
    )
    make_index("session", ["expires"])
    make_index("session", ["person"])
    op.create_table(
        "token",
        text("digest", 64),
        key("person"),
        sa.Column("name", prose(), nullable=False),
        text("made", 32),
        text("expires", 32),
        text("used", 32),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_token")),
    )
    make_index("token", ["person"])
    make_current_table(
        "blend",
        text("name"),
        text("grade"),
        key("site"),
        truth("invented"),
        sought=["site"],
    )
    make_current_table(
        "can",
        key("sample"),
        text("name"),
        unique=["sample", "name"],
        sought=["sample"],
    )
    make_current_table(
        "conditioning",
        key("sample"),
        text("condition", 32),
        text("happened", 32),
        text("file", 64),
        key("instrument"),
        text("worst", 16),
        sought=["file", "sample"],
    )
    make_current_table(
        "custody",
        key("sample"),
        text("happened", 32),
        sought=["sample"],
    )
    make_current_table(
        "customer",
        text("name"),
        unique=["name"],
    )
    make_current_table(
        "disposal",
        key("retention"),
        key("sample"),
        text("disposed", 32),
        unique=["retention"],
        sought=["retention", "sample"],
    )
    make_current_table(
        "heating",
        key("can"),
        key("sample"),
        text("started", 32),
        truth("open"),
        sought=["can", ("open", "started"), "sample"],
    )
    make_current_table(
        "instrument",
        text("name"),
        truth("retired"),
        unique=["name"],
    )
    make_current_table(
        "layout",
        text("name"),
        text("headings", 64),
        unique=["name"],
        sought=["headings"],
    )
    make_current_table(
        "person",
        text("account"),
        text("name"),
        truth("active"),
        text("external"),
        unique=["account"],
        sought=["external"],
    )
    make_current_table(
        "product",
        text("name"),
        text("grade"),
        truth("invented"),
        unique=["name"],
    )
    make_current_table(
        "range",
        text("name"),
        text("valid_from", 32),
    )
    make_current_table(
        "result",
        key("run"),
        key("sample"),
        text("worst", 16),
        text("software", 32),
        sought=["run", "sample"],
    )
    make_current_table(
        "retention",
        key("sample"),
        text("due", 32),
        truth("ended"),
        sought=[("ended", "due"), "sample"],
    )
    make_current_table(
        "run",
        text("test", 32),
        text("file", 64),
        text("file_name"),
        text("part"),
        key("sample"),
        key("specimen"),
        text("condition", 32),
        key("instrument"),
        text("operator"),
        text("tested", 32),
        number("temperature_c"),
        key("result"),
        text("worst", 16),
        text("reduced", 32),
        sought=["file", ("instrument", "key")],
    )
    op.create_index(
        "ix_run_once",
        "run",
        ["specimen"],
        unique=True,
        sqlite_where=sa.text("test = 'creep_recovery' AND specimen <> ''"),
        postgresql_where=sa.text("test = 'creep_recovery' AND specimen <> ''"),
    )
    make_index("run", ["sample"])
    make_index("run", ["specimen"])
    make_index("run", ["test", "key"])
    make_index("run", ["tested", "key"])
    make_index("run", ["worst", "key"])
    make_current_table(
        "sample",
        text("number"),
        key("product"),
        key("tank"),
        text("lot"),
        text("claimed_grade"),
        text("received"),
        key("parent"),
        key("customer"),
        truth("invented"),
        sa.Column("sought", prose(), nullable=False),
        text("stage", 16),
        unique=["number"],
        sought=["parent", "product", "tank"],
    )
    make_index("sample", ["customer", "received", "key"], name="ix_sample_customer_received")
    make_index("sample", ["received", "key"], name="ix_sample_received")
    make_index("sample", ["stage", "received", "key"], name="ix_sample_stage_received")
    make_current_table(
        "settings",
    )
    make_current_table(
        "site",
        text("name"),
        key("customer"),
        text("grade"),
        text("specification"),
        number("latitude_deg"),
        number("longitude_deg"),
        number("amount_t"),
        number("high_design_c"),
        number("low_design_c"),
        truth("invented"),
        sought=["customer", "name"],
    )
    make_current_table(
        "specimen",
        key("sample"),
        text("number"),
        text("condition", 32),
        text("form"),
        unique=["sample", "condition", "form", "number"],
        sought=["sample"],
    )
    make_current_table(
        "statement",
        text("number"),
        key("sample"),
        key("customer"),
        text("state", 16),
        text("issued", 32),
        key("author"),
        unique=["number"],
        sought=["customer", "issued", "sample", "state"],
    )
    make_current_table(
        "tank",
        text("name"),
        key("product"),
        sought=["product"],
    )
    make_current_table(
        "verdict",
        key("sample"),
        text("specification"),
        text("grade"),
        text("outcome", 32),
        number("nearest_margin"),
        sought=["nearest_margin", "sample"],
    )
    make_current_table(
        "verification",
        key("instrument"),
        text("what"),
        text("done", 32),
        text("due", 32),
        truth("passed"),
        sought=["due", "instrument"],
    )
    _make_lasting()


def _make_lasting() -> None:
    if op.get_bind().dialect.name == "postgresql":
        op.execute(_POSTGRESQL_FUNCTION)
        for table in _LASTING:
            op.execute(_POSTGRESQL.format(table=table))
    else:
        for table in _LASTING:
            for what in ("UPDATE", "DELETE"):
                op.execute(_SQLITE.format(table=table, what=what))
