"""A test order: one TOML file that says what was sent in, what was asked and which files answer it.

An order that uses every key::

    number = "2026-0417"
    invented = true                       # laboratory, sample and numbers are made up
    laboratory = "Laboratory of the harbour works"
    customer = "Roads of the northern district"
    customer_contact = "Dike 1, Ambelund"
    external_results = ""                 # which results another laboratory made
    operator = "A. Writer"
    reviewed_by = "B. Reader"             # who authorises the report
    tested = "2026-03-04 to 2026-03-05"
    place_of_work = "as the laboratory"
    specification = "m332-2014"
    decision_rule = "guard-band"
    uncertainty_basis = "repeatability"
    retest_rule = "mean-of-all"
    budget = "bench-1.toml"               # for the bases budget and combined
    precision = "own-precision.toml"      # for the basis own
    correlation = "laboratory-bias"
    price_rule = ["m-value-steps"]        # or one name; a file beside the order, where it ends in .toml
    price_limit = 55                      # that the rule counts from, as the contract states it
    service_class = "V"
    high_temperature_c = 64
    tables = ["oscillation.csv"]          # summary tables
    ageing = "short-term-ageing.toml"
    long_term_ageing = "pressure-ageing.toml"
    notes = ["Can opened once."]

    [sample]
    name = "N-118"
    product = "polymer modified, as declared"
    claimed_grade = "64V"
    received = 2026-03-02
    container = "1 L can, seal 5521"
    taken = "loading arm 2, by the sender"
    state = "unopened, no settlement seen"

    [[instrument]]                        # or [instrument] where there is one
    name = "rheometer 1"
    tests = ["creep_recovery", "oscillation"]
    plate_diameter_mm = 25
    gap_mm = 1
    verified = 2026-02-11

    [replaces]                            # only where this report replaces another
    number = "2026-0409"
    reason = "mass of bottle 2 was mistyped"
    report = "2026-0409.json"             # written beside its pages; what changed is then listed

    [[record]]
    file = "specimen-1.csv"
    condition = "RTFO"
    specimen = 1

    [[record]]
    file = "sweep.csv"
    condition = "PAV"
    tested = 2026-03-05                   # of this record, where the order states several days
    plate_diameter_mm = 8                 # of this record: goes before what the file states
    gap_mm = 2

Files are sought beside the order.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.errors import RecordNotFoundError, SpecificationError
from resile.readers.checked_toml import as_text, read_checked_toml
from resile.readers.conditions import read_condition
from resile.readers.forms.form_order import read_form_order
from resile.records.determination import Condition
from resile.records.order import (
    TESTS_OF_INSTRUMENTS,
    Instrument,
    OrderedRecord,
    OrderedSample,
    TestOrder,
)
from resile.records.revision import Replacement

if TYPE_CHECKING:
    from pydantic import BaseModel


def read_order(path: Path) -> TestOrder:
    """Read a test order.

    Parameters
    ----------
    path : Path
        The order (.toml), or a filled results form (.xlsx).

    Returns
    -------
    TestOrder
        With every path resolved against the folder of the order.

    Raises
    ------
    RecordNotFoundError
        The order, or files it names, do not exist; all of them are named.
    FileFormatError
        The order is not TOML.
    SpecificationError
        Keys missing, unknown or wrong, or one file named twice.
    """
    if path.suffix.casefold() in (".xlsx", ".xlsm"):
        return read_form_order(path)
    content: Any
    content, source = read_checked_toml(path, _model(), "test order")
    folder = path.parent
    order = TestOrder(
        sample=OrderedSample(**content.sample.model_dump()),
        records=tuple(_record(folder, row) for row in content.record),
        tables=tuple(folder / name for name in content.tables),
        ageing=folder / content.ageing if content.ageing else None,
        long_term_ageing=folder / content.long_term_ageing if content.long_term_ageing else None,
        instruments=tuple(Instrument(**one.model_dump()) for one in content.instrument),
        notes=tuple(content.notes),
        replaces=_replacement(folder, content.replaces),
        budget=_name_or_file(folder, content.budget),
        correlation=_name_or_file(folder, content.correlation),
        precision=_name_or_file(folder, content.precision),
        price_rule=tuple(_name_or_file(folder, name) for name in content.price_rule),
        source=source,
        **content.model_dump(exclude=_RESOLVED),
    )
    _check_files(order, path)
    return order


_RESOLVED = {
    "sample",
    "record",
    "tables",
    "ageing",
    "long_term_ageing",
    "instrument",
    "notes",
    "replaces",
    "budget",
    "correlation",
    "precision",
    "price_rule",
}


def _name_or_file(folder: Path, text: str) -> str:
    """Seek a file beside the order; a name is left for the search path."""
    return str(folder / text) if text.endswith(".toml") else text


def _record(folder: Path, row: Any) -> OrderedRecord:
    return OrderedRecord(
        path=folder / row.file,
        condition=read_condition(row.condition)[0],
        specimen=row.specimen,
        temperature_c=row.temperature_c,
        layout=folder / row.layout if row.layout else None,
        sheet=row.sheet,
        laboratory=row.laboratory,
        plate_diameter_mm=row.plate_diameter_mm,
        gap_mm=row.gap_mm,
        tested=row.tested,
    )


def _replacement(folder: Path, table: Any) -> Replacement | None:
    if table is None or not (table.number or table.reason):
        return None
    return Replacement(table.number, table.reason, folder / table.report if table.report else None)


def _check_files(order: TestOrder, path: Path) -> None:
    named = [record.path for record in order.records] + list(order.tables)
    named += [path for path in (order.ageing, order.long_term_ageing) if path is not None]
    if not named:
        raise SpecificationError(
            f"{path}: the test order names no file; "
            "give at least one [[record]], a table in 'tables', or 'ageing'"
        )
    # One workbook may hold several runs, each on a sheet of its own.
    listed = [(record.path, record.sheet) for record in order.records] + [
        (table, "") for table in order.tables
    ]
    twice = sorted({str(file) for file, sheet in listed if listed.count((file, sheet)) > 1})
    if twice:
        raise SpecificationError(
            f"{path}: named twice in the test order: {', '.join(twice)}; name each file once"
        )
    wanted = dict.fromkeys([*named, *(record.layout for record in order.records if record.layout)])
    if order.replaces is not None and order.replaces.report is not None:
        wanted[order.replaces.report] = None
    missing = [str(file) for file in wanted if isinstance(file, Path) and not file.is_file()]
    if missing:
        raise RecordNotFoundError(f"{path}: files named in the test order do not exist: {', '.join(missing)}")


def _known_condition(text: str) -> str:
    condition, remark = read_condition(text)
    if condition is Condition.UNKNOWN:
        raise ValueError(remark)
    return text


def _known_test(text: str) -> str:
    if text not in TESTS_OF_INSTRUMENTS:
        raise ValueError(f"{text!r} is no test; the tests are: {', '.join(TESTS_OF_INSTRUMENTS)}")
    return text


def _one_or_many(given: object) -> object:
    """Take ``[instrument]`` as well as ``[[instrument]]``, and one name as well as a list of names."""
    return [given] if isinstance(given, dict | str) else given


@cache
def _model() -> type[BaseModel]:
    from typing import Annotated

    from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, model_validator

    Text = Annotated[str, BeforeValidator(as_text)]  # noqa: N806
    Needed = Annotated[Text, Field(min_length=1)]  # noqa: N806
    Temperature = Annotated[float, Field(ge=-50, le=250)]  # noqa: N806
    Length = Annotated[float, Field(gt=0, le=100)]  # noqa: N806

    class Closed(BaseModel):
        model_config = ConfigDict(extra="forbid", str_strip_whitespace=True, allow_inf_nan=False)

    class SampleTable(Closed):
        name: Needed
        product: Text = ""
        claimed_grade: Text = ""
        received: Text = ""
        container: Text = ""
        taken: Text = ""
        state: Text = ""

    class RecordTable(Closed):
        file: Needed
        condition: Annotated[Needed, AfterValidator(_known_condition)]
        specimen: Text = ""
        temperature_c: Temperature | None = None
        layout: str = ""
        sheet: Text = ""
        laboratory: Text = ""
        tested: Text = ""
        plate_diameter_mm: Length | None = None
        gap_mm: Length | None = None

    class InstrumentTable(Closed):
        name: Text = ""
        plate_diameter_mm: Length | None = None
        gap_mm: Length | None = None
        verified: Text = ""
        note: Text = ""
        tests: tuple[Annotated[Needed, AfterValidator(_known_test)], ...] = ()

    class ReplacesTable(Closed):
        number: Text = ""
        reason: Text = ""
        report: Text = ""

        @model_validator(mode="before")
        @classmethod
        def sentence_or_table(cls, given: object) -> object:
            if isinstance(given, str):  # number and reason in one sentence
                return {"reason": given}
            if isinstance(given, dict):
                for key in ("number", "reason"):
                    if not str(given.get(key, "")).strip():
                        raise ValueError(
                            f"'{key}' is needed: a report that replaces another names it and says why"
                        )
            return given

    class OrderTable(Closed):
        sample: SampleTable
        number: Text = ""
        laboratory: Text = ""
        address: Text = ""
        customer: Text = ""
        customer_contact: Text = ""
        external_results: Text = ""
        invented: bool = False
        specification: Text = ""
        decision_rule: Text = ""
        uncertainty_basis: Text = ""
        retest_rule: Text = ""
        budget: Text = ""
        correlation: Text = ""
        precision: Text = ""
        price_rule: Annotated[
            tuple[Needed, ...],
            BeforeValidator(_one_or_many, json_schema_input_type=Needed | tuple[Needed, ...]),
        ] = ()
        price_limit: float | None = None
        service_class: Text = ""
        high_temperature_c: Temperature | None = None
        record: tuple[RecordTable, ...] = ()
        tables: tuple[Needed, ...] = ()
        ageing: str = ""
        long_term_ageing: str = ""
        instrument: Annotated[
            tuple[InstrumentTable, ...],
            BeforeValidator(
                _one_or_many, json_schema_input_type=InstrumentTable | tuple[InstrumentTable, ...]
            ),
        ] = ()
        operator: Text = ""
        reviewed_by: Text = ""
        tested: Text = ""
        place_of_work: Text = ""
        replaces: ReplacesTable | None = None
        notes: tuple[Text, ...] = ()

    return OrderTable
