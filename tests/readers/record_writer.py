"""Writes records in invented layouts, so that what was written is known exactly before it is read."""

from dataclasses import dataclass

import numpy as np

SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t", "blanks": "  "}

# Ordinary technical words for time, shear stress, shear strain, temperature (trade notes, layouts page), and
# a code page in which they can be written.
HEADINGS = {
    "english": (("time", "shear stress", "shear strain", "temperature"), "cp1252"),
    "german": (("Zeit", "Schubspannung", "Scherdeformation", "Prüftemperatur"), "cp1252"),
    "french": (("temps", "contrainte de cisaillement", "déformation", "température"), "cp1252"),
    "spanish": (("tiempo", "tensión de corte", "deformación", "temperatura"), "cp1252"),
    "portuguese": (("tempo", "tensão de cisalhamento", "deformação", "temperatura"), "cp1252"),
    "polish": (("czas", "naprężenie ścinające", "odkształcenie ścinające", "temperatura"), "cp1250"),
    "russian": (("время", "напряжение сдвига", "деформация сдвига", "температура"), "cp1251"),
    "chinese": (("时间", "剪切应力", "剪切应变", "温度"), "gb18030"),
}
UNITS = (("s", "kPa", "%", "°C"), ("s", "Pa", "-", "°C"), ("min", "kPa", "‰", "K"), ("s", "MPa", "1", "°C"))
FACTORS = {
    "s": 1.0,
    "min": 60.0,
    "kPa": 1.0,
    "Pa": 1e-3,
    "MPa": 1e3,
    "%": 1e-2,
    "-": 1.0,
    "1": 1.0,
    "‰": 1e-3,
    "°C": 1.0,
    "K": 1.0,
}
OFFSETS = {"K": -273.15}


@dataclass(frozen=True)
class Style:
    """How a record is written."""

    separator: str = "comma"
    decimal_mark: str = "."
    encoding: str = "utf-8"
    language: str = "english"
    units: tuple[str, ...] = UNITS[0]
    units_in: str = "brackets"
    number: str = "%.6f"
    line_end: str = "\n"
    preamble: tuple[str, ...] = ()


def short_run(cycles: int = 2) -> np.ndarray:
    """Time s, stress kPa, strain %, temperature °C: a Newtonian liquid of 0.25 kPa·s, sampled each 0.5 s."""
    rows, strain = [], 0.0
    for cycle in range(cycles):
        stress = 0.1 if cycle < cycles / 2 else 3.2
        for step in range(1, 21):
            loaded = step <= 2
            strain += 100 * stress / 0.25 * 0.5 if loaded else 0.0
            rows.append(
                (cycle * 10 + step * 0.5, stress if loaded else 0.0, strain, 64.0 + 0.01 * (step % 3))
            )
    return np.array(rows)


def headings_of(style: Style) -> list[str]:
    """The heading lines."""
    words, _ = HEADINGS[style.language]
    mark = SEPARATORS[style.separator]
    if style.units_in == "row":
        return [mark.join(words), mark.join(f"[{unit}]" for unit in style.units)]
    if style.units_in == "brackets":
        return [mark.join(f"{word} [{unit}]" for word, unit in zip(words, style.units, strict=True))]
    if style.units_in == "rounds":
        return [mark.join(f"{word} ({unit})" for word, unit in zip(words, style.units, strict=True))]
    return [mark.join(f"{word} / {unit}" for word, unit in zip(words, style.units, strict=True))]


def write(rows: np.ndarray, style: Style) -> bytes:
    """The bytes of a record with these numbers, whatever their units mean."""
    mark = SEPARATORS[style.separator]
    lines = [*style.preamble, *headings_of(style)]
    for row in rows:
        cells = [style.number % value for value in row]
        if style.decimal_mark == ",":
            cells = [cell.replace(".", ",") for cell in cells]
        if style.decimal_mark == "," and style.separator == "comma":
            cells = [f'"{cell}"' for cell in cells]
        lines.append(mark.join(cells))
    return (style.line_end.join(lines) + style.line_end).encode(style.encoding)


def printed(rows: np.ndarray, style: Style) -> np.ndarray:
    """The numbers a file in this style prints."""
    return np.array([[float(style.number % value) for value in row] for row in rows])
