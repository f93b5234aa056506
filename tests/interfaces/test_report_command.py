"""`resile report` on several orders, with and without a key: what it prints and what it leaves behind."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from interfaces.test_sign_commands import one_sentence, valid_today
from laboratory_key import PASSWORD
from workflows.test_several_orders import order_in


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for number in ("7", "8"):
        order_in(tmp_path / number, number)
    (tmp_path / "laboratory.p12").write_bytes(valid_today().key_file())
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("RESILE_KEY_PASSWORD", PASSWORD)
    return tmp_path


def pages(bench: Path) -> list[str]:
    return sorted(path.name for path in bench.glob("[78]/[78]*"))


def test_one_command_leads_from_orders_to_signed_pages(bench: Path, run) -> None:
    code, out, err = run("report", "*/order.toml", "--key", "laboratory.p12", "--date", "2026-05-12")
    assert (code, err) == (0, "")
    assert "written: 7/7-signed.pdf" in out
    assert "written: 8/8-signed.pdf" in out
    assert not (bench / "7" / "7.pdf").exists()
    code, out, err = run("verify", "8/8-signed.pdf")
    assert (code, err) == (0, "")
    assert "8/8-signed.pdf: signed, and unchanged since" in out


@pytest.mark.parametrize(
    ("key", "password", "words"),
    [
        ("laboratory.p12", "wrong", "the password does not open the file"),
        ("not-here.p12", PASSWORD, "not-here.p12"),
        ("7/order.toml", PASSWORD, "this is not a PKCS#12 file"),
    ],
)
def test_a_key_that_does_not_open_is_told_before_any_page_is_written(
    bench: Path, run, monkeypatch: pytest.MonkeyPatch, key: str, password: str, words: str
) -> None:
    monkeypatch.setenv("RESILE_KEY_PASSWORD", password)
    code, out, err = run("report", "7/order.toml", "8/order.toml", "--key", key)
    assert code in (2, 3)
    assert out == ""
    assert one_sentence(err)
    assert words in err
    assert pages(bench) == []


def test_without_the_library_that_signs_one_sentence_says_what_to_install(bench: Path) -> None:
    script = (
        "import sys; sys.modules['pyhanko'] = None\n"  # as where it is not installed
        "sys.argv = ['resile', 'report', '7/order.toml', '--key', 'laboratory.p12']\n"
        "from resile.interfaces.cli import main; main()"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=bench, capture_output=True, text=True, check=False
    )
    assert done.returncode == 70
    assert one_sentence(done.stderr)
    assert 'pip install "resile[signature]"' in done.stderr
    assert pages(bench) == []


def test_machines_get_one_order_as_it_was_and_several_as_a_list(bench: Path, run) -> None:
    _, out, err = run("report", "7/order.toml", "--json")
    assert json.loads(out)["order"] == "7"
    assert "written: 7/7.pdf" in err
    _, out, err = run("report", "7/order.toml", "8/order.toml", "--json", "--key", "laboratory.p12")
    assert [one["order"] for one in json.loads(out)["reports"]] == ["7", "8"]
    assert "removed: 7/7.pdf (unsigned" in err
