"""The first tables of the record, and the triggers that keep log and files from being changed."""

import sqlalchemy as sa
from alembic import op

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


def _line(length: int) -> sa.String:
    return sa.String(length).with_variant(sa.String(length, collation="C"), "postgresql")


def _prose() -> sa.Text:
    return sa.Text().with_variant(sa.Text(collation="C"), "postgresql")


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "attempt",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("what", _line(120), nullable=False),
        sa.Column("at", _line(32), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_attempt")),
    )
    op.create_index("ix_attempt_what", "attempt", ["what", "at"], unique=False)
    op.create_table(
        "counter",
        sa.Column("kind", _line(32), nullable=False),
        sa.Column("last", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("kind", name=op.f("pk_counter")),
    )
    op.create_table(
        "credential",
        sa.Column("person", _line(16), nullable=False),
        sa.Column("secret", _prose(), nullable=False),
        sa.Column("changed", _line(32), nullable=False),
        sa.PrimaryKeyConstraint("person", name=op.f("pk_credential")),
    )
    op.create_table(
        "entry",
        sa.Column(
            "seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("at", _line(32), nullable=False),
        sa.Column("by", _line(16), nullable=False),
        sa.Column("kind", _line(32), nullable=False),
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("reason", _prose(), nullable=False),
        sa.Column("body", _prose(), nullable=False),
        sa.Column("previous", _line(64), nullable=False),
        sa.Column("hash", _line(64), nullable=False),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_entry")),
        sa.UniqueConstraint("key", "revision", name=op.f("uq_entry_key_revision")),
    )
    op.create_index("ix_entry_by", "entry", ["by", "seq"], unique=False)
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
        sa.Column("sha256", _line(64), nullable=False),
        sa.Column("size", sa.BigInteger(), nullable=False),
        sa.Column("packed", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("sha256", name=op.f("pk_raw_file")),
    )
    op.create_table(
        "session",
        sa.Column("digest", _line(64), nullable=False),
        sa.Column("person", _line(16), nullable=False),
        sa.Column("made", _line(32), nullable=False),
        sa.Column("seen", _line(32), nullable=False),
        sa.Column("expires", _line(32), nullable=False),
        sa.Column("body", _prose(), nullable=False),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_session")),
    )
    op.create_index(op.f("ix_session_expires"), "session", ["expires"], unique=False)
    op.create_index(op.f("ix_session_person"), "session", ["person"], unique=False)
    op.create_table(
        "token",
        sa.Column("digest", _line(64), nullable=False),
        sa.Column("person", _line(16), nullable=False),
        sa.Column("name", _prose(), nullable=False),
        sa.Column("made", _line(32), nullable=False),
        sa.Column("expires", _line(32), nullable=False),
        sa.Column("used", _line(32), nullable=False),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_token")),
    )
    op.create_index(op.f("ix_token_person"), "token", ["person"], unique=False)
    op.create_table(
        "blend",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", _line(200), nullable=False),
        sa.Column("grade", _line(200), nullable=False),
        sa.Column("site", _line(16), nullable=False),
        sa.Column("invented", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_blend_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_blend")),
    )
    op.create_index(op.f("ix_blend_site"), "blend", ["site"], unique=False)
    op.create_table(
        "can",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("sample", _line(16), nullable=False),
        sa.Column("name", _line(200), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_can_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_can")),
        sa.UniqueConstraint("sample", "name", name=op.f("uq_can_sample_name")),
    )
    op.create_index(op.f("ix_can_sample"), "can", ["sample"], unique=False)
    op.create_table(
        "conditioning",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("sample", _line(16), nullable=False),
        sa.Column("condition", _line(32), nullable=False),
        sa.Column("happened", _line(32), nullable=False),
        sa.Column("file", _line(64), nullable=False),
        sa.Column("instrument", _line(16), nullable=False),
        sa.Column("worst", _line(16), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_conditioning_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_conditioning")),
    )
    op.create_index(op.f("ix_conditioning_file"), "conditioning", ["file"], unique=False)
    op.create_index(op.f("ix_conditioning_sample"), "conditioning", ["sample"], unique=False)
    op.create_table(
        "custody",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("sample", _line(16), nullable=False),
        sa.Column("happened", _line(32), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_custody_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_custody")),
    )
    op.create_index(op.f("ix_custody_sample"), "custody", ["sample"], unique=False)
    op.create_table(
        "customer",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", _line(200), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_customer_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_customer")),
        sa.UniqueConstraint("name", name=op.f("uq_customer_name")),
    )
    op.create_table(
        "disposal",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("retention", _line(16), nullable=False),
        sa.Column("sample", _line(16), nullable=False),
        sa.Column("disposed", _line(32), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_disposal_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_disposal")),
        sa.UniqueConstraint("retention", name=op.f("uq_disposal_retention")),
    )
    op.create_index(op.f("ix_disposal_retention"), "disposal", ["retention"], unique=False)
    op.create_index(op.f("ix_disposal_sample"), "disposal", ["sample"], unique=False)
    op.create_table(
        "heating",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("can", _line(16), nullable=False),
        sa.Column("sample", _line(16), nullable=False),
        sa.Column("started", _line(32), nullable=False),
        sa.Column("open", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_heating_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_heating")),
    )
    op.create_index(op.f("ix_heating_can"), "heating", ["can"], unique=False)
    op.create_index("ix_heating_open_started", "heating", ["open", "started"], unique=False)
    op.create_index(op.f("ix_heating_sample"), "heating", ["sample"], unique=False)
    op.create_table(
        "instrument",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", _line(200), nullable=False),
        sa.Column("retired", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_instrument_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_instrument")),
        sa.UniqueConstraint("name", name=op.f("uq_instrument_name")),
    )
    op.create_table(
        "layout",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", _line(200), nullable=False),
        sa.Column("headings", _line(64), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_layout_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_layout")),
        sa.UniqueConstraint("name", name=op.f("uq_layout_name")),
    )
    op.create_index(op.f("ix_layout_headings"), "layout", ["headings"], unique=False)
    op.create_table(
        "person",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("account", _line(200), nullable=False),
        sa.Column("name", _line(200), nullable=False),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.Column("external", _line(200), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_person_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_person")),
        sa.UniqueConstraint("account", name=op.f("uq_person_account")),
    )
    op.create_index(op.f("ix_person_external"), "person", ["external"], unique=False)
    op.create_table(
        "product",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", _line(200), nullable=False),
        sa.Column("grade", _line(200), nullable=False),
        sa.Column("invented", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_product_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_product")),
        sa.UniqueConstraint("name", name=op.f("uq_product_name")),
    )
    op.create_table(
        "range",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", _line(200), nullable=False),
        sa.Column("valid_from", _line(32), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_range_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_range")),
    )
    op.create_table(
        "result",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("run", _line(16), nullable=False),
        sa.Column("sample", _line(16), nullable=False),
        sa.Column("worst", _line(16), nullable=False),
        sa.Column("software", _line(32), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_result_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_result")),
    )
    op.create_index(op.f("ix_result_run"), "result", ["run"], unique=False)
    op.create_index(op.f("ix_result_sample"), "result", ["sample"], unique=False)
    op.create_table(
        "retention",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("sample", _line(16), nullable=False),
        sa.Column("due", _line(32), nullable=False),
        sa.Column("ended", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_retention_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_retention")),
    )
    op.create_index("ix_retention_ended_due", "retention", ["ended", "due"], unique=False)
    op.create_index(op.f("ix_retention_sample"), "retention", ["sample"], unique=False)
    op.create_table(
        "run",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("test", _line(32), nullable=False),
        sa.Column("file", _line(64), nullable=False),
        sa.Column("file_name", _line(200), nullable=False),
        sa.Column("part", _line(200), nullable=False),
        sa.Column("sample", _line(16), nullable=False),
        sa.Column("specimen", _line(16), nullable=False),
        sa.Column("condition", _line(32), nullable=False),
        sa.Column("instrument", _line(16), nullable=False),
        sa.Column("operator", _line(200), nullable=False),
        sa.Column("tested", _line(32), nullable=False),
        sa.Column("temperature_c", sa.Float(), nullable=True),
        sa.Column("result", _line(16), nullable=False),
        sa.Column("worst", _line(16), nullable=False),
        sa.Column("reduced", _line(32), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_run_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_run")),
    )
    op.create_index(op.f("ix_run_file"), "run", ["file"], unique=False)
    op.create_index("ix_run_instrument_key", "run", ["instrument", "key"], unique=False)
    op.create_index(
        "ix_run_once",
        "run",
        ["specimen"],
        unique=True,
        sqlite_where=sa.text("test = 'creep_recovery' AND specimen <> ''"),
        postgresql_where=sa.text("test = 'creep_recovery' AND specimen <> ''"),
    )
    op.create_index(op.f("ix_run_sample"), "run", ["sample"], unique=False)
    op.create_index(op.f("ix_run_specimen"), "run", ["specimen"], unique=False)
    op.create_index("ix_run_test_key", "run", ["test", "key"], unique=False)
    op.create_index("ix_run_tested_key", "run", ["tested", "key"], unique=False)
    op.create_index("ix_run_worst_key", "run", ["worst", "key"], unique=False)
    op.create_table(
        "sample",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("number", _line(200), nullable=False),
        sa.Column("product", _line(16), nullable=False),
        sa.Column("tank", _line(16), nullable=False),
        sa.Column("lot", _line(200), nullable=False),
        sa.Column("claimed_grade", _line(200), nullable=False),
        sa.Column("received", _line(200), nullable=False),
        sa.Column("parent", _line(16), nullable=False),
        sa.Column("customer", _line(16), nullable=False),
        sa.Column("invented", sa.Boolean(), nullable=False),
        sa.Column("sought", _prose(), nullable=False),
        sa.Column("stage", _line(16), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_sample_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_sample")),
        sa.UniqueConstraint("number", name=op.f("uq_sample_number")),
    )
    op.create_index("ix_sample_customer_received", "sample", ["customer", "received", "key"], unique=False)
    op.create_index(op.f("ix_sample_parent"), "sample", ["parent"], unique=False)
    op.create_index(op.f("ix_sample_product"), "sample", ["product"], unique=False)
    op.create_index("ix_sample_received", "sample", ["received", "key"], unique=False)
    op.create_index(op.f("ix_sample_tank"), "sample", ["tank"], unique=False)
    op.create_index("ix_sample_stage_received", "sample", ["stage", "received", "key"], unique=False)
    op.create_table(
        "settings",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_settings_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_settings")),
    )
    op.create_table(
        "site",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", _line(200), nullable=False),
        sa.Column("customer", _line(16), nullable=False),
        sa.Column("grade", _line(200), nullable=False),
        sa.Column("specification", _line(200), nullable=False),
        sa.Column("latitude_deg", sa.Float(), nullable=True),
        sa.Column("longitude_deg", sa.Float(), nullable=True),
        sa.Column("amount_t", sa.Float(), nullable=True),
        sa.Column("high_design_c", sa.Float(), nullable=True),
        sa.Column("low_design_c", sa.Float(), nullable=True),
        sa.Column("invented", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_site_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_site")),
    )
    op.create_index(op.f("ix_site_customer"), "site", ["customer"], unique=False)
    op.create_index(op.f("ix_site_name"), "site", ["name"], unique=False)
    op.create_table(
        "specimen",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("sample", _line(16), nullable=False),
        sa.Column("number", _line(200), nullable=False),
        sa.Column("condition", _line(32), nullable=False),
        sa.Column("form", _line(200), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_specimen_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_specimen")),
        sa.UniqueConstraint(
            "sample", "condition", "form", "number", name=op.f("uq_specimen_sample_condition_form_number")
        ),
    )
    op.create_index(op.f("ix_specimen_sample"), "specimen", ["sample"], unique=False)
    op.create_table(
        "statement",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("number", _line(200), nullable=False),
        sa.Column("sample", _line(16), nullable=False),
        sa.Column("customer", _line(16), nullable=False),
        sa.Column("state", _line(16), nullable=False),
        sa.Column("issued", _line(32), nullable=False),
        sa.Column("author", _line(16), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_statement_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_statement")),
        sa.UniqueConstraint("number", name=op.f("uq_statement_number")),
    )
    op.create_index(op.f("ix_statement_customer"), "statement", ["customer"], unique=False)
    op.create_index(op.f("ix_statement_issued"), "statement", ["issued"], unique=False)
    op.create_index(op.f("ix_statement_sample"), "statement", ["sample"], unique=False)
    op.create_index(op.f("ix_statement_state"), "statement", ["state"], unique=False)
    op.create_table(
        "tank",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", _line(200), nullable=False),
        sa.Column("product", _line(16), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_tank_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_tank")),
    )
    op.create_index(op.f("ix_tank_product"), "tank", ["product"], unique=False)
    op.create_table(
        "verdict",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("sample", _line(16), nullable=False),
        sa.Column("specification", _line(200), nullable=False),
        sa.Column("grade", _line(200), nullable=False),
        sa.Column("outcome", _line(32), nullable=False),
        sa.Column("nearest_margin", sa.Float(), nullable=True),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_verdict_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_verdict")),
    )
    op.create_index("ix_verdict_nearest_margin", "verdict", ["nearest_margin"], unique=False)
    op.create_index(op.f("ix_verdict_sample"), "verdict", ["sample"], unique=False)
    op.create_table(
        "verification",
        sa.Column("key", _line(16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("instrument", _line(16), nullable=False),
        sa.Column("what", _line(200), nullable=False),
        sa.Column("done", _line(32), nullable=False),
        sa.Column("due", _line(32), nullable=False),
        sa.Column("passed", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f("fk_verification_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_verification")),
    )
    op.create_index(op.f("ix_verification_due"), "verification", ["due"], unique=False)
    op.create_index(op.f("ix_verification_instrument"), "verification", ["instrument"], unique=False)
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
