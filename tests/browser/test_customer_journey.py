"""A customer in a real browser: invited, their own statement in plain words, and another's refused."""

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from browser.accessibility import assert_accessible, assert_fits
from browser.conftest import Window
from browser.going import accept, follow
from resile.records.register import Customer, Run, Sample
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.people import make_first_person
from resile.workflows.laboratory.access.permissions import actor_of, one_person
from resile.workflows.laboratory.record.opening import now
from resile.workflows.laboratory.statements.grading import grade_stored_sample
from resile.workflows.laboratory.statements.issuing import draft_statement, release_statement
from stored_samples import keep_order

PASSWORD = "four words in a row"


@pytest.fixture
def laboratory(tmp_path: Path) -> dict[str, str]:
    """A statement issued to the first customer, and a sample with its file of a second one."""
    where = str(tmp_path / "laboratory.db")
    record = LaboratoryRecord.open(where)
    at = now()
    ada = actor_of(make_first_person(record, at, name="Ada Berg", account="ada", password=PASSWORD))
    own = keep_order(record, "101-plain")
    other = keep_order(record, "103-spring-tank-2")
    with record.writing(by=ada.key, at=at) as book:
        second = book.keep(Customer(name="Second office (invented)")).key
        sample = book.get(Sample, other).value
        kept = {name: getattr(sample, name) for name in Sample.__dataclass_fields__}
        book.keep(Sample(**{**kept, "customer": second}), key=other, seen=1, reason="of the second office")
        file = book.find(Run, sample=other, limit=1)[0].value.file
    grade_stored_sample(record, one_person(), at, own)
    draft = draft_statement(record, ada, at, own)
    issued = release_statement(record, one_person(), at, draft.key)
    record.close()
    return {
        "record": where,
        "other": other,
        "file": file,
        "statement": issued.key,
        "number": issued.value.number,
    }


def test_an_invited_customer_reads_the_own_statement_and_is_refused_what_is_of_another(
    serve: Any, tab: Page, window: Window, laboratory: dict[str, str]
) -> None:
    home = serve(record=laboratory["record"], signs_in=True)
    link = invite(window(), home)
    tab.set_viewport_size({"width": 360, "height": 800})
    tab.goto(link)
    assert_accessible(tab)
    accept(tab, link, "olu", PASSWORD)
    tab.goto(f"{home}/")
    assert_fits(tab)
    expect(tab.get_by_role("heading", name="Your statements")).to_be_visible()
    follow(tab.get_by_role("link", name=laboratory["number"], exact=True))
    expect(tab.get_by_text("This statement stands.")).to_be_visible()
    assert_accessible(tab)
    assert_fits(tab)
    follow(tab.get_by_role("link", name="What it means, in plain words"))
    expect(tab).to_have_url(f"{home}/explain?statement={laboratory['statement']}")
    assert_accessible(tab)
    assert_fits(tab)
    answer = tab.goto(f"{home}/samples/{laboratory['other']}")
    assert answer is not None
    assert answer.status == 403
    expect(tab.locator("main")).to_contain_text("This sample is not one of yours")
    expect(tab.locator("main")).not_to_contain_text("103")
    answer = tab.goto(f"{home}/files/{laboratory['file']}")
    assert answer is not None
    assert answer.status == 404
    expect(tab.locator("main")).to_contain_text("no such file for you")
    answer = tab.goto(f"{home}/customers")
    assert answer is not None
    assert answer.status == 403


def invite(page: Page, home: str) -> str:
    """Let the administrator add the customer, and give the link that is shown once."""
    page.goto(f"{home}/sign-in?to=/people")
    page.get_by_label("Name of your account").fill("ada")
    page.get_by_label("Password").fill(PASSWORD)
    follow(page.get_by_role("button", name="Sign in"))
    page.goto(f"{home}/people")
    page.locator("main form #name").fill("Olu Lund")
    page.locator("main form #account").fill("olu")
    page.locator("main form input[name=roles][value=customer-reader]").check()
    page.locator("main form #customer").select_option("K-000001")
    follow(page.locator("main form:has(#account) button.primary"))
    return page.get_by_label("Link, to be used once").input_value()
