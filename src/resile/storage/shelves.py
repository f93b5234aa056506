"""Where each kind of noun stands: prefix of its keys, its current table, and what that holds.

A column of a current table takes the attribute of the noun with its name, unless `worked_out` gives it.
Columns named in `Shelf.followed` are set by other nouns (`consequences`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from enum import Enum
from typing import Any

from sqlalchemy import Boolean, Column, Float, Index, Table, UniqueConstraint, text

from resile.errors import InputError
from resile.records import register
from resile.storage.tables import KEY, SHA256, current_table, line, prose

STAGES = tuple(stage.value for stage in register.SampleStage)


@dataclass(frozen=True, slots=True)
class Shelf:
    """One kind of noun in the record.

    Attributes
    ----------
    kind, prefix : str
        Name of the kind, and what its keys begin with.
    noun : type
        Its class.
    table : Table
        Its current table.
    worked_out : dict of str to callable
        Columns worked out from the noun.
    followed : dict of str to object
        Columns set by other nouns, with what they hold at first.
    said : str
        What a person calls it.
    once : str
        Sentence for a value that may stand only once.
    files : tuple of str
        Attributes that hold the SHA-256 of a file of the record.
    """

    kind: str
    prefix: str
    noun: type
    table: Table
    said: str
    worked_out: dict[str, Callable[[Any], object]] = field(default_factory=dict)
    followed: dict[str, object] = field(default_factory=dict)
    once: str = ""
    files: tuple[str, ...] = ()

    def files_of(self, noun: Any) -> set[str]:
        """Give the files that a noun names, by hash."""
        held = [getattr(noun, name) for name in self.files]
        named = [sha for one in held for sha in (one.values() if isinstance(one, dict) else [one])]
        return {sha for sha in named if sha}

    def row(self, noun: Any) -> dict[str, object]:
        """Give the columns that come from the noun itself."""
        skipped = {"key", "revision", "seq", *self.followed}
        return {
            name: self._column(noun, name)
            for name in (c.name for c in self.table.columns)
            if name not in skipped
        }

    def _column(self, noun: Any, name: str) -> object:
        if name in self.worked_out:
            return self.worked_out[name](noun)
        value = getattr(noun, name)
        if isinstance(value, Enum):
            return value.value
        if isinstance(value, str):
            self._must_fit(name, value)
        return value

    def _must_fit(self, name: str, text: str) -> None:
        """Refuse on every database what one of them could not hold, or a record could not move."""
        longest = getattr(self.table.c[name].type, "length", None)
        word = name.replace("_", " ")
        if longest and len(text) > longest:
            raise InputError(
                f"{self.said}, {word}: {len(text)} characters were given, at most {longest} can be kept"
            )
        if "\0" in text:
            raise InputError(
                f"{self.said}, {word}: '{text.split(chr(0))[0]}…' holds a zero byte; leave it out"
            )


def _word(name: str, *, index: bool = False, size: int = 200) -> Column[Any]:
    return Column(name, line(size), nullable=False, index=index)


def _key(name: str, *, index: bool = True) -> Column[Any]:
    return Column(name, KEY, nullable=False, index=index)


def _number(name: str) -> Column[Any]:
    return Column(name, Float, nullable=True)


def _truth(name: str) -> Column[Any]:
    return Column(name, Boolean, nullable=False)


def _sought(*names: str) -> Callable[[Any], str]:
    def words(noun: Any) -> str:
        return " ".join(str(getattr(noun, name)) for name in names).casefold()

    return words


_RUN_ONCE = "the specimen has had its creep-recovery run: a specimen serves one run, load a new one"

SHELVES: tuple[Shelf, ...] = (
    Shelf(
        "product",
        "B",
        register.Product,
        current_table("product", _word("name"), _word("grade"), _truth("invented"), UniqueConstraint("name")),
        "product",
        once="a product of this name is kept already",
    ),
    Shelf("tank", "T", register.Tank, current_table("tank", _word("name"), _key("product")), "tank"),
    Shelf(
        "customer",
        "K",
        register.Customer,
        current_table("customer", _word("name"), UniqueConstraint("name")),
        "customer",
        once="a customer of this name is kept already",
    ),
    Shelf(
        "sample",
        "S",
        register.Sample,
        current_table(
            "sample",
            _word("number"),
            _key("product"),
            _key("tank"),
            _word("lot"),
            _word("claimed_grade"),
            _word("received"),
            _key("parent"),
            _key("customer", index=False),
            _truth("invented"),
            Column("sought", prose(), nullable=False),
            _word("stage", size=16),
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
        current_table("can", _key("sample"), _word("name"), UniqueConstraint("sample", "name")),
        "can",
        once="the sample has a can of this name already",
    ),
    Shelf(
        "heating",
        "H",
        register.Heating,
        current_table(
            "heating",
            _key("can"),
            _key("sample"),
            _word("started", size=32),
            _truth("open"),
            Index("ix_heating_open_started", "open", "started"),
        ),
        "heating",
        {"open": lambda heating: heating.duration_min is None},
    ),
    Shelf(
        "custody",
        "U",
        register.Custody,
        current_table("custody", _key("sample"), _word("happened", size=32)),
        "custody event",
    ),
    Shelf(
        "conditioning",
        "A",
        register.Conditioning,
        current_table(
            "conditioning",
            _key("sample"),
            _word("condition", size=32),
            _word("happened", size=32),
            Column("file", SHA256, nullable=False, index=True),
            _key("instrument", index=False),
            _word("worst", size=16),
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
            _key("sample"),
            _word("number"),
            _word("condition", size=32),
            _word("form"),
            UniqueConstraint("sample", "condition", "form", "number"),
        ),
        "specimen",
        once="the sample has a specimen of this number, condition and kind already",
    ),
    Shelf(
        "run",
        "R",
        register.Run,
        current_table(
            "run",
            _word("test", size=32),
            Column("file", SHA256, nullable=False, index=True),
            _word("file_name"),
            _word("part"),
            _key("sample"),
            _key("specimen"),
            _word("condition", size=32),
            _key("instrument", index=False),
            _word("operator"),
            _word("tested", size=32),
            _number("temperature_c"),
            _key("result", index=False),
            _word("worst", size=16),
            _word("reduced", size=32),
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
        current_table(
            "result", _key("run"), _key("sample"), _word("worst", size=16), _word("software", size=32)
        ),
        "result",
    ),
    Shelf(
        "verdict",
        "V",
        register.Verdict,
        current_table(
            "verdict",
            _key("sample"),
            _word("specification"),
            _word("grade"),
            _word("outcome", size=32),
            _number("nearest_margin"),
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
            _word("number"),
            _key("sample"),
            _key("customer"),
            _word("state", size=16, index=True),
            _word("issued", size=32, index=True),
            _key("author", index=False),
            UniqueConstraint("number"),
        ),
        "statement",
        once="a statement of this number is kept already",
        files=("files",),
    ),
    Shelf(
        "instrument",
        "I",
        register.Instrument,
        current_table("instrument", _word("name"), _truth("retired"), UniqueConstraint("name")),
        "instrument",
        once="an instrument of this name is kept already",
    ),
    Shelf(
        "verification",
        "Q",
        register.Verification,
        current_table(
            "verification",
            _key("instrument"),
            _word("what"),
            _word("done", size=32),
            _word("due", size=32, index=True),
            _truth("passed"),
        ),
        "verification",
        files=("file",),
    ),
    Shelf(
        "site",
        "W",
        register.SiteRecord,
        current_table(
            "site",
            _word("name", index=True),
            _key("customer"),
            _word("grade"),
            _word("specification"),
            _number("latitude_deg"),
            _number("longitude_deg"),
            _number("amount_t"),
            _number("high_design_c"),
            _number("low_design_c"),
            _truth("invented"),
        ),
        "site",
        files=("file",),
    ),
    Shelf(
        "range",
        "G",
        register.RangeRecord,
        current_table("range", _word("name"), _word("valid_from", size=32)),
        "range",
        files=("file", "beside"),
    ),
    Shelf(
        "blend",
        "F",
        register.BlendBookRecord,
        current_table("blend", _word("name"), _word("grade"), _key("site"), _truth("invented")),
        "blend book",
        files=("file", "beside"),
    ),
    Shelf(
        "layout",
        "L",
        register.SavedLayout,
        current_table(
            "layout", _word("name"), _word("headings", size=64, index=True), UniqueConstraint("name")
        ),
        "layout",
        once="a layout of this name is kept already",
        files=("file",),
    ),
    Shelf(
        "retention",
        "D",
        register.Retention,
        current_table(
            "retention",
            _key("sample"),
            _word("due", size=32),
            _truth("ended"),
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
            _key("retention"),
            _key("sample"),
            _word("disposed", size=32),
            UniqueConstraint("retention"),
        ),
        "disposal",
        once="this retention has ended already",
    ),
    Shelf(
        "control_watch",
        "J",
        register.ControlWatch,
        current_table(
            "control_watch",
            _key("product"),
            _word("quantity"),
            _word("condition", size=32),
            _number("temperature_c"),
        ),
        "control chart",
    ),
    Shelf(
        "sampling",
        "SP",
        register.SamplingInForce,
        current_table("sampling", _key("product"), _word("plan"), _word("since", size=32)),
        "sampling plan in force",
    ),
    Shelf(
        "delivery",
        "Y",
        register.Delivery,
        current_table(
            "delivery",
            _word("number"),
            _key("product"),
            _key("tank", index=False),
            _key("customer"),
            _word("lot", index=True),
            _word("sent", size=32, index=True),
            _word("certificate"),
            UniqueConstraint("number"),
        ),
        "delivery",
        once="a delivery of this number is kept already",
    ),
    Shelf(
        "round_result",
        "M",
        register.RoundResult,
        current_table(
            "round_result",
            _word("scheme"),
            _word("round"),
            _word("day", size=32, index=True),
            _word("quantity", index=True),
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
            _word("name"),
            _word("kind", size=32),
            _truth("retired"),
            UniqueConstraint("name"),
        ),
        "check material",
        once="a check material of this name is kept already",
    ),
    Shelf(
        "check_result",
        "CR",
        register.CheckResult,
        current_table(
            "check_result", _key("material"), _key("instrument"), _word("done", size=32, index=True)
        ),
        "check",
    ),
    Shelf(
        "own_precision",
        "OP",
        register.OwnPrecision,
        current_table(
            "own_precision",
            _word("quantity", index=True),
            _word("condition", size=32),
            _word("until", size=32),
        ),
        "precision of the laboratory",
    ),
    Shelf(
        "person",
        "P",
        register.Person,
        current_table(
            "person",
            _word("account"),
            _word("name"),
            _truth("active"),
            _word("external", index=True),
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

BY_KIND = {shelf.kind: shelf for shelf in SHELVES}
BY_NOUN = {shelf.noun: shelf for shelf in SHELVES}
BY_PREFIX = {shelf.prefix: shelf for shelf in SHELVES}
