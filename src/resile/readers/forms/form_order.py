"""A test order out of a filled results form."""

from __future__ import annotations

from pathlib import Path

from resile.errors import FileFormatError, RecordNotFoundError
from resile.readers.forms.results_form import is_form, read_form
from resile.readers.source_file import read_source
from resile.readers.workbooks.workbook import read_workbook
from resile.records.form import ORDER_SHEET
from resile.records.order import Instrument, OrderedSample, TestOrder
from resile.records.revision import Replacement

MAX_FORM_BYTES = 50_000_000


def read_form_order(path: Path) -> TestOrder:
    """Take the order from a filled results form; its results and its bottles stand in the same workbook.

    Parameters
    ----------
    path : Path
        The form (.xlsx).

    Returns
    -------
    TestOrder
        Its tables and its ageing records are the form itself.

    Raises
    ------
    RecordNotFoundError
        The form, or the JSON of a replaced report, does not exist.
    FileFormatError
        No form, no sample, no result, or a cell that cannot be read.
    """
    data, source = read_source(path, "filled results form (.xlsx)", MAX_FORM_BYTES)
    grids = read_workbook(data, str(path))
    if not is_form(grids):
        raise FileFormatError(
            f"{path}: this workbook is no results form (resile form makes one); a table of results is judged "
            "with 'resile grade', or named in 'tables' of a test order"
        )
    filled = read_form(grids, str(path))
    values = dict(filled.form.order_values)
    parts: dict[str, dict[str, str]] = {"": {}, "sample": {}, "instrument": {}, "replaces": {}}
    for key, text in values.items():
        table, _, name = key.rpartition(".")
        parts[table][name] = text
    if "name" not in parts["sample"]:
        raise FileFormatError(f"{path}: sheet {ORDER_SHEET!r}, cell B6: the name of the sample is needed")
    if not (filled.result_grids or filled.ageing_grid or filled.long_term_grid):
        raise FileFormatError(f"{path}: the form holds no result; fill in at least one tinted cell 'Value'")
    plain = {key: text for key, text in parts[""].items() if key not in ("notes", "invented")}
    replaces = parts["replaces"]
    order = TestOrder(
        sample=OrderedSample(**parts["sample"]),
        instruments=_form_instruments(parts["instrument"]),
        tables=(path,) if filled.result_grids else (),
        ageing=path if filled.ageing_grid is not None else None,
        long_term_ageing=path if filled.long_term_grid is not None else None,
        notes=(parts[""]["notes"],) if "notes" in parts[""] else (),
        invented=parts[""].get("invented", "no").casefold() in ("yes", "true", "1"),
        replaces=_form_replacement(path, replaces) if replaces else None,
        source=source,
        form=filled.form,
        **plain,  # type: ignore[arg-type]  # texts only
    )
    replaced = order.replaces.report if order.replaces is not None else None
    if isinstance(replaced, Path) and not replaced.is_file():
        raise RecordNotFoundError(f"{path}: the JSON of the replaced report, {replaced}, does not exist")
    return order


def _form_instruments(texts: dict[str, str]) -> tuple[Instrument, ...]:
    return (Instrument(**texts),) if texts else ()  # type: ignore[arg-type]  # texts only: name, verified


def _form_replacement(path: Path, texts: dict[str, str]) -> Replacement:
    for key, words in (("number", "its number"), ("reason", "why")):
        if key not in texts:
            raise FileFormatError(
                f"{path}: sheet {ORDER_SHEET!r}: a report that replaces another names it and says why; "
                f"{words} is missing"
            )
    report = texts.get("report", "")
    return Replacement(texts["number"], texts["reason"], path.parent / report if report else None)
