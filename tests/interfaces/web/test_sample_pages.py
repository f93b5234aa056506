"""Sample, grade sheet and statement in the browser, and what a customer is refused."""

from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pytest
from pyhanko.pdf_utils.reader import PdfFileReader
from starlette.testclient import TestClient

from interfaces.test_sign_commands import valid_today
from interfaces.web.forms import send
from laboratory_key import PASSWORD
from resile.records.register import Actor, Run, Statement, StatementState, Verdict
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import roles
from resile.workflows.orders.signing import verify_report
from stored_samples import keep_order

CUSTOMER = Actor("P-000013", "T. Morrow", roles()["customer-reader"].may, "K-000001")
STRANGER = Actor("P-000014", "S. Else", roles()["customer-reader"].may, "K-000009")


def record_of(client: TestClient) -> LaboratoryRecord:
    record: LaboratoryRecord = client.app.state.record
    return record


@pytest.fixture
def sample(client: TestClient) -> Iterator[str]:
    """The address of a sample with runs."""
    yield f"/samples/{keep_order(record_of(client), '101-plain')}"


def as_person(client: TestClient, actor: Actor) -> None:
    client.app.state.who = lambda request: actor


def issue(client: TestClient, sample: str, **words: str) -> str:
    """Grade, draft and release by the forms of the pages; give the address of the statement."""
    sheet = f"{sample}/grade"
    assert send(client, sheet, page=sheet).status_code == 303
    drafted = send(client, f"{sample}/statements", page=sheet, **words)
    statement = drafted.headers["location"]
    assert send(client, f"{statement}/release", page=statement, seen="1").status_code == 303
    return statement


def drafted(client: TestClient, sample: str) -> str:
    sheet = f"{sample}/grade"
    send(client, sheet, page=sheet)
    return str(send(client, f"{sample}/statements", page=sheet).headers["location"])


def test_a_statement_is_signed_while_it_is_released_and_the_key_is_kept_nowhere(
    client: TestClient, sample: str, tmp_path: Path
) -> None:
    statement, key = drafted(client, sample), valid_today().key_file()
    sent = {"page": statement, "files": {"key": ("laboratory.p12", key)}, "seen": "1"}
    wrong = send(client, f"{statement}/release", key_password="not this one", **sent)
    assert wrong.status_code == 422
    assert "not this one" not in wrong.text
    assert send(client, f"{statement}/release", key_password=PASSWORD, **sent).status_code == 303
    record = record_of(client)
    with record.reading() as reading:
        files = reading.find(Statement)[0].value.files
        page = tmp_path / "issued.pdf"
        page.write_bytes(reading.file(next(sha for name, sha in files.items() if name.endswith(".pdf"))))
    assert verify_report(page).intact
    kept = b"".join(one.read_bytes() for one in tmp_path.glob("laboratory.db*"))
    assert PASSWORD.encode() not in kept
    assert key[:64] not in kept


def test_a_sample_is_graded_stated_replaced_and_withdrawn_by_forms(client: TestClient, sample: str) -> None:
    assert "was not graded yet" in client.get(sample).text
    first = issue(client, sample)
    page = client.get(first).text
    assert "This statement stands" in page and "101-1.pdf" in page
    assert "The log still holds entry" in page
    second = issue(client, sample, why="a copy was asked for")
    page = client.get(first).text
    assert "Replaced, no longer valid" in page and second in page
    replaced = client.get(f"{first}/pages/101-1.pdf")
    assert replaced.headers["content-disposition"].startswith('attachment; filename="REPLACED-101-1.pdf"')
    as_issued = client.get(f"{first}/pages/101-1.pdf?as=issued").content
    assert_lies_behind_a_cover(replaced.content, as_issued, "101-1.pdf")
    with record_of(client).reading() as reading:
        kept = reading.get(Statement, first.rsplit("/", 1)[-1]).value.files["101-1.pdf"]
        assert as_issued == reading.file(kept), "byte for byte as it was signed"
    send(client, f"{second}/withdraw", page=second, seen="2", reason="wrong customer")
    assert "Withdrawn, not valid" in client.get(second).text
    assert "wrong customer" in client.get(second).text
    assert "<title>Statement 101-2 (withdrawn)" in client.get(second).text
    for old, said in ((first, "101-2, issued"), (second, "wrong customer")):
        name = "101-1.html" if old == first else "101-2.html"
        issued = client.get(f"{old}/pages/{name}?as=issued").text
        assert 'aria-label="Standing"' not in issued
        for marked in (client.get(f"{old}/view").text, client.get(f"{old}/pages/{name}").text):
            notice = marked.partition('aria-label="Standing"')[2].partition("</aside>")[0]
            assert said in notice
            assert marked.endswith(issued.partition("<body>")[2])


def assert_lies_behind_a_cover(served: bytes, issued: bytes, name: str) -> None:
    """Ask a foreign reader of PDF what is attached, and what the cover says."""
    whole = PdfFileReader(BytesIO(served))
    named, described = whole.root["/Names"]["/EmbeddedFiles"]["/Names"]
    assert named == name
    assert described.get_object()["/EF"]["/F"].data == issued
    assert whole.root["/Pages"]["/Count"] == 1
    assert "Replaced" in whole.trailer_view["/Info"]["/Title"]


def test_a_draft_is_looked_at_shut_off_from_the_workbench(client: TestClient, sample: str) -> None:
    send(client, f"{sample}/grade", page=f"{sample}/grade")
    statement = send(client, f"{sample}/statements", page=f"{sample}/grade").headers["location"]
    shown = client.get(f"{statement}/view")
    assert "DRAFT, not issued" in shown.text
    assert shown.headers["content-security-policy"].startswith("sandbox; default-src 'none'")


def test_a_statement_is_traced_to_the_bytes(client: TestClient, sample: str) -> None:
    address = drafted(client, sample)
    assert f'href="{address}/trace"' in client.get(address).text
    page = client.get(f"{address}/trace").text
    assert "links hold." in page
    with record_of(client).reading() as reading:
        assert all(run.value.file in page for run in reading.find(Run, sample=sample.rpartition("/")[2]))


def test_other_rules_are_a_question_until_fixed_with_a_reason(client: TestClient, sample: str) -> None:
    sheet = f"{sample}/grade"
    asked = {"decision_rule": "guard-band", "specification": "m332-2014", "seen": "1"}
    shown = send(client, f"{sample}/rules", page=sheet, do="ask", **asked)
    assert "A question, not a verdict" in shown.text
    with record_of(client).reading() as reading:
        assert reading.count(Verdict) == 0
    refused = send(client, f"{sample}/rules", page=sheet, do="fix", high_temperature_c="64", **asked)
    assert refused.status_code == 422 or refused.status_code == 400
    assert "needs its reason" in refused.text and 'value="64"' in refused.text
    fixed = send(client, f"{sample}/rules", page=sheet, do="fix", reason="customer agreed", **asked)
    assert fixed.status_code == 303
    assert "rules-changed" not in client.get(sheet).text  # told once it is graded
    send(client, sheet, page=sheet)
    assert "was changed after its first run was kept" in client.get(sheet).text


def test_a_number_that_is_none_comes_back_in_its_field(client: TestClient, sample: str) -> None:
    answer = send(client, f"{sample}/rules", page=f"{sample}/grade", do="ask", high_temperature_c="hot")
    assert answer.status_code < 500
    assert "is no number" in answer.text and 'value="hot"' in answer.text


def test_the_list_of_statements_is_filtered_and_saved(client: TestClient, sample: str) -> None:
    issue(client, sample)
    assert "101-1" in client.get("/statements").text
    assert "101-1" not in client.get("/statements?words=999").text
    assert "101-1" not in client.get("/statements?state=withdrawn").text
    table = client.get("/statements.csv")
    assert table.text.splitlines()[1].startswith("101-1,issued,")
    assert "attachment" in table.headers["content-disposition"]


def test_a_kept_file_is_given_as_an_attachment_under_its_own_name(client: TestClient, sample: str) -> None:
    with record_of(client).reading() as reading:
        run = reading.find(Run, test="creep_recovery")[0].value
        content = reading.file(run.file)
    answer = client.get(f"/files/{run.file}")
    assert answer.content == content
    assert 'filename="specimen-1.csv"' in answer.headers["content-disposition"]
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["x-sha256"] == run.file
    assert client.get(f"/files/{'0' * 64}").status_code == 404
    assert client.get("/files/..%2f..%2fetc%2fpasswd").status_code == 404


def test_a_customer_sees_own_sample_and_issued_statement_and_nothing_else(
    client: TestClient, sample: str
) -> None:
    first = issue(client, sample)
    send(client, f"{sample}/statements", page=f"{sample}/grade", why="a draft within the laboratory")
    with record_of(client).reading() as reading:
        run = reading.find(Run, test="creep_recovery")[0]
        verdict = reading.find(Verdict)[0].key
        draft = reading.find(Statement, state=StatementState.DRAFT.value)[0]
        page = reading.get(Statement, first.rpartition("/")[2]).value.files["101-1.pdf"]
        other = draft.value.files[f"{draft.value.number}.html"]
    as_person(client, CUSTOMER)
    told = client.get(sample).text
    assert "101-1" in told and draft.value.number not in told
    assert "specimen-1.csv" not in told and "Verdict" not in told
    assert client.get(f"{first}/pages/101-1.pdf").status_code == 200
    assert client.get(f"/files/{page}").status_code == 200
    assert draft.value.number not in client.get("/statements").text
    for address in (
        f"{sample}/grade",
        f"/statements/{draft.key}",
        f"/statements/{draft.key}/view",
        f"/statements/{draft.key}/pages/{next(iter(draft.value.files))}",
        f"/files/{run.value.file}",
        f"/files/{other}",
        f"/verdicts/{verdict}/margins.svg",
        f"/runs/{run.key}",
        f"/runs/{run.key}/rows?cycle=1",
        f"/runs/{run.key}/file",
        f"/runs/{run.key}/cycles.csv",
        f"/runs/{run.key}/figures/run.json",
        f"/runs/{run.key}/figures/run.svg",
        "/runs",
        f"/runs/compare?keys={run.key}",
        f"/runs/compare.svg?keys={run.key}",
    ):
        assert client.get(address).status_code in (403, 404), address
    assert send(client, f"{sample}/grade", page="/statements").status_code == 403
    as_person(client, STRANGER)
    for address in (sample, first, f"{first}/view", f"{first}/pages/101-1.pdf", f"/files/{page}"):
        assert client.get(address).status_code in (403, 404), address
    assert "101-1" not in client.get("/statements").text
