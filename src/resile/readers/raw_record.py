"""The door for raw records of every test: which test a file holds is told from its columns.

``read_raw_record`` gives signals with their `method`. Creep recovery goes through `creep_recovery_record`;
oscillation, bending beam and rotational viscosity through `machine_signals`. A file whose columns fit two
tests, or none, is refused with what is missing or the question that decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from resile.errors import AmbiguousFileError, FileFormatError
from resile.readers.creep_recovery_record import creep_recovery_signals, is_creep_recovery
from resile.readers.grids.table import Table
from resile.readers.layout import Layout
from resile.readers.tables_of_file import MOST_BYTES, read_tables
from resile.records.reading import HeldFile
from resile.records.signal import Signal

CREEP_RECOVERY = "creep_recovery"
OSCILLATION = "oscillation"
BENDING_BEAM = "bending_beam"
ROTATIONAL_VISCOSITY = "rotational_viscosity"
_NO_LAYOUT = Layout()
_TITLES = {
    CREEP_RECOVERY: "creep recovery",
    OSCILLATION: "oscillation",
    BENDING_BEAM: "bending beam",
    ROTATIONAL_VISCOSITY: "rotational viscosity",
}
_WANTED = {
    OSCILLATION: (
        "oscillation",
        (
            ({"complex_modulus", "complex_viscosity"}, "complex modulus |G*|"),
            ({"phase_angle", "loss_tangent"}, "phase angle δ"),
        ),
    ),
    BENDING_BEAM: (
        "bending beam",
        (
            ({"time_s", "segment_time_s", "clock_time"}, "time"),
            ({"load_mn"}, "load"),
            ({"deflection_mm"}, "deflection in mm"),
        ),
    ),
}
_SIGNS = {
    OSCILLATION: {"complex_modulus", "phase_angle", "storage_modulus", "loss_modulus", "complex_viscosity"},
    BENDING_BEAM: {"load_mn", "deflection_mm"},
}


def read_raw_record(
    path: Path | HeldFile, *, layout: Layout = _NO_LAYOUT, max_bytes: int = MOST_BYTES
) -> tuple[Signal, ...]:
    """Read a raw record of any test.

    Parameters
    ----------
    path : Path or HeldFile
        A text file (.csv, .txt, …) or a workbook (.xlsx).
    layout : Layout
        What the user said of the file; what is not said is found in it.
    max_bytes : int
        A larger file is refused before it is read [bytes].

    Returns
    -------
    tuple of Signal
        One a specimen, each with its `method`; creep-recovery runs stand first.

    Raises
    ------
    RecordNotFoundError
        There is no such file.
    InputError
        It is a folder, cannot be opened, or states an impossible length.
    FileFormatError
        It is no record: empty, binary, too large, no headings, no numbers, a column missing.
    AmbiguousFileError
        One question must be answered first; the error names the option that answers it.
    """
    tables, source = read_tables(path, layout=layout, max_bytes=max_bytes)
    methods = [method_of(table, source.path) for table in tables]
    known = {method for method in methods if method}
    if known <= {CREEP_RECOVERY}:
        if not known:
            _refuse_half_a_test(tables, source.path)
        return creep_recovery_signals(tables, source, layout)
    from resile.readers.machine_signals import machine_signals
    from resile.readers.signals.side_by_side import beams_side_by_side

    creep = [table for table, method in zip(tables, methods, strict=True) if method == CREEP_RECOVERY]
    signals = list(creep_recovery_signals(creep, source, layout)) if creep else []
    many = len(tables) > 1
    for table, method in zip(tables, methods, strict=True):
        if method not in ("", CREEP_RECOVERY):
            parts = beams_side_by_side(table) if method == BENDING_BEAM else [table]
            for part in parts:
                signals += machine_signals(part, method, source, layout, many=many)
    return tuple(signals)


def methods_of_record(
    path: Path | HeldFile, *, layout: Layout = _NO_LAYOUT, max_bytes: int = MOST_BYTES
) -> set[str]:
    """Tell which tests a file holds, without reading its numbers.

    Parameters
    ----------
    path, layout, max_bytes
        As in `read_raw_record`.

    Returns
    -------
    set of str
        As `method_of` names them; empty for a file that is no record.

    Raises
    ------
    ResileError
        As in `read_raw_record`.
    """
    tables, source = read_tables(path, layout=layout, max_bytes=max_bytes)
    return {method for table in tables if (method := method_of(table, source.path))}


def method_of(table: Table, path: str) -> str:
    """Tell which test a table records.

    Parameters
    ----------
    table : Table
        Columns as printed.
    path : str
        Named in a question.

    Returns
    -------
    str
        ``creep_recovery``, ``oscillation``, ``bending_beam``, ``rotational_viscosity``, or empty where its
        columns are none of these.

    Raises
    ------
    AmbiguousFileError
        The columns fit two tests.
    """
    present = {column.reading.quantity for column in table.columns}
    angle = bool(present & {"phase_angle", "loss_tangent"})
    oscillation = (
        (angle and bool(present & {"complex_modulus", "complex_viscosity"}))
        or {"storage_modulus", "loss_modulus"} <= present
        or (angle and {"torque_nm", "angle_rad"} <= present)
        or (angle and {"stress_kpa", "strain"} <= present)
    )
    timed = bool(present & {"time_s", "segment_time_s", "clock_time"})
    fitting = [OSCILLATION] if oscillation else []
    if timed and ({"load_mn", "deflection_mm"} <= present or _is_stiffness_over_time(present)):
        fitting.append(BENDING_BEAM)
    if not oscillation and is_creep_recovery(table):
        fitting.append(CREEP_RECOVERY)
    if not fitting and _is_viscosity(table, timed=timed):
        fitting.append(ROTATIONAL_VISCOSITY)
    if len(fitting) > 1:
        names = " and of a ".join(_TITLES[method] for method in fitting)
        raise AmbiguousFileError(
            f"{path}: the columns are those of a {names} test; which test is it? "
            "Leave the columns of the other out (--column NUMBER=ignore)",
            option="--column",
        )
    return fitting[0] if fitting else ""


def _is_stiffness_over_time(present: set[str | None]) -> bool:
    """Stiffness beside a loading time, typed as a table: a beam reduced by hand or by another program."""
    other = {"stress_kpa", "strain", "m_value", "load_mn", "deflection_mm", "complex_modulus"}
    return "creep_stiffness" in present and not present & other


def _is_viscosity(table: Table, *, timed: bool) -> bool:
    """Viscosity beside a temperature, and nothing else that is measured in another test."""
    present = {column.reading.quantity for column in table.columns}
    candidates = {name for column in table.columns for name in column.reading.candidates}
    if not present & {"temperature_c", "set_temperature_c"} or present & {"stress_kpa", "strain"}:
        return False
    return "rotational_viscosity" in present or ("rotational_viscosity" in candidates and not timed)


def _refuse_half_a_test(tables: Sequence[Table], path: str) -> None:
    """Say what is missing where a table has some columns of a test that is not creep recovery."""
    for table in tables:
        present = {column.reading.quantity for column in table.columns}
        for method, signs in _SIGNS.items():
            title, parts = _WANTED[method]
            missing = [words for quantities, words in parts if not quantities & present]
            if present & signs and missing:
                seen = ", ".join(repr(c.reading.heading) for c in table.columns if c.reading.heading)
                where = f"{path}, sheet {table.sheet}" if table.sheet else path
                raise FileFormatError(
                    f"{where}: the columns look like a test in {title}, but there is none for "
                    f"{' or '.join(missing)} among the headings {seen}; name a column with --column"
                )
