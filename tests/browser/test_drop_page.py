"""A technician drops files: by dragging, by choosing; fixes a column, attaches, sees numbers."""

import base64
from collections.abc import Callable

from playwright.sync_api import Page, expect

from bench_files import creep_record
from browser.accessibility import assert_accessible
from browser.going import follow

Serve = Callable[..., str]
DRAG = """([name, content]) => {
  const bytes = Uint8Array.from(atob(content), (sign) => sign.charCodeAt(0));
  const carried = new DataTransfer();
  carried.items.add(new File([bytes], name, { type: "text/csv" }));
  const target = document.querySelector("main");
  for (const kind of ["dragenter", "dragover", "drop"])
    target.dispatchEvent(new DragEvent(kind, { dataTransfer: carried, bubbles: true, cancelable: true }));
}"""


def drag(tab: Page, name: str, data: bytes) -> None:
    tab.evaluate(DRAG, [name, base64.b64encode(data).decode()])


def choose(tab: Page, name: str, data: bytes) -> None:
    tab.set_input_files("#files", {"name": name, "mimeType": "text/csv", "buffer": data})


def test_a_file_dragged_onto_the_page_is_kept_attached_and_its_numbers_seen(tab: Page, serve: Serve) -> None:
    home = serve()
    tab.goto(f"{home}/drop")
    with tab.expect_navigation():
        drag(tab, "run-07.csv", creep_record())
    expect(tab.get_by_role("heading", name="run-07.csv")).to_be_visible()
    expect(tab.get_by_role("table", name="Numbers")).to_contain_text("1/kPa")
    tab.fill("#sample", "26-101")
    tab.fill("#specimen", "1")
    tab.select_option("#condition", "short_term_aged")
    tab.get_by_label("This is a new sample").check()
    follow(tab.get_by_role("button", name="Attach"))
    expect(tab.get_by_role("status")).to_contain_text("Attached.")
    expect(tab.get_by_role("link", name="Sample 26-101")).to_be_visible()
    assert_accessible(tab)


def test_a_file_dragged_onto_any_other_page_is_kept_and_the_page_stays(tab: Page, serve: Serve) -> None:
    home = serve()
    tab.goto(f"{home}/samples/new")
    tab.fill("#number", "26-102")
    drag(tab, "run-08.csv", creep_record(8))
    files = tab.get_by_role("region", name="Files on their way")
    expect(files).to_contain_text("run-08.csv is kept: 1 run.")
    expect(files.get_by_role("link", name="Open")).to_be_visible()
    expect(tab.locator("#number")).to_have_value("26-102")


def test_several_files_are_told_one_by_one_and_a_wrong_one_stops_nobody(tab: Page, serve: Serve) -> None:
    tab.goto(f"{serve()}/drop")
    tab.set_input_files(
        "#files",
        [
            {"name": "empty.csv", "mimeType": "text/csv", "buffer": b""},
            {"name": "good.csv", "mimeType": "text/csv", "buffer": creep_record()},
        ],
    )
    files = tab.get_by_role("region", name="Files on their way")
    expect(files).to_contain_text("empty.csv: the file is empty")
    expect(files).to_contain_text("good.csv is kept: 1 run.")


def test_a_column_is_clicked_named_previewed_and_kept_by_keyboard_and_mouse(tab: Page, serve: Serve) -> None:
    home = serve()
    tab.goto(f"{home}/drop")
    with tab.expect_navigation():
        choose(tab, "strange.csv", creep_record(3, headings=("q1", "q2", "q3", "q4")))
    follow(tab.get_by_role("link", name="Fix the reading"))
    tab.locator('td[data-column="3"]').first.click()
    expect(tab.locator("#quantity-3")).to_be_focused()
    for column, (quantity, unit) in enumerate(
        (("time_s", "s"), ("stress_kpa", "kPa"), ("strain", "%"), ("temperature_c", "°C")), start=1
    ):
        tab.select_option(f"#quantity-{column}", quantity)
        tab.select_option(f"#unit-{column}", unit)
    assert_accessible(tab)
    follow(tab.get_by_role("button", name="Preview"), key="Enter")
    expect(tab.locator("main")).to_contain_text("Read this way: creep recovery")
    tab.fill("#name", "Rheometer 2")
    follow(tab.get_by_role("button", name="Read and keep"))
    expect(tab.get_by_role("table", name="Numbers")).to_be_visible()
    tab.goto(f"{home}/drop")
    with tab.expect_navigation():
        choose(tab, "next.csv", creep_record(4, headings=("q1", "q2", "q3", "q4")))
    expect(tab.get_by_role("table", name="Numbers")).to_be_visible()


def test_the_list_and_the_forms_of_samples_can_be_used_by_everybody(tab: Page, serve: Serve) -> None:
    home = serve()
    for address in ("/samples", "/samples/new", "/drop"):
        tab.goto(f"{home}{address}")
        assert_accessible(tab)
