"""Test support: layouts for hypothesis, only those that a sensible person or program would write."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from layouts import LANGUAGES, Layout

WESTERN = ("en", "de", "fr", "es", "pt")
EXTRAS = ("temperature_c", "cycle_number", "segment_number", "point_number", "normal_force")


def _encodings(language: str) -> list[str]:
    codes = ["utf-8", "utf-8-sig", "utf-16"]
    if language in WESTERN:
        codes.append("cp1252")
    if language == "zh":
        codes.append("gb18030")
    return codes


@st.composite
def _columns(draw: st.DrawFn, *, torque: bool) -> tuple[str, ...]:
    needed = ["time_s", *(["torque_nm", "angle_rad"] if torque else ["stress_kpa", "strain"])]
    extras = draw(st.lists(st.sampled_from(EXTRAS), unique=True, max_size=4))
    return tuple(draw(st.permutations([*needed, *extras])))


@st.composite
def _marks(draw: st.DrawFn) -> dict[str, str]:
    """Separator, decimal mark and thousands mark that do not stand in each other's way."""
    separator = draw(st.sampled_from([",", ";", "\t", " "]))
    decimal = "." if separator == "," else draw(st.sampled_from([".", ","]))
    thousands = [""]
    if separator in ";\t":
        thousands += ["." if decimal == "," else ",", " ", "'"]
    return {
        "separator": separator,
        "decimal_mark": decimal,
        "thousands_mark": draw(st.sampled_from(thousands)),
    }


@st.composite
def _common(draw: st.DrawFn, **fixed: Any) -> dict[str, Any]:
    torque = draw(st.integers(0, 3)) == 0
    restarts = draw(st.sampled_from(["", "", "step", "cycle"]))
    return {
        "language": draw(st.sampled_from(LANGUAGES)),
        "unit_style": draw(st.sampled_from(["brackets", "round", "slash", "comma", "row", "underscore"])),
        "group_row": draw(st.booleans()),
        "preamble": "names" if torque else draw(st.sampled_from(["", "names"])),
        "columns": draw(_columns(torque=torque)),
        "time_unit": draw(st.sampled_from(["s", "s", "min"])),
        "stress_unit": draw(st.sampled_from(["kPa", "Pa", "MPa"])),
        "strain_unit": draw(st.sampled_from(["%", "‰", "1"])),
        "torque_unit": draw(st.sampled_from(["N·m", "mN·m", "µN·m"])),
        "time_restarts": restarts,
        "strain_restarts": draw(st.booleans()),
        **fixed,
    }


@st.composite
def text_layouts(draw: st.DrawFn) -> Layout:
    """Separated text."""
    choice = draw(_common()) | draw(_marks())
    choice["encoding"] = draw(st.sampled_from(_encodings(choice["language"])))
    choice["newline"] = draw(st.sampled_from(["\n", "\r\n"]))
    choice["numbers"] = "fixed" if choice["thousands_mark"] else draw(st.sampled_from(["fixed", "exponent"]))
    choice["headings_per_segment"] = draw(st.integers(0, 4)) == 0
    choice["blank_tail"] = draw(st.sampled_from([0, 0, 3]))
    if not choice["time_restarts"] and not choice["headings_per_segment"]:
        choice["order"] = draw(st.sampled_from(["sorted", "sorted", "shuffled", "repeated"]))
    if choice["separator"] == " ":  # "time, s" and "time (s)" fall apart at the blank
        if choice["unit_style"] in ("comma", "round"):
            choice["unit_style"] = "brackets"
        choice["group_row"] = False
    return Layout(**choice)


@st.composite
def workbook_layouts(draw: st.DrawFn) -> Layout:
    """Workbooks: numbers, or numbers kept as text."""
    choice = draw(_common(workbook=True))
    choice["numbers_as_text"] = draw(st.integers(0, 3)) == 0
    choice["blank_tail"] = draw(st.sampled_from([0, 20]))
    return Layout(**choice)
