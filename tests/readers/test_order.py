"""Test orders: what they hold, and every mistake named at once."""

import subprocess
import sys
from pathlib import Path

import pytest

from resile.errors import FileFormatError, RecordNotFoundError, SpecificationError
from resile.readers.order import read_order
from resile.records.determination import Condition
from resile.records.order import Instrument, OrderedRecord, OrderedSample

FULL = """
number = "2026-0417"
invented = true
laboratory = "Laboratory of the harbour works"
customer = "Roads of the northern district"
operator = "A. Writer"
reviewed_by = "B. Reader"
specification = "m332-2014"
decision_rule = "guard-band"
uncertainty_basis = "repeatability"
retest_rule = "mean-of-all"
service_class = "V"
high_temperature_c = 64
tables = ["oscillation.csv"]
ageing = "ageing.toml"
notes = ["Can opened once."]
[sample]
name = 118
product = "polymer modified, as declared"
claimed_grade = "64V"
received = 2026-03-02
container = "1 L can, seal 5521"
[instrument]
name = "rheometer 1"
plate_diameter_mm = 25
gap_mm = 1
verified = 2026-02-11
[[record]]
file = "raw/specimen-1.csv"
condition = "RTFO"
specimen = 1
[[record]]
file = "raw/specimen-2.csv"
condition = "short_term_aged"
specimen = "2b"
temperature_c = 64
layout = "bench.toml"
"""


def write_order(folder: Path, text: str, *files: str) -> Path:
    for name in files:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text("", encoding="utf-8")
    path = folder / "order.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_an_order_is_read_whole_with_paths_beside_it(tmp_path: Path) -> None:
    files = ("raw/specimen-1.csv", "raw/specimen-2.csv", "bench.toml", "oscillation.csv", "ageing.toml")
    order = read_order(write_order(tmp_path, FULL, *files))
    assert order.sample == OrderedSample(
        "118", "polymer modified, as declared", "64V", "2026-03-02", "1 L can, seal 5521"
    )
    assert order.invented
    assert (order.number, order.specification, order.service_class) == ("2026-0417", "m332-2014", "V")
    assert order.high_temperature_c == 64.0
    aged = Condition.SHORT_TERM_AGED
    assert order.records == (
        OrderedRecord(tmp_path / "raw/specimen-1.csv", aged, "1"),
        OrderedRecord(tmp_path / "raw/specimen-2.csv", aged, "2b", 64.0, tmp_path / "bench.toml"),
    )
    assert order.tables == (tmp_path / "oscillation.csv",)
    assert order.ageing == tmp_path / "ageing.toml"
    assert order.instruments == (Instrument("rheometer 1", 25.0, 1.0, "2026-02-11"),)
    assert order.notes == ("Can opened once.",)
    assert order.source is not None


def test_the_least_an_order_needs_is_a_sample_and_a_file(tmp_path: Path) -> None:
    text = 'tables = ["a.csv"]\n[sample]\nname = "N"\n'
    order = read_order(write_order(tmp_path, text, "a.csv"))
    assert (order.sample.name, order.invented, order.records) == ("N", False, ())


def test_every_mistake_is_named_at_once_in_plain_words(tmp_path: Path) -> None:
    text = """
high_temperature_c = "hot"
specfication = "m332-2014"
invented = "perhaps"
tables = "a.csv"
[sample]
product = "x"
[instrument]
gap_mm = 0
[[record]]
fiel = "a.csv"
condition = "None"
"""
    with pytest.raises(SpecificationError) as caught:
        read_order(write_order(tmp_path, text))
    message = str(caught.value)
    for words in (
        "order.toml",
        "key 'sample.name' is missing",
        "key 'high_temperature_c' must be a number, found 'hot'",
        "key 'specfication' is not known (perhaps 'specification'",
        "key 'invented' must be true or false, found 'perhaps'",
        "key 'tables' must be a list",
        "'instrument 1, gap_mm'",
        "key 'record 1, file' is missing",
        "key 'record 1, fiel' is not known (perhaps 'file'",
        "'unaged' or 'as recovered'",
    ):
        assert words in message


def test_files_that_do_not_exist_are_all_named(tmp_path: Path) -> None:
    with pytest.raises(RecordNotFoundError) as caught:
        read_order(write_order(tmp_path, FULL, "oscillation.csv"))
    for name in ("specimen-1.csv", "specimen-2.csv", "bench.toml", "ageing.toml"):
        assert name in str(caught.value)
    assert "oscillation.csv" not in str(caught.value)


def test_an_order_without_files_and_one_with_a_file_twice_are_refused(tmp_path: Path) -> None:
    with pytest.raises(SpecificationError, match="names no file"):
        read_order(write_order(tmp_path, '[sample]\nname = "N"\n'))
    text = 'tables = ["a.csv", "a.csv"]\n[sample]\nname = "N"\n'
    with pytest.raises(SpecificationError, match=r"named twice.*a\.csv"):
        read_order(write_order(tmp_path, text, "a.csv"))


@pytest.mark.parametrize(
    ("content", "words"), [(b"number = \n", "line 1"), (b"\xff\xfe\x00", "UTF-8"), (b"x" * 2_000_000, "MB")]
)
def test_what_is_no_order_is_one_sentence(tmp_path: Path, content: bytes, words: str) -> None:
    path = tmp_path / "order.toml"
    path.write_bytes(content)
    with pytest.raises(FileFormatError, match=words):
        read_order(path)


def test_an_order_that_does_not_exist_is_named(tmp_path: Path) -> None:
    with pytest.raises(RecordNotFoundError, match=r"order\.toml"):
        read_order(tmp_path / "order.toml")


def test_the_readers_do_not_load_the_checking_library_until_a_file_is_read() -> None:
    code = "import sys, resile.readers.order, resile.readers.summary_table\n"
    code += "import resile.readers.ageing.ageing_record\n"
    code += "print([m for m in ('pydantic', 'python_calamine') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
