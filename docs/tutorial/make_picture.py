"""Make the picture of the workbench that the tutorial and the README show.

Run ``python docs/tutorial/make_picture.py`` after the page of a file has changed; a Chromium is needed.
What it shows is invented: a sample of the demonstration, received in a record that is thrown away.
"""

from __future__ import annotations

import shutil
import socket
import tempfile
import threading
from pathlib import Path

import uvicorn
from playwright.sync_api import sync_playwright

from resile import write_demonstration
from resile.interfaces.web.app import make_app
from resile.interfaces.web.settings import WorkbenchSettings
from resile.records.determination import Condition
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.files.ingesting import RecordTold, keep_record
from resile.workflows.laboratory.samples.receiving import Arrival, receive_sample

PICTURE = Path(__file__).resolve().parent / "pictures" / "workbench.png"
AT = "2026-05-13T09:00:00.000Z"
FOLDER, FILE = "102-spring", "specimen-1.csv"


def kept_file(where: Path, day: Path) -> str:
    """Keep one record file of the demonstration, and give the address of its page."""
    record, actor = LaboratoryRecord.open(where), one_person()
    sample = receive_sample(record, actor, AT, Arrival(number="102", claimed_grade="64V", received=AT[:10]))
    data = (day / FOLDER / FILE).read_bytes()
    told = RecordTold(sample=sample.key, specimen="1", condition=Condition.SHORT_TERM_AGED)
    kept = keep_record(record, actor, AT, data, FILE, told)
    record.close()
    return f"/drop/{kept.file}"


def picture(home: str, address: str) -> None:
    """Photograph a page."""
    browser = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))))
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=browser, args=["--no-sandbox", "--disable-gpu"])
        page = opened.new_page(viewport={"width": 1100, "height": 1240})
        page.goto(home + address)
        page.wait_for_load_state("networkidle")
        PICTURE.parent.mkdir(exist_ok=True)
        page.screenshot(path=PICTURE)
        opened.close()


def main() -> None:
    """Make the picture anew."""
    with tempfile.TemporaryDirectory() as folder:
        day, where = Path(folder) / "day", Path(folder) / "laboratory.db"
        write_demonstration(day)
        address = kept_file(where, day)
        listening = socket.create_server(("127.0.0.1", 0))
        app = make_app(WorkbenchSettings(record=str(where)), clock=lambda: AT)
        server = uvicorn.Server(uvicorn.Config(app, log_level="warning", ws="none"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
        thread.start()
        try:
            picture(f"http://127.0.0.1:{listening.getsockname()[1]}", address)
        finally:
            server.should_exit = True
            thread.join()


if __name__ == "__main__":
    main()
