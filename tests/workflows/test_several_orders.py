"""Several orders in one go: all or nothing, one PDF each, signed where asked."""

from pathlib import Path

import pytest

import resile
from laboratory_key import NOON, PASSWORD, Identity, make_identity
from resile.errors import InputError, RecordNotFoundError
from resile.workflows.demonstration.key import KEY_FILE, OWNER, write_demonstration_key
from resile.workflows.demonstration.key import PASSWORD as DEMONSTRATION_PASSWORD
from resile.workflows.orders.pages import Seal
from resile.workflows.orders.several_orders import issue_orders, orders_json
from resile.workflows.orders.signing import seal_with, verify_report

DATE = "2026-05-12"
ROWS = (
    "sample,condition,temperature_c,quantity,value,unit\n"
    "{0},RTFO,64,jnr_0.1,0.8,1/kPa\n{0},RTFO,64,jnr_3.2,0.9,1/kPa\n"
)


def order_in(folder: Path, number: str) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "results.csv").write_text(ROWS.format("E"), encoding="utf-8")
    order = folder / "order.toml"
    order.write_text(
        f'number = "{number}"\ninvented = true\ntables = ["results.csv"]\n[sample]\nname = "E"\n',
        encoding="utf-8",
    )
    return order


@pytest.fixture
def orders(tmp_path: Path) -> list[Path]:
    return [order_in(tmp_path / number, number) for number in ("7", "8")]


@pytest.fixture(scope="module")
def identity() -> Identity:
    return make_identity()


@pytest.fixture
def seal(tmp_path: Path, identity: Identity) -> Seal:
    (tmp_path / "laboratory.p12").write_bytes(identity.key_file())
    return seal_with(tmp_path / "laboratory.p12", PASSWORD, at=NOON)


def written(folder: Path) -> set[str]:
    return {path.name for path in folder.rglob("[78]*.*")}


def test_each_order_becomes_pages_beside_it(orders: list[Path]) -> None:
    issued = issue_orders(orders, date=DATE)
    assert [one.report.order.number for one in issued] == ["7", "8"]
    for order, one in zip(orders, issued, strict=True):
        assert {path.parent for path in one.files} == {order.parent}
        assert one.signed_pdf is None


def test_a_sealed_order_leaves_one_pdf_and_it_is_signed(
    orders: list[Path], seal: Seal, identity: Identity, tmp_path: Path
) -> None:
    (tmp_path / "certificate.pem").write_bytes(identity.pem)
    draft = orders[0].parent / "7.pdf"
    issue_orders(orders[:1], date=DATE)
    assert draft.is_file()
    issued = issue_orders(orders, date=DATE, seal=seal)
    assert issued[0].removed == (draft,)
    for one in issued:
        assert one.signed_pdf is not None
        assert one.signed_pdf.name == f"{one.report.order.number}-signed.pdf"
        assert [path.name for path in one.signed_pdf.parent.glob("*.pdf")] == [one.signed_pdf.name]
        verified = verify_report(one.signed_pdf, trusted=[tmp_path / "certificate.pem"], at=NOON)
        assert verified.intact
        assert verified.signatures[0].trusted is True


def test_a_signed_page_under_the_plain_name_is_no_draft(orders: list[Path], seal: Seal) -> None:
    (one,) = issue_orders(orders[:1], date=DATE, seal=seal)
    assert one.signed_pdf is not None
    kept = one.signed_pdf.rename(orders[0].parent / "7.pdf").read_bytes()
    (again,) = issue_orders(orders[:1], date=DATE, seal=seal)
    assert again.removed == ()
    assert (orders[0].parent / "7.pdf").read_bytes() == kept


def test_a_signed_report_is_never_written_over(orders: list[Path], seal: Seal) -> None:
    (one,) = issue_orders(orders[1:], date=DATE, seal=seal)
    assert one.signed_pdf is not None
    before = one.signed_pdf.read_bytes()
    with pytest.raises(InputError, match=r"8-signed\.pdf: a signed report stands there.*replaces"):
        issue_orders(orders, date=DATE, seal=seal)
    assert one.signed_pdf.read_bytes() == before
    assert not list(orders[0].parent.glob("7*"))


def test_one_bad_order_leaves_nothing_written(orders: list[Path], seal: Seal, tmp_path: Path) -> None:
    (orders[1].parent / "results.csv").unlink()
    with pytest.raises(RecordNotFoundError, match=r"results\.csv"):
        issue_orders(orders, date=DATE, seal=seal)
    (orders[1].parent / "results.csv").write_text("nothing in here\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"results\.csv"):
        issue_orders(orders, date=DATE, seal=seal)
    assert written(tmp_path) == set()


def test_two_orders_that_would_write_one_file_are_refused(tmp_path: Path) -> None:
    same = [order_in(tmp_path / name, "7") for name in ("first", "second")]
    with pytest.raises(InputError, match=r"both write .*7\.pdf; give each its own 'number'"):
        issue_orders(same, date=DATE, folder=tmp_path / "pages")
    assert not (tmp_path / "pages").exists()
    assert len(issue_orders(same, date=DATE)) == 2  # each in its own folder
    roundabout = tmp_path / "second" / ".." / "first" / "order.toml"
    with pytest.raises(InputError, match="both write"):
        issue_orders([same[0], roundabout], date=DATE)


def test_one_order_in_json_is_itself_and_several_are_a_list(orders: list[Path]) -> None:
    reports = [one.report for one in issue_orders(orders, date=DATE)]
    assert orders_json(reports[:1]) == reports[0].to_json()
    both = orders_json(reports)
    assert list(both) == ["complies", "reports"]
    assert [one["order"] for one in both["reports"]] == ["7", "8"]
    assert both["complies"] is all(one["complies"] for one in both["reports"])


def test_the_demonstration_key_signs_and_says_that_it_is_worth_nothing(
    orders: list[Path], tmp_path: Path
) -> None:
    key = write_demonstration_key(tmp_path)
    assert key == tmp_path / KEY_FILE
    seal = seal_with(key, DEMONSTRATION_PASSWORD)
    (one,) = issue_orders(orders[:1], date=DATE, seal=seal)
    assert one.signed_pdf is not None
    verified = resile.verify_report(one.signed_pdf, trusted=[key.with_suffix(".pem")])
    assert verified.intact
    certificate = verified.signatures[0].certificate
    assert certificate is not None
    assert OWNER in certificate.owner
    assert "worth nothing" in OWNER
