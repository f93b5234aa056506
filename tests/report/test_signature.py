"""Signing leaves the page as it was; looking into a signature sees every change."""

import asyncio
import datetime
import hashlib
import io
import random
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pypdf
import pytest
from cryptography.hazmat.primitives.asymmetric import ed25519, rsa
from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, pkcs12
from pyhanko.pdf_utils.generic import ArrayObject, FloatObject
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign import fields, signers
from pyhanko.sign.signers.pdf_signer import PdfSignatureMetadata

from laboratory_key import NOON, PASSWORD, YEAR, Identity, make_identity
from resile.errors import FileFormatError, InputError, ResileError
from resile.judge.rules.signature import judge_signatures
from resile.records.finding import Severity
from resile.records.reading import SourceFile
from resile.records.signature import Additions, Coverage, DocumentSignature
from resile.report.machine.signatures import signatures_to_json
from resile.report.signature.certificates import read_certificates
from resile.report.signature.key_file import read_key_file
from resile.report.signature.reading import read_signatures
from resile.report.signature.signing import sign_pdf

REASON = "Issue of the test report"
GLOSSARY = Path(__file__).resolve().parents[2] / "docs" / "glossary.md"
CONTENTS = re.compile(rb"/Contents (<[0-9A-F]+>)")


def signed_by(identity: Identity, pdf: bytes, *, reason: str = REASON, at: datetime.datetime = NOON) -> bytes:
    key = read_key_file(identity.key_file(), PASSWORD, path="laboratory.p12", at=at)
    return sign_pdf(pdf, key, path="report.pdf", reason=reason, at=at)


def looked_into(content: bytes, *trusted: Identity) -> tuple[DocumentSignature, ...]:
    certificates = [
        one for identity in trusted for one in read_certificates(identity.pem, path="trusted.pem")
    ]
    return read_signatures(content, path="report.pdf", trusted=certificates, at=NOON)


def stands(content: bytes) -> bool:
    """Tell whether a person would be told that the file is signed and unchanged."""
    try:
        found = judge_signatures(looked_into(content), at=NOON)
    except ResileError:
        return False
    return all(finding.severity is not Severity.INVALID for finding in found)


def codes(content: bytes, *trusted: Identity, at: datetime.datetime = NOON) -> set[str]:
    return {finding.code for finding in judge_signatures(looked_into(content, *trusted), at=at)}


def flipped(content: bytes, place: int, bit: int) -> bytes:
    changed = bytearray(content)
    changed[place] ^= 1 << bit
    return bytes(changed)


def added_to(content: bytes, change: Any) -> bytes:
    """Add to a file behind its signature, as an editor of PDFs does."""
    writer = IncrementalPdfFileWriter(io.BytesIO(content))
    change(writer)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def place_of(catalogue: Any, name: str) -> Any:
    """Give the number of an object, so that the same object is known in two files; or the value itself."""
    value = catalogue.raw_get(name)
    return getattr(value, "idnum", value)


def crop_the_first_page(writer: IncrementalPdfFileWriter) -> None:
    page = writer.root["/Pages"]["/Kids"][0]
    page["/MediaBox"] = ArrayObject([FloatObject(value) for value in (0, 0, 100, 100)])
    writer.update_container(page)


@pytest.fixture(scope="module")
def authority() -> Identity:
    return make_identity("Authority of the Kaltbach works (invented)", authority=True, usage=None)


@pytest.fixture(scope="module")
def laboratory(authority: Identity) -> Identity:
    return make_identity(by=authority)


@pytest.fixture(scope="module")
def signed(laboratory: Identity, pdf: bytes) -> bytes:
    return signed_by(laboratory, pdf)


def test_a_signature_says_who_when_and_why_and_covers_the_whole_file(
    signed: bytes, laboratory: Identity
) -> None:
    (signature,) = looked_into(signed)
    assert signature.problem == ""
    assert signature.unchanged
    assert signature.field_name == "Signature1"
    assert signature.reason == REASON
    assert signature.signed_at == "2026-05-12T12:00:00+00:00"
    assert signature.coverage is Coverage.WHOLE_FILE
    assert signature.additions is Additions.NONE
    assert signature.trusted is None
    certificate = signature.certificate
    assert certificate is not None
    assert certificate.owner == "Reports of the Kaltbach works (invented)"
    assert certificate.organisation == "Kaltbach works (invented)"
    assert certificate.issuer == "Authority of the Kaltbach works (invented)"
    assert certificate.valid_until == "2027-05-12T12:00:00+00:00"


def test_the_page_itself_stays_byte_for_byte_with_its_tags_and_archive_marks(
    signed: bytes, pdf: bytes
) -> None:
    assert signed.startswith(pdf)
    before, after = (pypdf.PdfReader(io.BytesIO(content)) for content in (pdf, signed))
    assert after.metadata == before.metadata
    old, new = before.trailer["/Root"], after.trailer["/Root"]
    for name in (
        "/StructTreeRoot",
        "/MarkInfo",
        "/Lang",
        "/OutputIntents",
        "/ViewerPreferences",
        "/Metadata",
    ):
        assert place_of(new, name) == place_of(old, name), name
    assert new["/Metadata"].get_data() == old["/Metadata"].get_data()
    assert b"pdfaid:part" in new["/Metadata"].get_data()
    assert new.get("/Version") in (None, "/1.7")
    for was, page in zip(before.pages, after.pages, strict=True):
        assert page.get_contents().get_data() == was.get_contents().get_data()


def test_the_signature_field_is_one_that_archivable_and_accessible_pages_may_have(signed: bytes) -> None:
    # PDF/A-2, 6.3.3: a field without size needs no picture; 6.3.2: it prints. From memory (medium).
    notes = pypdf.PdfReader(io.BytesIO(signed)).pages[0]["/Annots"]
    (field,) = [note for note in notes if note["/Subtype"] == "/Widget"]
    assert {note["/Subtype"] for note in notes} == {"/Widget", "/Link"}
    left, low, right, high = (float(end) for end in field["/Rect"])
    assert (left, low) == (right, high)
    assert left < 0
    assert field["/F"] & 4
    assert field["/T"] == "Signature1"
    assert field["/TU"] == "Digital signature of the report"
    assert field["/V"]["/SubFilter"] == "/ETSI.CAdES.detached"
    assert field["/V"]["/Reason"] == REASON


def test_a_changed_byte_at_any_of_fifty_places_is_seen(signed: bytes) -> None:
    chance = random.Random(20260512)
    for _ in range(50):
        place, bit = chance.randrange(len(signed)), chance.randrange(8)
        assert not stands(flipped(signed, place, bit)), (place, bit)


def test_a_changed_byte_in_the_signature_itself_is_seen_which_no_digest_covers(signed: bytes) -> None:
    start, end = CONTENTS.search(signed).span(1)
    chance = random.Random(20260513)
    places = [start, end - 1, end - 2, *range(start + 1, start + 21)]  # marks, noughts, outer lengths
    places += [chance.randrange(start, end) for _ in range(150)]
    for place in places:
        assert not stands(flipped(signed, place, 0)), place - start


def test_a_digit_of_the_signature_written_in_the_other_case_is_seen(signed: bytes) -> None:
    start, end = CONTENTS.search(signed).span(1)
    place = next(place for place in range(start, end) if signed[place] in b"ABCDEF")
    assert not stands(flipped(signed, place, 5))


def test_a_page_changed_by_an_addition_is_reported(signed: bytes) -> None:
    changed = added_to(signed, crop_the_first_page)
    (signature,) = looked_into(changed)
    assert signature.unchanged
    assert signature.coverage is Coverage.EARLIER_STATE
    assert signature.additions is Additions.OTHER
    assert "added-after-signing" in codes(changed)


@pytest.mark.parametrize("tail", [b"\n", b"%% more\n", b"%PDF-1.7\n%%EOF\n"])
def test_bytes_behind_the_end_are_reported(signed: bytes, tail: bytes) -> None:
    assert not stands(signed + tail)


def test_a_second_signature_leaves_the_first_standing(signed: bytes) -> None:
    reviewer = make_identity("Reviewer (invented)")
    twice = signed_by(reviewer, signed, reason="Reviewed", at=NOON + datetime.timedelta(hours=1))
    first, second = looked_into(twice)
    assert twice.startswith(signed)
    assert (first.coverage, first.additions) == (Coverage.EARLIER_STATE, Additions.SIGNATURES)
    assert (second.coverage, second.additions) == (Coverage.WHOLE_FILE, Additions.NONE)
    assert second.field_name == "Signature2"
    assert stands(twice)
    assert "signed-again" in codes(twice)


def test_a_later_signature_with_a_picture_on_the_page_is_reported(signed: bytes) -> None:
    other = make_identity("Someone else")
    signer = signers.SimpleSigner.load_pkcs12_data(other.key_file(), [], PASSWORD.encode())
    out = io.BytesIO()
    signers.PdfSigner(
        PdfSignatureMetadata(field_name="Stamp"),
        signer,
        new_field_spec=fields.SigFieldSpec("Stamp", on_page=0, box=(50, 50, 300, 300)),
    ).sign_pdf(IncrementalPdfFileWriter(io.BytesIO(signed)), output=out)
    assert "added-after-signing" in codes(out.getvalue())


def test_a_signature_that_holds_but_covers_only_part_of_the_file_is_reported(
    laboratory: Identity, pdf: bytes
) -> None:
    # Constructed: the stated range ends 40 bytes early, and that shorter range is signed rightly.
    signed = signed_by(laboratory, pdf)
    stated = re.search(rb"/ByteRange \[0 (\d+) (\d+) (\d+)", signed)
    first, second, length = (int(number) for number in stated.groups())
    start, end = stated.span(3)
    changed = signed[:start] + (b"%d" % (length - 40)).ljust(end - start) + signed[end:]
    digest = hashlib.sha256(changed[:first] + changed[second : second + length - 40]).digest()
    signer = signers.SimpleSigner.load_pkcs12_data(laboratory.key_file(), [], PASSWORD.encode())
    made = asyncio.run(signer.async_sign(digest, "sha256", use_pades=True)).dump().hex().upper().encode()
    changed = changed[: first + 1] + made.ljust(second - first - 2, b"0") + changed[second - 1 :]
    (signature,) = looked_into(changed)
    assert signature.unchanged
    assert signature.coverage is Coverage.PART
    assert "partly-covered" in codes(changed)


def test_a_certificate_leads_to_the_authority_and_to_itself_but_not_to_a_stranger(
    signed: bytes, authority: Identity, laboratory: Identity
) -> None:
    assert looked_into(signed, authority)[0].trusted is True
    assert looked_into(signed, laboratory)[0].trusted is True
    assert looked_into(signed, make_identity(), authority)[0].trusted is True
    stranger = make_identity("Authority of the Kaltbach works (invented)", authority=True, usage=None)
    assert looked_into(signed, stranger)[0].trusted is False
    assert "certificate-not-trusted" in codes(signed, stranger)


def test_without_a_trusted_certificate_the_answer_says_that_the_name_is_not_checked(
    signed: bytes, authority: Identity
) -> None:
    assert "signer-not-checked" in codes(signed)
    assert "signer-not-checked" not in codes(signed, authority)


def test_a_certificate_that_has_expired_since_is_a_caution(signed: bytes) -> None:
    assert "certificate-expired" not in codes(signed)
    found = judge_signatures(looked_into(signed), at=NOON + 2 * YEAR)
    (caution,) = [finding for finding in found if finding.code == "certificate-expired"]
    assert caution.severity is Severity.CAUTION
    assert "2027-05-12" in caution.message


def test_a_signature_made_outside_the_dates_of_its_certificate_is_invalid(pdf: bytes) -> None:
    expired = make_identity(first=NOON - 3 * YEAR, last=NOON - 2 * YEAR)
    signer = signers.SimpleSigner.load_pkcs12_data(expired.key_file(), [], PASSWORD.encode())
    out = io.BytesIO()
    signers.sign_pdf(
        IncrementalPdfFileWriter(io.BytesIO(pdf)), PdfSignatureMetadata(field_name="S"), signer, output=out
    )
    assert "certificate-not-valid" in codes(out.getvalue())


def test_the_time_is_told_to_be_that_of_the_signing_computer(signed: bytes) -> None:
    assert "time-not-proved" in codes(signed)


def test_an_unsigned_page_is_said_to_be_unsigned(pdf: bytes) -> None:
    assert looked_into(pdf) == ()
    assert codes(pdf) == {"not-signed"}


@pytest.mark.parametrize(
    ("content", "found"),
    [
        (b"", "report.pdf: the file is empty; a PDF is needed"),
        (b"sample,condition\n", "report.pdf: this is not a PDF; a report in PDF is needed"),
        (
            b"%PDF-1.7\n" + bytes(200),
            "report.pdf: the file begins as a PDF but is damaged or cut short; a whole copy is needed",
        ),
    ],
)
def test_what_is_not_a_pdf_is_refused_with_one_sentence(
    content: bytes, found: str, laboratory: Identity
) -> None:
    with pytest.raises(FileFormatError) as refused:
        looked_into(content)
    assert str(refused.value) == found
    with pytest.raises(FileFormatError):
        signed_by(laboratory, content)


def test_a_file_cut_short_anywhere_never_stands(signed: bytes, pdf: bytes) -> None:
    chance = random.Random(20260514)
    for end in [len(pdf), len(signed) - 1, *(chance.randrange(len(signed)) for _ in range(12))]:
        assert not stands(signed[:end]), end


def test_a_locked_pdf_is_refused(pdf: bytes) -> None:
    writer = pypdf.PdfWriter(io.BytesIO(pdf))
    writer.encrypt("secret", algorithm="AES-256")
    out = io.BytesIO()
    writer.write(out)
    with pytest.raises(InputError, match="locked with a password"):
        looked_into(out.getvalue())


@pytest.mark.parametrize("bits", [2048, 3072])
def test_rsa_keys_sign_too(bits: int, pdf: bytes) -> None:
    assert stands(signed_by(make_identity(key=rsa.generate_private_key(65537, bits)), pdf))


def test_a_certificate_without_stated_usage_and_one_for_non_repudiation_sign(pdf: bytes) -> None:
    for usage in (None, "content_commitment"):
        identity = make_identity(usage=usage)
        assert looked_into(signed_by(identity, pdf), identity)[0].trusted is True


def refusal(content: bytes, password: str = PASSWORD) -> str:
    with pytest.raises(InputError) as refused:
        read_key_file(content, password, path="laboratory.p12", at=NOON)
    return str(refused.value)


def test_a_key_file_that_cannot_be_used_is_refused_with_one_sentence() -> None:
    good = make_identity()
    assert refusal(good.key_file(), "wrong").startswith(
        "laboratory.p12: the password does not open the file;"
    )
    assert refusal(good.key_file(), "").startswith("laboratory.p12: the file needs a password;")
    assert refusal(good.pem).startswith("laboratory.p12: this is a PEM text;")
    assert refusal(good.key_file()[:300]).startswith("laboratory.p12: this is not a PKCS#12 file;")
    assert refusal(b"%PDF-1.7").startswith("laboratory.p12: this is not a PKCS#12 file;")
    assert refusal(b"").startswith("laboratory.p12: the file is empty;")
    assert "expired on 2024-05-12" in refusal(
        make_identity(first=NOON - 3 * YEAR, last=NOON - 2 * YEAR).key_file()
    )
    assert "valid from 2027-05-12 on" in refusal(
        make_identity(first=NOON + YEAR, last=NOON + 2 * YEAR).key_file()
    )
    assert "not made for signing" in refusal(make_identity(usage="key_agreement").key_file())
    weak = make_identity(key=rsa.generate_private_key(65537, 1024))
    assert "has 1024 bits; at least 2048" in refusal(weak.key_file())


def test_a_key_file_without_key_or_certificate_or_of_another_kind_is_refused() -> None:
    good, other = make_identity(), make_identity()
    edwards = make_identity(key=ed25519.Ed25519PrivateKey.generate())
    lock = BestAvailableEncryption(PASSWORD.encode())

    def made(key: Any, certificate: Any, chain: Any = None) -> bytes:
        return pkcs12.serialize_key_and_certificates(b"laboratory", key, certificate, chain, lock)

    assert "holds no private key" in refusal(made(None, None, [good.certificate]))
    assert "holds no certificate for its key" in refusal(made(good.key, None, [other.certificate]))
    assert "another kind" in refusal(edwards.key_file())


def test_a_key_file_without_password_opens_without_one() -> None:
    identity = make_identity()
    opened = read_key_file(identity.key_file(""), "", path="laboratory.p12", at=NOON)
    assert opened.certificate == identity.certificate


def test_trusted_certificates_are_read_as_pem_and_der_and_anything_else_is_refused() -> None:
    one, two = make_identity(), make_identity()
    assert len(read_certificates(one.pem + two.pem, path="trusted.pem")) == 2
    (der,) = read_certificates(one.pem, path="trusted.pem")
    assert read_certificates(der, path="trusted.cer") == (der,)
    for content in (b"", b"nonsense", one.key_pem):
        with pytest.raises(InputError, match=r"^trusted.pem: the file holds no certificate that can be read"):
            read_certificates(content, path="trusted.pem")


def test_every_key_for_machines_is_in_the_glossary(signed: bytes) -> None:
    signatures = looked_into(signed)
    found = judge_signatures(signatures, at=NOON)
    content = signatures_to_json(SourceFile("report.pdf", "0" * 64, 1), signatures, found, intact=True)
    (signature,) = content["signatures"]
    explained = set(re.findall(r"`(\w+)`", GLOSSARY.read_text(encoding="utf-8")))
    assert {*content, *signature, *signature["certificate"]} <= explained


def test_without_the_library_the_refusal_says_what_to_install() -> None:
    script = (
        "import sys\n"
        "sys.modules['pyhanko'] = None\n"
        "from resile.errors import MissingDependencyError\n"
        "import resile\n"
        "try:\n"
        "    resile.verify_report('report.pdf')\n"
        "except MissingDependencyError as error:\n"
        "    assert 'pip install \"resile[signature]\"' in str(error)\n"
        "else:\n"
        "    raise AssertionError\n"
    )
    subprocess.run([sys.executable, "-c", script], check=True)
