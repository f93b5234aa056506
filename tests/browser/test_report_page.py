"""The report page in a real browser: it fits every width and asks for nothing from outside."""

import json
import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from resile.workflows.demonstration import DATE_OF_ISSUE, write_demonstration
from resile.workflows.ordering import report_order

BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
REQUIRED = os.environ.get("RESILE_REQUIRE_BROWSER") == "1"
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--allow-file-access-from-files",
    "--virtual-time-budget=4000",
]

HARNESS = """<!doctype html><meta charset="utf-8"><title>harness</title>
<iframe id="page" src="{page}" style="border:0;width:{width}px;height:900px"></iframe><pre id="told"></pre>
<script>
document.getElementById("page").addEventListener("load", function () {{
  const inside = this.contentDocument, root = inside.documentElement;
  const wide = [...inside.querySelectorAll("body *")]
    .filter(e => e.getBoundingClientRect().right > root.clientWidth + 1 && !e.closest("svg, table"))
    .map(e => e.tagName + "." + e.className);
  document.getElementById("told").textContent = "TOLD" + JSON.stringify(
    {{scroll: root.scrollWidth, client: root.clientWidth, wide: wide.slice(0, 5),
      heading: inside.querySelectorAll("h1").length,
      unnamed: [...inside.querySelectorAll("svg")]
        .filter(s => !s.getAttribute("aria-label") && !s.closest("[aria-hidden]")).length}}) + "END";
}});
</script>"""


@pytest.fixture(scope="session")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    if BROWSER is None:
        if REQUIRED:
            pytest.fail("a browser is required here, and none is installed")
        pytest.skip("no chromium is installed")
    folder = tmp_path_factory.mktemp("day")
    orders = [path for path in write_demonstration(folder) if path.name == "order.toml"]
    order = next(path for path in orders if path.parent.name.startswith("102"))
    written = report_order(order, date=DATE_OF_ISSUE).write(folder)
    return next(path for path in written if path.suffix == ".html")


@pytest.mark.parametrize("width", [360, 768, 1280])
def test_the_page_fits_the_width_without_scrolling_sideways(page: Path, width: int, tmp_path: Path) -> None:
    harness = tmp_path / "harness.html"
    harness.write_text(HARNESS.format(page=page.as_uri(), width=width), encoding="utf-8")
    assert BROWSER is not None
    done = subprocess.run(
        [BROWSER, *FLAGS, f"--user-data-dir={tmp_path / 'profile'}", "--dump-dom", harness.as_uri()],
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=120,
        check=True,
    )
    found = re.search("TOLD(.*?)END</pre>", done.stdout)
    assert found, done.stdout[-500:]
    told = json.loads(found.group(1).replace("&quot;", '"'))
    assert told["scroll"] <= told["client"], told["wide"]
    assert told["heading"] == 1
    assert told["unnamed"] == 0


def test_the_page_asks_for_nothing_from_outside(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    assert "<script" not in text
    outside = re.findall(r'(?:src|href)="(?!#|data:)[^"]*"|url\((?!["\']?(?:#|data:))[^)]*\)', text)
    assert outside == []
