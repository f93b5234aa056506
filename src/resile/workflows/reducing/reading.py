"""How a file is understood: choose a layout, and tell a person what was made of the file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from resile.errors import SpecificationError
from resile.readers.account import explain, explain_rows, overview, reads_alike
from resile.readers.layout import ColumnLayout, Layout, check_layout, layout_to_toml, read_layout
from resile.readers.raw_record import read_raw_record
from resile.records.signal import Signal

__all__ = ["Layout", "RecordReading", "choose_layout", "explain_record", "save_layout"]


@dataclass(frozen=True, slots=True)
class RecordReading:
    """What was made of one file, before any reduction.

    Attributes
    ----------
    path : str
        The file as it was named.
    signals : tuple of Signal
        One a block, replicate or temperature.
    """

    path: str
    signals: tuple[Signal, ...]

    def lines(self) -> list[str]:
        """Give the runs found and the account of every one in plain words, the columns told once."""
        lines = overview(self.path, self.signals)
        for place, signal in enumerate(self.signals):
            told = place > 0 and reads_alike(self.signals[place - 1], signal)
            lines += explain_rows(signal) if told else explain(signal)
        return [*lines, ""]

    def to_json(self) -> list[dict[str, Any]]:
        """Give the account of every signal for machines."""
        from resile.report.machine.records import account_to_json

        return [
            {
                "source": {"path": signal.source.path, "sha256": signal.source.sha256},
                "label": signal.label,
                "method": signal.method,
                "quantities": list(signal.columns),
                "details": dict(signal.details),
                "account": account_to_json(signal.account),
            }
            for signal in self.signals
        ]


def explain_record(path: str | Path, *, layout: Layout | None = None) -> RecordReading:
    """Read a record file and keep the account of how it was understood.

    Parameters
    ----------
    path : str or Path
        Record file.
    layout : Layout, optional
        How it is to be understood, where that is not left to the reader.

    Returns
    -------
    RecordReading
        The signals with their accounts.
    """
    signals = read_raw_record(Path(path), layout=layout if layout is not None else Layout())
    return RecordReading(path=str(path), signals=signals)


def choose_layout(how: Mapping[str, Any]) -> Layout:
    """Make one layout of a saved file and single settings that win over it.

    Parameters
    ----------
    how : mapping
        Names of `Layout` fields to values; ``layout`` is the path of a saved layout, ``column`` a list of
        ``HEADING=QUANTITY`` or ``NUMBER=QUANTITY`` texts, with ``:UNIT`` if need be; ``plate_diameter``,
        ``gap`` and ``temperature`` in mm and °C.

    Returns
    -------
    Layout
        Checked.
    """
    settings = dict(how)
    saved = settings.pop("layout", None)
    base = read_layout(Path(saved)) if saved is not None else Layout()
    columns = tuple(_column(text) for text in settings.pop("column", ()))
    for short, field in (
        ("plate_diameter", "plate_diameter_mm"),
        ("gap", "gap_mm"),
        ("temperature", "temperature_c"),
    ):
        if short in settings:
            settings[field] = settings.pop(short)
    if columns:
        named = {column.column for column in columns}
        settings["columns"] = (*columns, *(column for column in base.columns if column.column not in named))
    return check_layout(replace(base, **settings), place="the options") if settings else base


def save_layout(layout: Layout, path: str | Path) -> None:
    """Write a layout to a file that `choose_layout` can take again; an existing file is not overwritten."""
    target = Path(path)
    try:
        with target.open("x", encoding="utf-8") as file:
            file.write(layout_to_toml(layout))
    except FileExistsError:
        raise SpecificationError(f"{target} exists already; choose another name for the layout") from None
    except OSError as error:
        raise SpecificationError(f"{target}: the layout cannot be written ({error.strerror})") from error


def _column(text: str) -> ColumnLayout:
    column, found, meaning = text.rpartition("=")
    if not found or not column or not meaning:
        raise SpecificationError(
            f"column '{text}': HEADING=QUANTITY or NUMBER=QUANTITY is needed, for example 3=strain:%"
        )
    quantity, _, unit = meaning.partition(":")
    return ColumnLayout(column=column.strip(), quantity=quantity.strip(), unit=unit.strip())
