"""Raw records in every layout read to the printed digits; what is no record is refused in one sentence."""

import hashlib
import json
from pathlib import Path

import numpy as np
import pytest
from record_writer import FACTORS, HEADINGS, OFFSETS, SEPARATORS, UNITS, Style, printed, short_run, write

from resile.errors import AmbiguousFileError, FileFormatError, InputError, RecordNotFoundError
from resile.readers.account import explain
from resile.readers.layout import ColumnLayout, Layout
from resile.readers.raw_record import read_raw_record
from resile.readers.text.text_record import read_text, read_tolerant

DATA = Path(__file__).resolve().parents[2] / ".." / "shared" / "data" / "synthetic_layouts"
needs_data = pytest.mark.skipif(not DATA.is_dir(), reason="the shared data folder is absent")


def put(folder: Path, content: bytes | str, name: str = "run.csv") -> Path:
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def one(path: Path, **options):
    signals = read_raw_record(path, **options)
    assert len(signals) == 1
    return signals[0]


def printed_columns(name: str, encoding: str, separator: str | None, columns: tuple[int, ...]) -> np.ndarray:
    """The numbers of a shared file, cut by hand."""
    rows = []
    for line in (DATA / name).read_text(encoding=encoding).splitlines():
        cells = line.replace(",", ".").split(separator) if separator != "," else line.split(",")
        try:
            rows.append([float(cells[c]) for c in columns])
        except (ValueError, IndexError):
            continue
    return np.array(rows)


@needs_data
@pytest.mark.parametrize(
    ("name", "encoding", "separator", "columns", "factors"),
    [
        ("A_comma_single_header_utf8.csv", "utf-8", ",", (0, 1, 2), (1, 1, 0.01)),
        ("B_semicolon_decimalcomma_unitsrow_cp1252.csv", "cp1252", ";", (1, 2, 3), (1, 0.001, 0.01)),
        ("C_tab_utf16_preamble_segments.txt", "utf-16", "\t", (2, 3, 4), (1, 0.001, 0.01)),
        ("D_spaces_scientific_strain_as_ratio_fr.txt", "utf-8", None, (0, 1, 2), (1, 1, 1)),
    ],
)
def test_every_text_layout_gives_the_printed_digits(name, encoding, separator, columns, factors):
    signal = one(DATA / name)
    expected = printed_columns(name, encoding, separator, columns)
    assert len(signal) == len(expected) == 3000
    for place, quantity in enumerate(("time_s", "stress_kpa", "strain")):
        np.testing.assert_allclose(
            signal.columns[quantity], expected[:, place] * factors[place], rtol=1e-15, atol=0
        )
    assert signal.account.rows_kept == 3000
    assert signal.account.rows_refused_count == 0


@needs_data
def test_strain_at_the_ends_of_steps_is_the_truth_of_the_elastic_run():
    truth = json.loads((DATA / "truth.json").read_text(encoding="utf-8"))["elastic"]
    first = next(v for k, v in truth.items() if k.startswith("exact_cycles"))[0]
    signal = one(DATA / "A_comma_single_header_utf8.csv")
    # printed to five decimals of a per cent
    assert signal.columns["strain"][9] * 100 == pytest.approx(first[2], abs=6e-6)
    assert signal.columns["strain"][99] * 100 == pytest.approx(first[3], abs=6e-6)


@needs_data
@pytest.mark.parametrize("name", sorted(p.name for p in DATA.glob("[A-D]_*")) if DATA.is_dir() else [])
def test_fast_and_tolerant_reading_agree_to_the_last_bit(name):
    data = (DATA / name).read_bytes()
    (fast,), (slow,) = read_text(data, name, Layout()), read_tolerant(data, name, Layout())
    assert all(column.texts == () for column in fast.columns), "the fast path was not taken"
    assert (fast.starts, fast.details, fast.remarks) == (slow.starts, slow.details, slow.remarks)
    assert (fast.encoding, fast.separator, fast.heading_rows) == (
        slow.encoding,
        slow.separator,
        slow.heading_rows,
    )
    np.testing.assert_array_equal(fast.row_numbers, slow.row_numbers)
    for one_column, other in zip(fast.columns, slow.columns, strict=True):
        assert one_column.reading == other.reading
        np.testing.assert_array_equal(one_column.values, other.values)


@needs_data
def test_the_source_carries_the_hash_of_the_bytes():
    path = DATA / "A_comma_single_header_utf8.csv"
    source = one(path).source
    assert source.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert source.size_bytes == path.stat().st_size


@needs_data
def test_two_replicates_side_by_side_on_a_sheet_are_two_signals():
    found = read_raw_record(DATA / "E_xlsx_merged_headers_side_by_side.xlsx")
    signals = [signal for signal in found if signal.method == "creep_recovery"]  # its other sheet is a sweep
    assert [len(signal) for signal in signals] == [3000, 3000]
    assert "elastic" in signals[0].label
    assert "plain" in signals[1].label
    # last printed rows of sheet 1
    assert signals[0].columns["strain"][-1] == pytest.approx(5.1279839, abs=1e-12)
    assert signals[1].columns["strain"][-1] == pytest.approx(69.5508225, abs=1e-12)


@pytest.mark.parametrize("language", HEADINGS)
@pytest.mark.parametrize("encoding", ["code page", "utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-32"])
def test_headings_in_eight_languages_are_read_in_their_encodings(tmp_path, language, encoding):
    name = HEADINGS[language][1] if encoding == "code page" else encoding
    style = Style(language=language, encoding=name, separator="semicolon", units=("s", "kPa", "%", "°C"))
    rows = short_run()
    signal = one(put(tmp_path, write(rows, style)))
    expected = printed(rows, style)
    np.testing.assert_allclose(signal.columns["strain"], expected[:, 2] / 100, rtol=1e-14)
    np.testing.assert_array_equal(signal.columns["temperature_c"], expected[:, 3])


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("separator", SEPARATORS)
@pytest.mark.parametrize("decimal_mark", [".", ","])
@pytest.mark.parametrize("units_in", ["row", "brackets", "rounds", "slash"])
def test_units_separators_and_marks_give_the_same_numbers(tmp_path, units, separator, decimal_mark, units_in):
    style = Style(separator=separator, decimal_mark=decimal_mark, units=units, units_in=units_in)
    rows = short_run()
    signal = one(put(tmp_path, write(rows, style)))
    expected = printed(rows, style)
    for place, quantity in enumerate(("time_s", "stress_kpa", "strain", "temperature_c")):
        values = expected[:, place] * FACTORS[units[place]] + OFFSETS.get(units[place], 0.0)
        np.testing.assert_allclose(signal.columns[quantity], values, rtol=1e-14, atol=1e-12)
    assert signal.account.separator == separator
    assert signal.account.decimal_mark == decimal_mark


REFUSED = {
    "empty": (b"", "empty"),
    "blank lines": (b"\n\n  \n", "empty"),
    "only headings": (b"time [s],shear stress [kPa],shear strain [%]\n", "no data rows"),
    "a document": (b"%PDF-1.7 \x00\x01", "PDF"),
    "a picture": (b"\x89PNG\r\n\x1a\n\x00\x00", "picture"),
    "a web page": (b"<!DOCTYPE html><html><body><table></table></body></html>", "web page"),
    "JSON": (b'{"runs": [1, 2, 3]}', "JSON"),
    "zero bytes": (b"time [s],stress [kPa],strain [%]\n1.0,0.1,0\x00\x002\n2.0,0.1,0.3\n" * 3, "binary"),
    "control bytes": (bytes(range(1, 256)) * 40, "binary"),
    "prose": (
        b"It was a dark and stormy night; the rain fell in torrents.\nAnd so on, at length.\n" * 9,
        "no line holds",
    ),
    "no stress": (b"time [s],shear strain [%]\n0.5,1.25\n1.0,2.35\n", "shear stress"),
    "no strain": (b"time [s],stress [kPa]\n0.5,0.15\n1.0,0.15\n", "shear strain"),
    "no time": (b"stress [kPa],strain [%]\n0.5,0.15\n1.0,0.15\n", "time"),
    "no headings": (b"0.5,0.1,1.25\n1.0,0.1,1.35\n1.5,0.1,1.55\n", "without headings"),
    "unknown headings": (b"alpha,beta,iota\n0.5,0.1,1.25\n1.0,0.1,1.35\n", "no known headings"),
    "mixed separators": (
        b"time [s];stress [kPa];strain [%]\n0.5,0.1,1.25\n1.0,0.1,1.35\n",
        "row|line|heading",
    ),
    "every row bad": (b"time [s],stress [kPa],strain [%]\n0.5,0.1,nan\n1.0,0.1,nan\n", "0 data rows"),
    "wrong dimension": (b"time [s],stress [kg],strain [%]\n0.5,0.1,1.25\n1.0,0.1,1.35\n", "mass"),
}


@pytest.mark.parametrize("kind", REFUSED)
def test_what_is_no_record_is_refused_in_one_sentence_that_names_the_file(tmp_path, kind):
    content, said = REFUSED[kind]
    with pytest.raises(FileFormatError, match=said) as refusal:
        read_raw_record(put(tmp_path, content))
    assert str(refusal.value).startswith(str(tmp_path / "run.csv"))
    assert "\n" not in str(refusal.value)


def test_a_missing_file_a_folder_and_a_large_file_are_told_apart(tmp_path):
    with pytest.raises(RecordNotFoundError, match="no such file"):
        read_raw_record(tmp_path / "absent.csv")
    with pytest.raises(InputError, match="folder"):
        read_raw_record(tmp_path)
    with pytest.raises(FileFormatError, match="too large"):
        read_raw_record(put(tmp_path, write(short_run(), Style())), max_bytes=100)


GOOD = "time [s],stress [kPa],strain [%]\n" + "".join(f"{t / 2},0.100,{t * 1.25:.5f}\n" for t in range(1, 31))


@pytest.mark.parametrize("cell", ["", "-", "nan", "inf", "NaN", "n/a", "oops", "1e999", "1_0"])
def test_a_cell_that_is_no_number_refuses_its_row_and_keeps_the_rest(tmp_path, cell):
    lines = GOOD.splitlines()
    lines[5] = f"2.5,0.100,{cell}"
    signal = one(put(tmp_path, "\n".join(lines)))
    assert len(signal) == 29
    assert signal.account.rows_refused_count == 1
    assert signal.account.rows_refused[0].place == "line 6"
    assert "strain" in signal.account.rows_refused[0].reason


def test_a_truncated_last_line_is_refused_and_the_rest_kept(tmp_path):
    signal = one(put(tmp_path, GOOD + "15.5,0.1"))
    assert len(signal) == 30
    assert signal.account.rows_refused[0].place == "line 32"
    assert "empty" in signal.account.rows_refused[0].reason


def test_a_row_with_too_many_cells_is_refused(tmp_path):
    signal = one(put(tmp_path, GOOD + "15.5,0.100,7.0,8.0\n"))
    assert len(signal) == 30
    assert "4 cells under 3 headings" in signal.account.rows_refused[0].reason


def test_at_most_fifty_refused_rows_are_listed_and_all_are_counted(tmp_path):
    bad = "".join(f"{20 + n}.0,0.100,-\n" for n in range(70))
    account = one(put(tmp_path, GOOD + bad)).account
    assert (len(account.rows_refused), account.rows_refused_count, account.rows_kept) == (50, 70, 30)
    assert any("20 more rows" in line for line in explain(one(put(tmp_path, GOOD + bad))))


def question(path: Path, layout: Layout | None = None) -> AmbiguousFileError:
    with pytest.raises(AmbiguousFileError) as asked:
        read_raw_record(path, layout=layout or Layout())
    return asked.value


def test_two_columns_that_may_be_the_strain_are_a_question(tmp_path):
    text = "time [s],stress [kPa],strain [%],shear strain [%]\n0.5,0.10,1.25,7.5\n1.0,0.10,2.5,8.5\n"
    path = put(tmp_path, text)
    assert question(path).option == "--column"
    layout = Layout(columns=(ColumnLayout("4", "ignore"),))
    assert one(path, layout=layout).columns["strain"].tolist() == pytest.approx([0.0125, 0.025])


def test_a_strain_without_unit_is_a_question_that_an_option_answers(tmp_path):
    path = put(tmp_path, GOOD.replace("strain [%]", "strain"))
    assert question(path).option == "--strain-unit"
    assert one(path, layout=Layout(strain_unit="%")).columns["strain"][0] == pytest.approx(0.0125)


def test_a_stress_without_unit_is_decided_by_both_nominal_levels_only(tmp_path):
    rows = short_run()
    rows[:, 1] *= 1000
    content = write(rows, Style()).replace(b" [kPa]", b"")
    content += b"20.5,3200.0,9.9,64.0\n" + b"21.0,3200.0,9.91,64.0\n"
    rows[:, 0] += 0
    path = put(tmp_path, content)
    assert question(path).option == "--stress-unit", "two points at each level are too few"
    many = short_run(8)
    many[:, 1] *= 1000
    signal = one(put(tmp_path, write(many, Style()).replace(b" [kPa]", b"")))
    assert signal.columns["stress_kpa"].max() == pytest.approx(3.2)
    assert any("make it Pa" in column.remark for column in signal.account.columns)


def test_a_time_without_unit_is_decided_by_the_length_of_a_cycle(tmp_path):
    rows = short_run(6)
    rows[:, 0] /= 60
    signal = one(put(tmp_path, write(rows, Style()).replace(b"time [s]", b"time")))
    assert signal.columns["time_s"][-1] == pytest.approx(60.0)
    assert question(put(tmp_path, GOOD.replace("time [s]", "time"))).option == "--time-unit"


def test_a_number_that_may_be_one_or_a_thousand_is_a_question(tmp_path):
    text = "Zeit [s];Schubspannung [Pa];Scherdeformation [%]\n1.000;100.000;1.250\n2.000;100.000;2.500\n"
    path = put(tmp_path, text)
    assert question(path).option == "--decimal-mark"
    assert one(path, layout=Layout(decimal_mark=".")).columns["time_s"].tolist() == [1.0, 2.0]
    assert one(path, layout=Layout(decimal_mark=",", thousands_mark=".")).columns["time_s"].tolist() == [
        1000.0,
        2000.0,
    ]


def test_another_number_decides_what_a_mark_means(tmp_path):
    text = "Zeit [s];Schubspannung [Pa];Scherdeformation [%]\n1;1.000;1,25\n2;1.000;2,5\n3;1.000,5;3\n"
    signal = one(put(tmp_path, text))
    assert signal.columns["stress_kpa"].tolist() == [1.0, 1.0, 1.0005]
    assert signal.account.decimal_mark == ","


def test_an_earlier_file_with_the_same_heading_does_not_decide_for_a_later_one(tmp_path):
    head = "Zeit [s];Schubspannung [Pa];Scherdeformation [%]\n"
    one(put(tmp_path, head + "0.500;100.000;1.250\n1.000;100.000;2.500\n"))
    assert (
        question(put(tmp_path, head + "1.000;100.000;1.250\n2.000;100.000;2.500\n")).option
        == "--decimal-mark"
    )


def test_a_comma_that_both_separates_and_marks_decimals_is_a_question(tmp_path):
    text = "time [s],stress [kPa],strain [%]\n0,5,0,1,1,25\n1,0,0,1,2,5\n"
    assert question(put(tmp_path, text)).option == "--separator"


def test_torque_and_angle_become_stress_and_strain_at_the_rim(tmp_path):
    # Constructed: R = 12.5 mm, h = 1 mm; M = pi R^3 tau/2 gives 0.1 kPa for 0.30679616 mN·m;
    # theta = 0.08 rad is 100 %.
    text = "Geometry: parallel plates 25 mm, gap 1 mm\ntime [s],torque [mN.m],angle [mrad]\n"
    text += "0.5,0.30679616,80.0\n1.0,0.30679616,160.0\n"
    signal = one(put(tmp_path, text))
    assert signal.columns["stress_kpa"].tolist() == pytest.approx([0.1, 0.1], rel=1e-7)
    assert signal.columns["strain"].tolist() == pytest.approx([1.0, 2.0])
    assert any("rim" in column.remark for column in signal.account.columns)


def test_torque_without_geometry_asks_for_diameter_and_gap(tmp_path):
    path = put(tmp_path, "time [s],torque [mN.m],angle [rad]\n0.5,0.3,0.08\n1.0,0.3,0.16\n")
    assert question(path).option == "--plate-diameter"
    assert question(path, Layout(plate_diameter_mm=25.0)).option == "--gap"
    signal = one(path, layout=Layout(plate_diameter_mm=25.0, gap_mm=1.0))
    assert signal.columns["strain"].tolist() == pytest.approx([1.0, 2.0])


def table(rows: np.ndarray, extra: str = "", value: str = "") -> str:
    head = "time [s],stress [kPa],strain [%],temperature [°C]" + (f",{extra}" if extra else "")
    return (
        head
        + "\n"
        + "".join(",".join(f"{v:.4f}" for v in row) + (f",{value}" if extra else "") + "\n" for row in rows)
    )


@pytest.mark.parametrize("values", [("1", "2"), ("a", "b")])
def test_replicates_named_in_a_column_become_signals(tmp_path, values):
    rows = short_run()
    text = (
        table(rows, "replicate", values[0])
        + table(rows * [1, 1, 1.5, 1], "replicate", values[1]).split("\n", 1)[1]
    )
    signals = read_raw_record(put(tmp_path, text))
    assert [signal.label for signal in signals] == [f"replicate {value}" for value in values]
    assert signals[1].columns["strain"][-1] == pytest.approx(1.5 * signals[0].columns["strain"][-1], rel=1e-5)


def test_several_temperatures_in_one_file_become_signals(tmp_path):
    rows = short_run()
    warmer = rows + np.array([rows[-1, 0], 0, 0, 6.0])
    signals = read_raw_record(put(tmp_path, table(np.vstack([rows, warmer]))))
    assert [signal.label for signal in signals] == ["64.01 °C", "70.01 °C"]


def test_a_run_that_starts_over_below_is_a_second_signal_and_an_exact_copy_is_left_out(tmp_path):
    rows = short_run()
    signals = read_raw_record(put(tmp_path, table(np.vstack([rows, rows * [1, 1, 2, 1]]))))
    assert [signal.label for signal in signals] == ["run 1", "run 2"]
    copy = one(put(tmp_path, table(np.vstack([rows, rows]))))
    assert any("repeats this run exactly" in remark for remark in copy.account.remarks)


def test_time_that_restarts_in_each_cycle_is_made_running(tmp_path):
    rows = short_run(4)
    restarting = rows.copy()
    restarting[:, 0] = (rows[:, 0] - 0.5) % 10 + 0.5
    signal = one(put(tmp_path, table(restarting)))
    np.testing.assert_allclose(signal.columns["time_s"], rows[:, 0])
    assert any("starts again 3 times" in remark for remark in signal.account.remarks)


def test_the_logged_temperature_is_taken_before_the_set_one_and_told(tmp_path):
    text = "time [s],stress [kPa],strain [%],set temperature [°C],temperature [°C]\n"
    text += "0.5,0.10,1.25,64.0,63.9\n1.0,0.10,2.5,64.0,63.8\n"
    signal = one(put(tmp_path, text))
    assert signal.columns["temperature_c"].tolist() == [63.9, 63.8]
    assert any("set temperature" in remark for remark in signal.account.remarks)


def test_a_misspelt_heading_and_a_wrong_degree_sign_are_read_and_told(tmp_path):
    text = "time [s],stress [kPa],strain [%],Temprature [®C]\n0.5,0.10,1.25,64.0\n1.0,0.10,2.5,64.0\n"
    signal = one(put(tmp_path, text))
    assert signal.columns["temperature_c"].tolist() == [64.0, 64.0]
    assert "misspelt" in signal.account.columns[3].remark
    assert "degree sign" in signal.account.columns[3].remark


def test_the_account_says_in_words_how_the_file_was_read(tmp_path):
    style = Style(
        separator="semicolon", decimal_mark=",", language="german", encoding="cp1252", units_in="row"
    )
    lines = "\n".join(explain(one(put(tmp_path, write(short_run(), style)))))
    for words in ("cp1252", "semicolon", "decimal comma", "rows 1, 2", "divided by 100", "40 kept"):
        assert words in lines


def test_a_layout_reads_numbers_without_headings(tmp_path):
    path = put(tmp_path, "0.5 0.10 1.25\n1.0 0.10 2.5\n")
    columns = (
        ColumnLayout("1", "time_s", "s"),
        ColumnLayout("2", "stress_kpa", "kPa"),
        ColumnLayout("3", "strain", "%"),
    )
    signal = one(path, layout=Layout(first_data_row=1, columns=columns))
    assert signal.columns["strain"].tolist() == pytest.approx([0.0125, 0.025])
    assert signal.account.heading_rows == ()
