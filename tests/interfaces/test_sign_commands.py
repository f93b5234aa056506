"""`resile sign` and `resile verify`: one sentence each, and the right exit code."""

import datetime
import io
import json
import sys
from pathlib import Path

import pytest

from laboratory_key import PASSWORD, Identity, make_identity
from report.example_records import example_document
from resile.report.page import pdf_page

TODAY = datetime.datetime.now(datetime.UTC)
"""The commands take the time from the computer; the keys of these tests are valid around it."""
YEAR = datetime.timedelta(days=365)


def valid_today(name: str = "Reports of the Kaltbach works (invented)") -> Identity:
    return make_identity(name, first=TODAY - YEAR, last=TODAY + YEAR)


@pytest.fixture(scope="module")
def page() -> bytes:
    return pdf_page(example_document())


@pytest.fixture
def bench(tmp_path: Path, page: bytes, monkeypatch: pytest.MonkeyPatch) -> Path:
    identity = valid_today()
    (tmp_path / "report.pdf").write_bytes(page)
    (tmp_path / "laboratory.p12").write_bytes(identity.key_file())
    (tmp_path / "certificate.pem").write_bytes(identity.pem)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("RESILE_KEY_PASSWORD", PASSWORD)
    return tmp_path


def one_sentence(text: str) -> bool:
    return text.startswith("resile: ") and text.count("\n") == 1


def test_a_report_is_signed_and_verified(bench: Path, run) -> None:
    code, out, err = run("sign", "report.pdf", "--key", "laboratory.p12", "--reason", "Second issue")
    assert (code, err) == (0, "")
    assert "Second issue" in out
    assert "written: report-signed.pdf" in out
    code, out, err = run("verify", "report-signed.pdf", "--trust", "certificate.pem")
    assert (code, err) == (0, "")
    assert "report-signed.pdf: signed, and unchanged since" in out
    assert "Reports of the Kaltbach works (invented)" in out


def test_machines_get_the_same_in_json(bench: Path, run) -> None:
    code, out, err = run("sign", "report.pdf", "--key", "laboratory.p12", "--output", "issued.pdf", "--json")
    assert (code, err) == (0, "written: issued.pdf\n")
    assert json.loads(out)["intact"] is True
    code, out, err = run("verify", "issued.pdf", "--trust", "certificate.pem", "--json")
    got = json.loads(out)
    assert (code, err) == (0, "")
    assert list(got) == ["source", "intact", "signatures", "findings"]
    assert got["signatures"][0]["trusted"] is True


def test_a_changed_an_unsigned_and_an_added_to_report_give_exit_code_1(bench: Path, run) -> None:
    run("sign", "report.pdf", "--key", "laboratory.p12")
    signed = (bench / "report-signed.pdf").read_bytes()
    changed = bytearray(signed)
    changed[len(signed) // 2] ^= 4
    (bench / "changed.pdf").write_bytes(changed)
    (bench / "longer.pdf").write_bytes(signed + b"% one line more\n")
    for name in ("changed.pdf", "longer.pdf", "report.pdf"):
        code, out, err = run("verify", name)
        assert (code, err) == (1, ""), name
        assert "■ invalid" in out


def test_a_stranger_gives_exit_code_1_only_where_a_certificate_is_named(bench: Path, run) -> None:
    (bench / "other.pem").write_bytes(valid_today("Someone else").pem)
    run("sign", "report.pdf", "--key", "laboratory.p12")
    assert run("verify", "report-signed.pdf")[0] == 0
    assert run("verify", "report-signed.pdf", "--trust", "other.pem")[0] == 1
    assert run("verify", "report-signed.pdf", "--trust", "other.pem", "--trust", "certificate.pem")[0] == 0


@pytest.mark.parametrize(
    ("content", "code", "words"),
    [
        (b"", 2, "the file is empty"),
        (b"a,b\n1,2\n", 2, "this is not a PDF"),
        (None, 3, "there is no such file"),
    ],
)
def test_what_is_not_a_pdf_is_refused(content: bytes | None, code: int, words: str, bench: Path, run) -> None:
    if content is not None:
        (bench / "odd.pdf").write_bytes(content)
    for call in (("verify", "odd.pdf"), ("sign", "odd.pdf", "--key", "laboratory.p12")):
        got, out, err = run(*call)
        assert (got, out) == (code, "")
        assert words in err
        assert one_sentence(err)


def test_a_report_cut_short_is_refused(bench: Path, page: bytes, run) -> None:
    (bench / "report.pdf").write_bytes(page[: len(page) // 2])
    code, out, err = run("verify", "report.pdf")
    assert (code, out) == (2, "")
    assert "damaged or cut short" in err
    assert one_sentence(err)


def test_a_key_that_cannot_sign_is_refused(bench: Path, run, monkeypatch: pytest.MonkeyPatch) -> None:
    (bench / "expired.p12").write_bytes(
        make_identity(first=TODAY - 2 * YEAR, last=TODAY - datetime.timedelta(days=1)).key_file()
    )
    (bench / "not-a-key.p12").write_bytes(b"nothing of the kind")
    for name, words in (
        ("expired.p12", "the certificate expired on"),
        ("not-a-key.p12", "this is not a PKCS#12 file"),
        ("certificate.pem", "this is a PEM text"),
    ):
        code, out, err = run("sign", "report.pdf", "--key", name)
        assert (code, out) == (2, "")
        assert words in err
        assert one_sentence(err)
    monkeypatch.setenv("RESILE_KEY_PASSWORD", "wrong")
    code, out, err = run("sign", "report.pdf", "--key", "laboratory.p12")
    assert (code, out) == (2, "")
    assert "the password does not open the file" in err
    assert "wrong" not in err
    assert not (bench / "report-signed.pdf").exists()


def test_an_existing_file_is_not_overwritten(bench: Path, run) -> None:
    run("sign", "report.pdf", "--key", "laboratory.p12")
    code, _, err = run("sign", "report.pdf", "--key", "laboratory.p12")
    assert code == 2
    assert "is not overwritten" in err
    assert one_sentence(err)


def test_without_a_terminal_the_password_is_not_asked_for(
    bench: Path, run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("RESILE_KEY_PASSWORD")
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    code, _, err = run("sign", "report.pdf", "--key", "laboratory.p12")
    assert code == 2
    assert "RESILE_KEY_PASSWORD" in err
    assert one_sentence(err)


def test_the_password_is_no_option(bench: Path, run) -> None:
    code, _, err = run("sign", "report.pdf", "--key", "laboratory.p12", "--password", PASSWORD)
    assert code == 2
    assert "No such option" in err
