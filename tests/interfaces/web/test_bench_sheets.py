"""Plans, labels and small questions in the browser."""

import base64
import re
from dataclasses import replace

import pytest
from starlette.testclient import TestClient

from laboratory_bench import can_in
from resile.records.register import Sample


@pytest.fixture
def sample(client: TestClient) -> str:
    record = client.app.state.record
    can_in(record)
    with record.writing(by="P-000001", at="2026-05-01T08:00:00Z") as book:
        known = book.get(Sample, "S-000001").value
        book.keep(replace(known, claimed_grade="PG 64V-22"), key="S-000001", reason="claimed")
    return "26-101"


def test_the_plan_of_a_sample_says_what_to_test_where_and_with_how_much(
    client: TestClient, sample: str
) -> None:
    page = client.get(f"/bench/plan?sample={sample}").text
    assert "Test plan for" in page and "64V" in page and "creep" in page.casefold()
    pdf = client.get(f"/bench/plan.pdf?sample={sample}")
    assert pdf.headers["content-type"] == "application/pdf" and pdf.content.startswith(b"%PDF")


def test_a_grade_that_is_none_is_refused_beside_the_field(client: TestClient, sample: str) -> None:
    page = client.get(f"/bench/plan?sample={sample}&grade=soft").text
    assert 'id="grade-wrong"' in page and 'value="soft"' in page


def test_a_label_names_can_grade_and_hazards_and_its_code_is_a_drawing(
    client: TestClient, sample: str
) -> None:
    page = client.get(f"/bench/labels?sample={sample}&copies=3").text
    assert page.count('<li class="label">') == 3
    assert "26-101 · A1" in page and "PG 64V-22" in page and "Hot binder sticks and burns deep." in page
    assert 'alt="Code that opens http://localhost/samples/S-000001"' in page
    drawn = re.search(r"data:image/svg\+xml;base64,([^\"]+)\"", page)
    assert drawn and base64.b64decode(drawn.group(1)).startswith(b"<svg")
    assert "size: 210mm 297mm" in client.get("/bench/labels/sheet-70x37.css").text
    assert client.get("/bench/labels/no-such.css").status_code == 404


def test_a_repeat_is_compared_with_the_published_repeatability(client: TestClient) -> None:
    """R3.2: two results of one operator differ by at most 8.5 % of their mean (AASHTO T 350-14, d2s)."""
    ask = "/bench/repeat?quantity=percent_recovery_3.2&condition=short_term_aged&first=50&second="
    assert "the repeat is acceptable" in client.get(f"{ask}54").text  # 4 of 52: 7.7 %
    assert "the two differ too much" in client.get(f"{ask}55").text  # 5 of 52.5: 9.5 %
    assert "is no number" in client.get(f"{ask}fifty").text


def test_the_next_temperature_follows_until_the_limit_is_bracketed(client: TestClient) -> None:
    """|G*|/sin δ of original binder at least 1.00 kPa (AASHTO M 320, Table 1); steps of 6 °C."""
    page = client.get("/bench/next").text
    line = re.search(r'<option value="([^"]+)"[^>]*>[^<]*original', page)
    assert line
    ask = f"/bench/next?specification=m320&line={line.group(1)}"
    assert "Next: 70" in client.get(f"{ask}&at-1=64&value-1=1.8").text
    done = client.get(f"{ask}&at-1=64&value-1=1.8&at-2=70&value-2=0,9").text
    assert "Bracketed: stop." in done
