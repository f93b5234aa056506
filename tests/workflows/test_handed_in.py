"""What comes by the network opens no file of this computer, and is named as it came."""

from pathlib import Path

import pytest

from resile.errors import InputError, SpecificationError
from resile.readers.source_file import read_source
from resile.records.reading import HeldFile
from resile.workflows.handed_in import from_outside, laid_out, names_given_back, safe_name
from resile.workflows.judging.grading import agree


def test_a_file_laid_out_is_read_and_one_beside_it_is_not(tmp_path: Path) -> None:
    secret = tmp_path / "secret.csv"
    secret.write_text("1;2\n")
    with laid_out([HeldFile("a.csv", b"1;2\n")]) as paths:
        assert read_source(paths[0], "record", 100)[0] == b"1;2\n"
        with pytest.raises(
            InputError, match=r"secret\.csv: this file is named in what was sent, but was not sent"
        ):
            read_source(secret, "record", 100)
        link = paths[0].with_name("link.csv")
        link.symlink_to(secret)
        with pytest.raises(InputError, match="was not sent with it"):
            read_source(link, "record", 100)
    assert not paths[0].exists()
    assert read_source(secret, "record", 100)[0] == b"1;2\n"


def test_rules_are_found_by_name_alone() -> None:
    with from_outside():
        assert agree("m332-2014").specification.identifier == "m332-2014"
        for path in ("/etc/passwd", "../limits/own.toml", "own.toml"):
            with pytest.raises(SpecificationError, match="a file is not opened"):
                agree(path)


def test_a_refusal_names_the_file_as_it_came() -> None:
    with (
        pytest.raises(InputError, match=r"^my record\.csv: nothing in it"),
        laid_out([HeldFile("C:\\x\\my record.csv", b"")]) as paths,
    ):
        raise InputError(f"{paths[0]}: nothing in it")


def test_what_is_told_names_files_as_they_came() -> None:
    with laid_out([HeldFile("a.csv", b""), HeldFile("b.csv", b"")]) as paths:
        told = {"source": {"path": str(paths[1])}, "said": f"{paths[0]}, line 3", "value": 0.1}
        assert names_given_back(told, paths) == {
            "source": {"path": "b.csv"},
            "said": "a.csv, line 3",
            "value": 0.1,
        }


def test_files_that_belong_together_need_names_of_their_own() -> None:
    twice = [HeldFile("a.csv", b"1"), HeldFile("a.csv", b"2")]
    with laid_out(twice) as paths:
        assert [path.read_bytes() for path in paths] == [b"1", b"2"]
    with pytest.raises(InputError, match="two files of this name"), laid_out(twice, together=True):
        pass


@pytest.mark.parametrize(
    ("name", "safe"),
    [
        ("../../etc/passwd", "passwd"),
        ("C:\\run 7.csv", "run 7.csv"),
        ("a\x00b<script>.csv", "a_b_script_.csv"),
        ("..", "file"),
        ("", "file"),
        ("Probe Ü 3,2 kPa.txt", "Probe Ü 3,2 kPa.txt"),
    ],
)
def test_a_name_is_made_safe(name: str, safe: str) -> None:
    assert safe_name(name) == safe
