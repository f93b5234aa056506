"""In whatever sensible style numbers are written, they are read; noise is refused, never a crash."""

import numpy as np
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from record_writer import HEADINGS, SEPARATORS, UNITS, Style, printed, short_run, write

from resile.errors import ResileError
from resile.readers.grids.number_marks import decide_marks
from resile.readers.grids.number_text import parse_number
from resile.readers.layout import Layout
from resile.readers.raw_record import read_raw_record
from resile.readers.text.text_record import read_text, read_tolerant

styles = st.builds(
    Style,
    separator=st.sampled_from(sorted(SEPARATORS)),
    decimal_mark=st.sampled_from(".,"),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-be", "utf-32"]),
    language=st.sampled_from(sorted(HEADINGS)),
    units=st.sampled_from(UNITS),
    units_in=st.sampled_from(["row", "brackets", "rounds", "slash"]),
    number=st.sampled_from(["%.6f", "%.5e", "%.9g", "%+.5f", "%.12g"]),
    line_end=st.sampled_from(["\n", "\r\n"]),
    preamble=st.sampled_from([(), ("A title",), ("# a comment", "# another"), ("", "A title", "")]),
)


@settings(max_examples=60, deadline=None)
@given(style=styles)
def test_the_same_numbers_come_back_from_any_style(style):
    rows = short_run()
    data = write(rows, style)
    expected = printed(rows, style)
    for read in (read_text, read_tolerant):
        (table,) = read(data, "run.csv", Layout())
        assert [c.reading.quantity for c in table.columns] == [
            "time_s",
            "stress_kpa",
            "strain",
            "temperature_c",
        ]
        assert [c.reading.unit.name for c in table.columns] == [
            {"-": "ratio", "1": "ratio"}.get(unit, unit) for unit in style.units
        ]
        np.testing.assert_array_equal(np.column_stack([c.values for c in table.columns]), expected)


def outcome(read, data: bytes):
    """Everything that reading gave, or the refusal."""
    try:
        tables = read(data, "run.csv", Layout())
    except ResileError as refusal:
        return type(refusal)
    return [
        (
            t.heading_rows,
            t.separator,
            t.decimal_mark,
            t.row_numbers.tolist(),
            [c.values.tolist() for c in t.columns],
        )
        for t in tables
    ]


@settings(max_examples=150, deadline=None)
@given(
    place=st.integers(0, 700),
    noise=st.sampled_from(
        [b"", b"\n", b",", b"x", b'"', b" ", b"-", b"01", b".", b"e9", b"true", b"null", b"[1]", b"\r"]
    ),
    drop=st.integers(0, 3),
)
@example(place=200, noise=b"true", drop=1)
@example(place=200, noise=b"null", drop=1)
@example(place=200, noise=b"[1]", drop=1)
def test_a_damaged_file_is_read_alike_on_both_paths(place, noise, drop):
    data = write(short_run(1), Style())
    damaged = data[:place] + noise + data[place + drop :]
    fast, slow = outcome(read_text, damaged), outcome(read_tolerant, damaged)
    # not-a-number compares unequal to itself; the text of the two outcomes does not
    assert repr(fast) == repr(slow)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    data=st.one_of(
        st.binary(max_size=400),
        st.text(alphabet='time [s],;\t\n0123.5-stressankP%γ"#', max_size=400).map(str.encode),
    )
)
def test_arbitrary_bytes_are_read_or_refused(tmp_path, data):
    path = tmp_path / "run.csv"
    path.write_bytes(data)
    try:
        read_raw_record(path)
    except ResileError as refusal:
        assert "\n" not in str(refusal)


@pytest.mark.parametrize(
    ("cells", "marks"),
    [
        (["0.5", "1.000"], (".", "")),
        (["1.234,5", "2"], (",", ".")),
        (["1,234.5", "2"], (".", ",")),
        (["1.234.567", "2"], (",", ".")),
        (["1'234.5", "0.5"], (".", "'")),
        (["1 234,5", "0,5"], (",", " ")),
        (["1,5e-3"], (",", "")),
        (["3", "4"], (".", "")),
        (["1.000", "0,5"], (",", ".")),
    ],
)
def test_marks_are_decided_by_all_numbers(cells, marks):
    assert decide_marks(cells, "run.csv") == marks


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_printed_number_is_read_to_the_last_bit(number):
    assert parse_number(repr(number)) == number
    assert parse_number(repr(number).replace(".", ","), ",") == number


@pytest.mark.parametrize("word", ["nan", "inf", "-inf", "1_0", "0x1f", "1,5", "", "-", "1.2.3", "١"])
def test_words_and_other_marks_are_no_numbers(word):
    assert parse_number(word) is None
