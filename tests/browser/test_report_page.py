"""The report page in a real browser: it fits every width and asks for nothing from outside."""

import re
from pathlib import Path

import pytest

from browser.conftest import Window
from resile.workflows.demonstration import DATE_OF_ISSUE, write_demonstration
from resile.workflows.orders.ordering import report_order
from resile.workflows.orders.pages import write_run_pages
from resile.workflows.reducing.reduction import reduce_record

LOOKED_AT = """() => {
  const root = document.documentElement;
  const wide = [...document.querySelectorAll("body *")]
    .filter(e => e.getBoundingClientRect().right > root.clientWidth + 1 && !e.closest("svg, table"))
    .map(e => e.tagName + "." + e.className);
  const unnamed = [...document.querySelectorAll("svg")]
    .filter(s => !s.getAttribute("aria-label") && !s.closest("[aria-hidden]"));
  return {scroll: root.scrollWidth, client: root.clientWidth, wide: wide.slice(0, 5),
    heading: document.querySelectorAll("h1").length, unnamed: unnamed.length};
}"""


MACHINE_RECORDS = {
    "beam-1.csv": "temperature: -12 °C\nTime (s),Load (mN),Deflection (mm)\n"
    "8,980,0.20320\n15,980,0.23964\n30,980,0.29089\n60,980,0.35754\n120,980,0.44501\n240,980,0.56085\n",
    "viscosity.csv": "temperature (°C),viscosity (Pa·s),torque (%)\n135,0.400,40\n165,0.110,22\n",
    "oscillation.csv": "frequency: 10 rad/s\ntemperature (°C),G* (kPa),δ (°)\n58,3.2,83\n64,1.5,85\n",
}


@pytest.fixture(scope="session")
def page_of_four_tests(page: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("four")
    for name, text in MACHINE_RECORDS.items():
        (folder / name).write_text(text, encoding="utf-8")
    (folder / "beam-2.csv").write_text(
        MACHINE_RECORDS["beam-1.csv"].replace("0.35754", "0.36"), encoding="utf-8"
    )
    creep = sorted((page.parent / "102-spring").glob("specimen-1.*"))[0]
    files = [creep, *sorted(folder.glob("*.csv"))]
    reductions = [reduce_record(path) for path in files]
    (written,) = write_run_pages(reductions, [folder / "four.html"], date=DATE_OF_ISSUE)
    text = written.read_text(encoding="utf-8")
    for title in ("Oscillation", "Bending beam at −12.0 °C", "Rotational viscosity"):
        assert title in text
    return written


@pytest.fixture(scope="session")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("day")
    orders = [path for path in write_demonstration(folder) if path.name == "order.toml"]
    order = next(path for path in orders if path.parent.name.startswith("102"))
    written = report_order(order, date=DATE_OF_ISSUE).write(folder)
    return next(path for path in written if path.suffix == ".html")


@pytest.mark.parametrize("width", [360, 768, 1280])
@pytest.mark.parametrize("kind", ["page", "page_of_four_tests"])
def test_the_page_fits_the_width_without_scrolling_sideways(
    kind: str, width: int, window: Window, request: pytest.FixtureRequest
) -> None:
    page: Path = request.getfixturevalue(kind)
    tab = window(viewport={"width": width, "height": 900})
    tab.goto(page.as_uri())
    seen = tab.evaluate(LOOKED_AT)
    assert seen["client"] == width
    assert seen["scroll"] <= seen["client"], seen["wide"]
    assert seen["heading"] == 1
    assert seen["unnamed"] == 0


def test_the_page_asks_for_nothing_from_outside(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    assert "<script" not in text
    outside = re.findall(r'(?:src|href)="(?!#|data:)[^"]*"|url\((?!["\']?(?:#|data:))[^)]*\)', text)
    assert outside == []
