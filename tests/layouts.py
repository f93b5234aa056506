"""Test support: writes a record in many layouts. All of them are our own invention; none is an instrument's.

`Layout` says how; `render_layout` gives the bytes, `write_layout` puts them on disk.
"""

from __future__ import annotations

import io
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Arrays = Mapping[str, NDArray[np.float64]]
Cell = str | float | None

# Ordinary technical words, in the order of LANGUAGES.
LANGUAGES = ("en", "de", "fr", "es", "pt", "pl", "ru", "zh")
WORDS = {
    "time_s": "time|Zeit|temps|tiempo|tempo|czas|время|时间",
    "segment_time_s": "step time|Abschnittszeit|temps de segment|tiempo de etapa|tempo da etapa|czas etapu"
    "|время шага|分段时间",
    "stress_kpa": "shear stress|Schubspannung|contrainte de cisaillement|tensión de corte"
    "|tensão de cisalhamento|naprężenie ścinające|напряжение сдвига|剪切应力",
    "strain": "shear strain|Scherdeformation|déformation|deformación|deformação|odkształcenie ścinające"
    "|деформация сдвига|剪切应变",
    "temperature_c": "temperature|Temperatur|température|temperatura|temperatura|temperatura"
    "|температура|温度",
    "torque_nm": "torque|Drehmoment|couple|par de torsión|momento torsor|moment obrotowy"
    "|крутящий момент|扭矩",
    "angle_rad": "rotation angle|Drehwinkel|angle de rotation|ángulo de giro|ângulo de rotação|kąt obrotu"
    "|угол поворота|转角",
    "point_number": "point|Messpunkt|point|punto|ponto|punkt|точка|点",
    "cycle_number": "cycle|Zyklus|cycle|ciclo|ciclo|cykl|цикл|循环",
    "segment_number": "segment|Abschnitt|segment|segmento|segmento|segment|сегмент|段",
    "normal_force": "normal force|Normalkraft|force normale|fuerza normal|força normal|siła normalna"
    "|нормальная сила|法向力",
}
# Unit: how many of it make one kept unit (s, kPa, ratio, °C, N·m, rad).
FACTORS = {"s": 1.0, "min": 1 / 60, "h": 1 / 3600, "kPa": 1.0, "Pa": 1e3, "MPa": 1e-3, "1": 1.0, "-": 1.0}
FACTORS |= {"%": 1e2, "‰": 1e3, "°C": 1.0, "N·m": 1.0, "mN·m": 1e3, "µN·m": 1e6, "rad": 1.0, "mrad": 1e3}
FACTORS |= {"N": 1.0, "": 1.0}
UNDERSCORE_UNITS = {
    "%": "percent",
    "‰": "permil",
    "1": "ratio",
    "-": "ratio",
    "°C": "C",
    "N·m": "Nm",
    "mN·m": "mNm",
}
# What one step of the last printed digit is worth, in kept units, for fixed decimals.
STEPS = {"time_s": 1e-4, "segment_time_s": 1e-4, "stress_kpa": 1e-5, "strain": 1e-7, "temperature_c": 1e-2}
STEPS |= {"torque_nm": 1e-10, "angle_rad": 1e-8, "normal_force": 1e-3}
WHOLE = ("point_number", "cycle_number", "segment_number")
PLATE_DIAMETER_MM = 25.0
GAP_MM = 1.0


@dataclass(frozen=True)
class Layout:
    """How a record is laid out; the defaults are the plainest file there is."""

    workbook: bool = False
    separator: str = ","
    decimal_mark: str = "."
    thousands_mark: str = ""
    encoding: str = "utf-8"
    newline: str = "\n"
    language: str = "en"
    unit_style: str = "brackets"  # brackets, round, slash, comma, row, underscore
    group_row: bool = False  # a row of titles over the headings (merged in a workbook)
    preamble: str = ""  # "", "names" (name and value lines) or "comments" (# lines)
    numbers: str = "fixed"  # fixed, exponent
    digits: int = 9  # significant digits of exponent notation
    columns: tuple[str, ...] = ("time_s", "stress_kpa", "strain", "temperature_c")
    time_unit: str = "s"
    stress_unit: str = "kPa"
    strain_unit: str = "%"
    torque_unit: str = "mN·m"
    time_restarts: str = ""  # "", "step" or "cycle": the running time is left out
    strain_restarts: bool = False  # at each cycle
    headings_per_segment: bool = False
    order: str = "sorted"  # sorted, shuffled, repeated
    arrangement: str = "stacked"  # several records: stacked, side by side, sheets
    numbers_as_text: bool = False  # workbook only
    blank_tail: int = 0

    def unit(self, quantity: str) -> str:
        """Unit a column is printed in; empty for counts."""
        return {
            "time_s": self.time_unit,
            "segment_time_s": self.time_unit,
            "stress_kpa": self.stress_unit,
            "strain": self.strain_unit,
            "temperature_c": "°C",
            "torque_nm": self.torque_unit,
            "angle_rad": "rad",
            "normal_force": "N",
        }.get(quantity, "")

    def heading_rows(self) -> int:
        """Number of heading rows, title rows apart."""
        return 1 + self.group_row + (self.unit_style == "row")


def heading_word(quantity: str, language: str) -> str:
    """Word for a quantity in a language."""
    return WORDS[quantity].split("|")[LANGUAGES.index(language)]


def prepare(
    arrays: Arrays, layout: Layout, generator: np.random.Generator | None = None
) -> dict[str, NDArray]:
    """Give the columns of the layout in kept units, with the restarts and the order it asks for."""
    columns = {name: np.array(values, dtype=float) for name, values in arrays.items()}
    segment = columns["segment_number"]
    cycle = (segment - 1) // 2  # from 0, through the whole test
    time, strain = columns["time_s"].copy(), columns["strain"].copy()
    columns["segment_time_s"] = time - _last_before(time, segment)
    if layout.time_restarts:
        columns["time_s"] = time - _last_before(time, segment if layout.time_restarts == "step" else cycle)
    if layout.strain_restarts:
        columns["strain"] = strain - _last_before(strain, cycle)
    columns["torque_nm"] = columns["stress_kpa"] * 1e3 * math.pi * (PLATE_DIAMETER_MM / 2e3) ** 3 / 2
    columns["angle_rad"] = columns["strain"] * GAP_MM / (PLATE_DIAMETER_MM / 2)
    columns["normal_force"] = 0.1 * np.cos(time)
    rows = np.arange(len(time))
    if layout.order == "shuffled":
        assert generator is not None
        rows = generator.permutation(rows)
    elif layout.order == "repeated":
        rows = np.sort(np.concatenate([rows, rows[5::97]]))
    return {name: columns[name][rows] for name in {*layout.columns, "segment_number"}}


def _last_before(values: NDArray[np.float64], group: NDArray[np.float64]) -> NDArray[np.float64]:
    """For each row the value at the last row before its group began; 0 in the first group."""
    starts = np.flatnonzero(np.r_[True, np.diff(group) != 0])
    before = np.where(starts > 0, values[starts - 1], 0.0)
    return before[np.searchsorted(starts, np.arange(len(values)), side="right") - 1]


def print_column(quantity: str, values: NDArray[np.float64], layout: Layout) -> list[str]:
    """Give a column as printed text."""
    if quantity in WHOLE:
        return [f"{value:.0f}" for value in values]
    printed = values * FACTORS[layout.unit(quantity)]
    if layout.numbers == "exponent":
        texts = [f"{value:.{layout.digits - 1}e}" for value in printed]
    else:
        decimals = max(0, math.ceil(-math.log10(STEPS[quantity] * FACTORS[layout.unit(quantity)]) - 1e-9))
        texts = [f"{value:{',' if layout.thousands_mark else ''}.{decimals}f}" for value in printed]
    marks = str.maketrans({",": layout.thousands_mark, ".": layout.decimal_mark})
    return [text.translate(marks) for text in texts]


def printed_error(quantity: str, values: NDArray[np.float64], layout: Layout) -> float:
    """Largest rounding error of a printed column, in kept units."""
    if layout.numbers == "exponent":
        largest = float(np.abs(values).max()) * FACTORS[layout.unit(quantity)]
        decade = 10.0 ** math.floor(math.log10(largest)) if largest > 0 else 0.0
        return 0.5 * decade * 10.0 ** (1 - layout.digits) / FACTORS[layout.unit(quantity)]
    return 0.5 * STEPS[quantity]


def heading_grid(layout: Layout, columns: Sequence[str]) -> list[list[str]]:
    """Give the heading rows."""
    words = [heading_word(name, layout.language) for name in columns]
    units = [layout.unit(name) for name in columns]
    if layout.unit_style == "underscore":
        words = [word.replace(" ", "_") for word in words]
        units = [UNDERSCORE_UNITS.get(unit, unit) for unit in units]
    pattern = {
        "brackets": "{} [{}]",
        "round": "{} ({})",
        "slash": "{}/{}",
        "comma": "{}, {}",
        "underscore": "{}_{}",
    }
    rows: list[list[str]] = []
    if layout.group_row:
        rows.append([{"temperature_c": "B", "point_number": "No."}.get(name, "A") for name in columns])
    blank = "[-]" if layout.separator == " " else ""  # blanks cannot show an empty cell
    if layout.unit_style == "row":
        rows += [words, [f"[{unit}]" if unit else blank for unit in units]]
    else:
        style = pattern[layout.unit_style]
        rows.append([style.format(w, u) if u else w for w, u in zip(words, units, strict=True)])
    return rows


def block_grid(columns: Mapping[str, NDArray[np.float64]], layout: Layout) -> list[list[str]]:
    """Give one record as rows of text, headings included."""
    printed = [print_column(name, columns[name], layout) for name in layout.columns]
    rows = [list(row) for row in zip(*printed, strict=True)]
    heading = heading_grid(layout, layout.columns)
    if not layout.headings_per_segment:
        return [*heading, *rows]
    grid: list[list[str]] = []
    starts = np.flatnonzero(np.r_[True, np.diff(columns["segment_number"]) != 0])
    for begin, end in zip(starts, [*starts[1:], len(rows)], strict=True):
        grid += [*heading, *rows[begin:end], []]
    return grid


def preamble_grid(layout: Layout) -> list[list[str]]:
    """Give the lines above the headings."""
    if layout.preamble == "":
        return []
    mark = "# " if layout.preamble == "comments" else ""
    number = f"{PLATE_DIAMETER_MM:.2f}".replace(".", layout.decimal_mark)
    gap = f"{GAP_MM:.3f}".replace(".", layout.decimal_mark)
    lines = [
        [mark + "creep and recovery record, invented for a test"],
        [mark + "plate diameter [mm]", number],
        [mark + "gap [mm]", gap],
    ]
    if layout.preamble == "comments":
        return [[": ".join(line)] for line in lines]
    return [*lines, []]


def render_layout(
    records: Arrays | Sequence[Arrays], layout: Layout, *, generator: np.random.Generator | None = None
) -> bytes:
    """Give the bytes of one record, or of several in one file, in a layout."""
    several = [records] if isinstance(records, Mapping) else list(records)
    blocks = [block_grid(prepare(arrays, layout, generator), layout) for arrays in several]
    if layout.workbook and layout.arrangement == "sheets":
        sheets = {f"run {number}": [*preamble_grid(layout), *b] for number, b in enumerate(blocks, start=1)}
    elif layout.arrangement == "side by side":
        sheets = {"record": [*preamble_grid(layout), *_side_by_side(blocks)]}
    else:
        separate: list[list[str]] = []
        for block in blocks:
            separate += [*([[]] if separate else []), *block]
        sheets = {"record": [*preamble_grid(layout), *separate]}
    if layout.workbook:
        return _workbook(sheets, layout)
    (grid,) = sheets.values()
    text = layout.newline.join(_line(row, layout) for row in [*grid, *[[]] * layout.blank_tail])
    return (text + layout.newline).encode(layout.encoding)


def write_layout(
    path: Path,
    records: Arrays | Sequence[Arrays],
    layout: Layout,
    *,
    generator: np.random.Generator | None = None,
) -> Path:
    """Write one record, or several, in a layout and give the path."""
    path.write_bytes(render_layout(records, layout, generator=generator))
    return path


def _side_by_side(blocks: Sequence[list[list[str]]]) -> list[list[str]]:
    width = max(len(row) for block in blocks for row in block)
    grid = []
    for place in range(max(len(block) for block in blocks)):
        row: list[str] = []
        for number, block in enumerate(blocks):
            cells = block[place] if place < len(block) else []
            row += [*([""] if number else []), *cells, *[""] * (width - len(cells))]
        grid.append(row)
    return grid


def _line(row: Sequence[str], layout: Layout) -> str:
    if layout.separator == " ":
        return "  ".join(cell.replace(" ", "_") if cell[:1] != "#" else cell for cell in row)
    quoted = [f'"{cell}"' if layout.separator in cell and cell[:1] != "#" else cell for cell in row]
    return layout.separator.join(quoted)


def _workbook(sheets: Mapping[str, list[list[str]]], layout: Layout) -> bytes:
    import xlsxwriter

    buffer = io.BytesIO()
    book = xlsxwriter.Workbook(buffer, {"in_memory": True})
    for name, grid in sheets.items():
        sheet = book.add_worksheet(name)
        for place, row in enumerate(grid):
            for column, cell in enumerate(row):
                number = None if layout.numbers_as_text else _number(cell, layout)
                if number is not None:
                    sheet.write_number(place, column, number)
                elif cell:
                    sheet.write_string(place, column, cell)
        if layout.group_row:
            _merge_groups(sheet, grid, book)
        for tail in range(layout.blank_tail):
            sheet.write_blank(len(grid) + tail, 0, None, book.add_format({"bold": True}))
    book.close()
    return buffer.getvalue()


def _merge_groups(sheet: object, grid: list[list[str]], book: object) -> None:
    """Merge runs of equal titles in each group row."""
    for place, row in enumerate(grid):
        if not set(row) - {"", "A", "B", "No."} and "A" in row:
            column = 0
            while column < len(row):
                end = column
                while end + 1 < len(row) and row[end + 1] == row[column]:
                    end += 1
                if row[column] and end > column:
                    sheet.merge_range(place, column, place, end, row[column], book.add_format())  # type: ignore[attr-defined]
                column = end + 1


def _number(cell: str, layout: Layout) -> float | None:
    plain = cell.replace(layout.thousands_mark, "") if layout.thousands_mark else cell
    try:
        return float(plain.replace(layout.decimal_mark, "."))
    except ValueError:
        return None
