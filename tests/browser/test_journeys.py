"""Whole ways of a person, in a real browser: from an empty record to a certificate, and down to the bytes."""

import hashlib
from pathlib import Path
from typing import Any

from playwright.sync_api import Locator, Page, expect

from browser.accessibility import assert_accessible, assert_fits
from browser.conftest import Serve, Window
from browser.going import accept, follow, wait_for_pictures
from resile.records.register import LaboratorySettings
from resile.storage.laboratory_record import LaboratoryRecord
from stored_samples import demonstration_day

PASSWORD = "four words in a row"
FILES = ("ageing.toml", "specimen-1.csv", "other-results.csv")
PERSON_S_PER_STEP = 5.0
"""What a person needs to find and press one thing [s]: a round supposition, no source."""


class Person:
    """Presses and types on a page, and counts it."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.steps = 0
        self.signs = 0

    def press(self, role: Any, name: str) -> None:
        self.act(self.page.get_by_role(role, name=name).first)

    def act(self, what: Locator) -> None:
        self.steps += 1
        follow(what)

    def type(self, field: str, text: str) -> None:
        self.steps += 1
        self.signs += len(text)
        self.page.fill(f"#{field}", text)

    def choose_files(self, paths: list[Path]) -> None:
        """Choose what to keep; a single file is opened as soon as it is read."""
        self.steps += 2
        if len(paths) > 1:
            self.hand_over(paths)
            return
        with self.page.expect_navigation():
            self.hand_over(paths)

    def hand_over(self, paths: list[Path]) -> None:
        self.page.set_input_files("#files", paths)

    @property
    def seconds(self) -> float:
        """How long a person needs, at 5 s a step and two signs a second."""
        return PERSON_S_PER_STEP * self.steps + self.signs / 2.0


class ByKeyboard(Person):
    """The same with Tab, Enter and Space alone."""

    def reach(self, what: Locator) -> None:
        what.wait_for()
        for _ in range(160):
            if what.evaluate("(one) => one === document.activeElement"):
                return
            self.page.keyboard.press("Tab")
        raise AssertionError(f"{what} cannot be reached with the Tab key")

    def act(self, what: Locator) -> None:
        self.steps += 1
        self.reach(what)
        with self.page.expect_navigation():
            self.page.keyboard.press("Enter")

    def type(self, field: str, text: str) -> None:
        self.steps += 1
        self.reach(self.page.locator(f"#{field}"))
        self.page.keyboard.type(text)

    def hand_over(self, paths: list[Path]) -> None:
        self.reach(self.page.locator("#files"))
        with self.page.expect_file_chooser() as opened:
            self.page.evaluate("0")  # a key overtakes what the page is told: it shall know that one waits
            self.page.keyboard.press("Space")
        opened.value.set_files(paths)


def day(folder: str = "101-plain", names: tuple[str, ...] = FILES) -> list[Path]:
    return [demonstration_day() / folder / name for name in names]


def receive(person: Person, number: str = "101") -> None:
    person.type("number", number)
    person.type("claimed_grade", "64S")
    person.press("button", "Receive")


def grade_and_write(person: Person) -> None:
    person.press("link", "Grade it")
    person.press("button", "Grade the sample")
    expect(person.page.get_by_text("pass").first).to_be_visible()
    person.press("button", "Write the certificate")
    expect(person.page.get_by_text("Not issued; every sheet says so.")).to_be_visible()


def to_certificate(person: Person, home: str) -> None:
    """From the first page of an empty record to a certificate that is issued."""
    person.page.goto(home)
    person.press("link", "Receive a sample")
    receive(person)
    person.press("link", "Drop its record files")
    person.choose_files(day())
    person.press("link", "Look at the sample")
    grade_and_write(person)
    person.press("button", "Release and issue")
    expect(person.page.get_by_text("This statement stands.")).to_be_visible()


def saved(page: Page, link: Locator) -> bytes:
    with page.expect_download() as download:
        link.click()
    return download.value.path().read_bytes()


def test_a_newcomer_gets_from_an_empty_record_to_a_certificate_within_five_minutes_and_to_the_bytes(
    serve: Serve, tab: Page
) -> None:
    person = Person(tab)
    to_certificate(person, serve())
    assert person.seconds < 120.0, f"{person.steps} steps, {person.signs} signs"
    assert saved(tab, tab.get_by_role("link", name="101-1.pdf")).startswith(b"%PDF")
    follow(tab.get_by_role("link", name="101", exact=True))
    follow(tab.get_by_role("link", name="Grade sheet"))
    table = tab.get_by_role("table", name="Every single value, down to its file")
    assert_accessible(tab)
    follow(table.get_by_role("link", name="2.60 1/kPa"))
    expect(tab.get_by_role("heading", level=1)).to_have_text("Creep recovery")
    wait_for_pictures(tab)
    expect(tab.locator("figure.chart.live svg").first).to_be_visible()
    follow(tab.get_by_role("link", name="Rows of the file behind this cycle"))
    expect(tab.get_by_role("heading", level=1)).to_have_text("Rows of the file")
    tab.go_back()
    came = saved(tab, tab.get_by_role("link", name="specimen-1.csv").first)
    original = day()[1].read_bytes()
    assert came == original
    expect(tab.get_by_text(hashlib.sha256(original).hexdigest()).first).to_be_visible()


def test_a_value_of_a_typed_table_leads_to_its_line_and_its_file(serve: Serve, tab: Page) -> None:
    person = Person(tab)
    home = serve()
    tab.goto(f"{home}/samples/new")
    receive(person)
    person.press("link", "Drop its record files")
    person.choose_files(day(names=("other-results.csv",)))
    expect(tab.get_by_role("table", name="Numbers")).to_contain_text("line 4, original binder")
    assert saved(tab, tab.get_by_role("link", name="The file as it came")) == day()[2].read_bytes()
    person.press("link", "Sample 101")
    follow(tab.get_by_role("link", name="results typed in"))
    expect(tab.get_by_role("heading", level=1)).to_have_text("other-results.csv")


def test_the_whole_way_can_be_gone_with_the_keyboard_alone(serve: Serve, tab: Page) -> None:
    to_certificate(ByKeyboard(tab), serve())


def test_the_whole_way_can_be_gone_without_script(serve: Serve, window: Window) -> None:
    plain_tab = window(java_script_enabled=False)
    person = Person(plain_tab)
    plain_tab.goto(serve())
    person.press("link", "Receive a sample")
    receive(person)
    person.press("link", "Drop its record files")
    person.choose_files(day())
    person.press("button", "Keep")
    plain_tab.wait_for_url("**/samples/S-000001")
    grade_and_write(person)
    person.press("button", "Release and issue")
    expect(plain_tab.get_by_text("This statement stands.")).to_be_visible()


def test_with_accounts_one_person_writes_and_another_releases(
    serve: Serve, tab: Page, window: Window, tmp_path: Path
) -> None:
    where = str(tmp_path / "laboratory.db")
    home = serve(record=where, signs_in=True)
    tab.goto(home)
    tab.get_by_label("Your name").fill("Ada Berg")
    tab.get_by_label("Name of your account").fill("ada")
    tab.get_by_label("Password needed", exact=True).fill(PASSWORD)
    tab.get_by_label("The same password again").fill(PASSWORD)
    follow(tab.get_by_role("button", name="Make the account"))
    links = {name: _invited(tab, home, name, roles) for name, roles in _PEOPLE.items()}
    _four_eyes(where)
    accept(page := window(), links["tove"], "tove", PASSWORD)
    person = Person(page)
    page.goto(f"{home}/samples/new")
    receive(person)
    person.press("link", "Drop its record files")
    person.choose_files(day())
    person.press("link", "Look at the sample")
    person.press("link", "Grade it")
    expect(page.get_by_text("graded by a person whose role allows it")).to_be_visible()
    accept(page := window(), links["sven"], "sven", PASSWORD)
    person = Person(page)
    page.goto(f"{home}/samples/S-000001")
    grade_and_write(person)
    expect(page.get_by_text("In this laboratory another person releases it.")).to_be_visible()
    expect(page.get_by_role("button", name="Release and issue")).to_have_count(0)
    accept(page := window(), links["nora"], "nora", PASSWORD)
    page.goto(f"{home}/statements/Z-000001")
    expect(page.get_by_text("It waits for a person who may release it")).to_be_visible()
    accept(page := window(), links["rolf"], "rolf", PASSWORD)
    person = Person(page)
    page.goto(home)
    person.press("link", "101-1")
    person.press("button", "Release and issue")
    expect(page.get_by_text("This statement stands.")).to_be_visible()
    expect(page.locator("main")).to_contain_text("Sven")
    follow(page.get_by_role("link", name="Where the numbers come from"))
    follow(page.get_by_role("link", name="288 °C").first)
    expect(page.get_by_role("table", name="Numbers")).to_contain_text("line 4")


def test_a_corrected_sample_and_run_show_what_changed_and_why(serve: Serve, tab: Page) -> None:
    home = serve()
    person = Person(tab)
    tab.goto(f"{home}/samples/new")
    receive(person)
    person.press("link", "Drop its record files")
    person.choose_files(day(names=("specimen-1.csv",)))
    follow(tab.get_by_role("link", name="Correct sample, residue or specimen"))
    assert_accessible(tab)
    expect(tab.locator("#condition")).to_have_value("short_term_aged")
    tab.fill("#specimen", "1")
    tab.fill("#reason", "the specimen was not named")
    follow(tab.get_by_role("button", name="Correct"))
    expect(tab.locator("main")).to_contain_text("revision 2: the specimen was not named")
    tab.goto(f"{home}/samples/S-000001/correct")
    tab.fill("#lot", "load 23")
    tab.fill("#reason", "the label was misread")
    follow(tab.get_by_role("button", name="Correct"))
    history = tab.get_by_role("region", name="What was corrected")
    expect(history).to_contain_text("the label was misread")
    expect(history).to_contain_text("load 23")


def test_the_pages_of_the_way_fit_a_narrow_screen(serve: Serve, tab: Page) -> None:
    home = serve()
    person = Person(tab)
    tab.set_viewport_size({"width": 360, "height": 800})
    tab.goto(f"{home}/samples/new")
    receive(person)
    assert_fits(tab)
    tab.goto(f"{home}/drop?sample=101")
    assert_fits(tab)
    for name in ("specimen-1.csv", "other-results.csv"):
        tab.goto(f"{home}/drop?sample=101")
        person.choose_files(day(names=(name,)))
        expect(tab.get_by_role("table", name="Numbers")).to_be_visible()
        assert_fits(tab)
    tab.goto(f"{home}/runs/R-000001/correct")
    assert_fits(tab)
    assert_accessible(tab)


_PEOPLE = {
    "tove": ("technician",),
    "sven": ("specialist", "releaser"),
    "nora": ("specialist",),
    "rolf": ("releaser",),
}


def _invited(tab: Page, home: str, name: str, roles: tuple[str, ...]) -> str:
    tab.goto(f"{home}/people")
    tab.fill("#name", name.title())
    tab.fill("#account", name)
    for role in roles:
        tab.check(f"#roles-{role}")
    follow(tab.get_by_role("button", name="Add and invite"))
    return tab.get_by_label("Link, to be used once").input_value()


def _four_eyes(where: str) -> None:
    record = LaboratoryRecord.open(where)
    with record.writing(by="P-TEST", at="2026-05-12T10:00:00.000Z") as book:
        book.keep(LaboratorySettings(name="Road Laboratory of Ambelund (invented)", four_eyes=True))
    record.close()
