"""From a report on disk to a signed one, and back to who signed it."""

import datetime
from pathlib import Path

import pytest

import resile
from laboratory_key import NOON, PASSWORD, YEAR, Identity, make_identity
from resile.errors import FileFormatError, InputError, RecordNotFoundError
from resile.records.finding import Severity
from resile.report.terminal import plain_text
from resile.workflows.orders.ordering import report_order
from resile.workflows.orders.signing import sign_report, verify_report

LATER = NOON + datetime.timedelta(days=30)


@pytest.fixture(scope="module")
def authority() -> Identity:
    return make_identity("Authority of the Kaltbach works (invented)", authority=True, usage=None)


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The page of the demonstration's first order."""
    folder = tmp_path_factory.mktemp("day")
    resile.write_demonstration(folder)
    written = report_order(folder / "101-plain" / "order.toml", date="2026-05-12").write(folder)
    return next(path for path in written if path.suffix == ".pdf").read_bytes()


@pytest.fixture
def bench(tmp_path: Path, authority: Identity, report: bytes) -> Path:
    """A folder with the report, the laboratory's key file and the authority's certificate."""
    (tmp_path / "report.pdf").write_bytes(report)
    (tmp_path / "laboratory.p12").write_bytes(make_identity(by=authority).key_file())
    (tmp_path / "authority.pem").write_bytes(authority.pem)
    return tmp_path


def sign(bench: Path, **more: object) -> Path:
    given: dict[str, object] = {"at": NOON, **more}
    signed = sign_report(bench / "report.pdf", bench / "laboratory.p12", PASSWORD, **given)
    return Path(signed.source.path)


def test_a_demonstration_report_is_signed_beside_itself_and_verifies(bench: Path, report: bytes) -> None:
    signed = sign(bench)
    assert signed == bench / "report-signed.pdf"
    assert signed.read_bytes().startswith(report)
    assert (bench / "report.pdf").read_bytes() == report
    verified = verify_report(signed, trusted=[bench / "authority.pem"], at=LATER)
    assert verified.intact
    assert {finding.severity for finding in verified.findings} == {Severity.NOTE}
    (signature,) = verified.signatures
    assert signature.trusted is True
    assert signature.signed_at == "2026-05-12T12:00:00+00:00"


def test_the_sheet_says_who_signed_when_and_what_is_not_proved(bench: Path) -> None:
    sheet = plain_text(verify_report(sign(bench), at=LATER).to_terminal(), width=200)
    for words in (
        "signed, and unchanged since",
        "Reports of the Kaltbach works (invented), Kaltbach works (invented)",
        "2026-05-12 12:00:00 UTC, by the signer's clock",
        "not checked (name a certificate with --trust)",
        "no third party has stamped it",
    ):
        assert words in sheet


def test_nothing_is_overwritten(bench: Path) -> None:
    sign(bench)
    before = (bench / "report-signed.pdf").read_bytes()
    with pytest.raises(InputError, match="exists and is not overwritten"):
        sign(bench)
    with pytest.raises(InputError, match="exists and is not overwritten"):
        sign(bench, output=bench / "report.pdf")
    assert (bench / "report-signed.pdf").read_bytes() == before


def test_a_changed_report_is_not_intact_and_is_not_signed_again(bench: Path) -> None:
    signed = sign(bench)
    content = bytearray(signed.read_bytes())
    content[5000] ^= 1
    (bench / "report.pdf").write_bytes(content)
    verified = verify_report(bench / "report.pdf", at=LATER)
    assert not verified.intact
    assert "signature-broken" in {finding.code for finding in verified.findings}
    with pytest.raises(InputError, match="not those that were signed"):
        sign(bench, output=bench / "again.pdf")
    assert not (bench / "again.pdf").exists()


def test_tester_and_reviewer_sign_one_after_the_other(bench: Path) -> None:
    first = sign(bench)
    (bench / "reviewer.p12").write_bytes(make_identity("Reviewer (invented)").key_file("another"))
    twice = sign_report(
        first, bench / "reviewer.p12", "another", reason="Reviewed", output=bench / "issued.pdf", at=LATER
    )
    assert twice.intact
    assert [signature.reason for signature in twice.signatures] == ["Issue of the test report", "Reviewed"]


def test_a_report_signed_years_ago_stands_with_a_caution(bench: Path) -> None:
    verified = verify_report(sign(bench), trusted=[bench / "authority.pem"], at=NOON + 5 * YEAR)
    assert verified.intact
    assert "certificate-expired" in {finding.code for finding in verified.findings}


def test_a_certificate_of_someone_else_is_not_enough(bench: Path) -> None:
    (bench / "other.pem").write_bytes(make_identity("Someone else").pem)
    verified = verify_report(sign(bench), trusted=[bench / "other.pem"], at=LATER)
    assert not verified.intact
    assert "certificate-not-trusted" in {finding.code for finding in verified.findings}


def test_an_unsigned_report_says_so_and_remains_of_a_signature_are_told(bench: Path, report: bytes) -> None:
    (only,) = verify_report(bench / "report.pdf", at=LATER).findings
    assert only.message == "The file carries no signature."
    (bench / "report.pdf").write_bytes(report + b"\n% /ByteRange\n")
    (only,) = verify_report(bench / "report.pdf", at=LATER).findings
    assert "remains of a signature" in only.message


def test_files_that_are_missing_or_of_another_kind_are_refused_and_nothing_is_written(bench: Path) -> None:
    with pytest.raises(RecordNotFoundError, match="signed report in PDF is needed"):
        verify_report(bench / "none.pdf", at=LATER)
    with pytest.raises(RecordNotFoundError, match="certificate"):
        verify_report(bench / "report.pdf", trusted=[bench / "none.pem"], at=LATER)
    with pytest.raises(FileFormatError, match="not a PDF"):
        verify_report(bench / "authority.pem", at=LATER)
    with pytest.raises(InputError, match="password does not open"):
        sign_report(bench / "report.pdf", bench / "laboratory.p12", "wrong", at=NOON)
    with pytest.raises(InputError, match="PEM text"):
        sign_report(bench / "report.pdf", bench / "authority.pem", PASSWORD, at=NOON)
    with pytest.raises(InputError, match="expired on"):
        sign_report(bench / "report.pdf", bench / "laboratory.p12", PASSWORD, at=NOON + 2 * YEAR)
    with pytest.raises(InputError, match="cannot be written"):
        sign(bench, output=bench / "no-folder" / "signed.pdf")
    assert sorted(path.name for path in bench.iterdir()) == ["authority.pem", "laboratory.p12", "report.pdf"]
