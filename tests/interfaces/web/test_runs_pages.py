"""The pages of runs, without script: findings first, picture, rows of the file, runs over each other."""

import hashlib
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from kept_runs import KeptRuns, creep_files, keep_runs
from resile.records.reading import HeldFile
from resile.records.register import Actor, Run


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> list[HeldFile]:
    return creep_files(tmp_path_factory.mktemp("demonstration"))


@pytest.fixture
def kept(client: TestClient, files: list[HeldFile]) -> KeptRuns:
    return keep_runs(client.app.state.record, files)  # type: ignore[attr-defined]


def page(client: TestClient, address: str, status: int = 200) -> str:
    answer = client.get(address)
    assert answer.status_code == status, answer.text
    return answer.text


def listed(text: str) -> list[str]:
    return re.findall(r'<td class="text[^"]*"[^>]*><a href="/runs/(R-\d+)">', text)


def test_the_list_shows_the_last_run_first_and_narrows_by_what_is_asked(
    client: TestClient, kept: KeptRuns
) -> None:
    every = [kept.unattached, kept.beam, *reversed(kept.creep)]
    assert listed(page(client, "/runs")) == every
    assert listed(page(client, "/runs?order=kept-first")) == every[::-1]
    assert listed(page(client, "/runs?test=bending_beam")) == [kept.beam]
    assert listed(page(client, f"/runs?sample={kept.other_sample}")) == [kept.creep[2]]
    assert listed(page(client, "/runs?since=2026-01-02&until=2026-01-03")) == [kept.creep[2], kept.creep[1]]
    assert listed(page(client, "/runs?order=tested-first&since=2026-01-04")) == [kept.beam, kept.unattached]
    assert "No run fits." in page(client, "/runs?test=oscillation")


def test_a_long_list_is_walked_page_by_page_without_missing_or_repeating_a_run(
    client: TestClient, kept: KeptRuns, files: list[HeldFile]
) -> None:
    for _ in range(12):
        keep_runs_again(client, files)
    for order in ("", "kept-first", "tested", "tested-first"):
        address: str | None = f"/runs?order={order}"
        seen: list[str] = []
        while address:
            text = page(client, address)
            seen += listed(text)
            found = re.search(r'rel="next" href="([^"]+)"', text)
            address = found[1].replace("&amp;", "&") if found else None
        assert len(seen) == len(set(seen)) == 5 + 12 * 5


def keep_runs_again(client: TestClient, files: list[HeldFile]) -> None:
    record = client.app.state.record  # type: ignore[attr-defined]
    with record.reading() as reading:
        five = [one.value for one in reading.find(Run, limit=5)]
    with record.writing(by="P-LOCAL", at="2026-01-06T08:00:00Z") as book:
        for one in five:
            book.keep(replace(one, note="again"))


def test_a_run_shows_findings_before_the_picture_and_all_it_hangs_on(
    client: TestClient, kept: KeptRuns, files: list[HeldFile]
) -> None:
    text = page(client, f"/runs/{kept.creep[0]}?cycle=7")
    order = [text.index(words) for words in ("Findings</h2>", "The run</h2>", "Values</h2>", "hangs on</h2>")]
    assert order == sorted(order)
    assert hashlib.sha256(files[0].content).hexdigest() in text
    assert f"/runs/{kept.creep[0]}/rows?cycle=7@3.2" in text
    assert 'value="7@3.2" selected' in text
    assert "1 at 0.1 kPa, conditioning" in text
    assert "Rheometer A" in text
    assert "How the file was read" in text
    assert f'name="keys" value="{kept.creep[1]}"' in text


def test_without_script_the_pictures_stand_as_drawings(client: TestClient, kept: KeptRuns) -> None:
    text = page(client, f"/runs/{kept.creep[0]}")
    for name in ("run", "cycle", "cycles"):
        address = re.search(rf'<img src="(/runs/[^"]+/{name}\.svg[^"]*)" alt="([^"]+)"', text)
        assert address is not None
        answer = client.get(address[1].replace("&amp;", "&"))
        assert answer.headers["content-type"].startswith("image/svg+xml")
        assert answer.text.startswith("<svg")


def test_the_picture_is_given_as_a_specification_of_the_part_asked_for(
    client: TestClient, kept: KeptRuns
) -> None:
    spec = client.get(f"/runs/{kept.creep[0]}/figures/run.json?from=150&until=240").json()
    assert spec["$schema"].startswith("https://vega.github.io/schema/vega-lite/")
    assert "150 to 200 s" in spec["description"]
    cycle = client.get(f"/runs/{kept.creep[0]}/figures/cycle.json?cycle=3@0.1").json()
    assert cycle["description"].startswith("Cycle 3 at 0.1 kPa")


def test_a_cycle_leads_to_the_very_lines_of_the_file(
    client: TestClient, kept: KeptRuns, files: list[HeldFile]
) -> None:
    text = page(client, f"/runs/{kept.creep[0]}/rows?cycle=7@3.2")
    assert "behind cycle 7 at 3.2 kPa" in text
    rows = re.findall(r'<tr class="inside[^"]*"><th scope="row">line (\d+)</th>(.*?)</tr>', text)
    assert len(rows) > 30
    lines = files[0].content.decode().splitlines()
    for number, cells in rows:
        printed = re.findall(r'<td class="number[^"]*">([^<]*)</td>', cells)
        assert printed == lines[int(number) - 1].split(",")
    marks = [re.search(r"</span> ([a-z ]+)</td>", cells) for _, cells in rows]
    assert [mark[1] for mark in marks if mark] == ["start of the cycle", "end of creep", "end of recovery"]


def test_the_rows_of_a_whole_run_come_in_parts(client: TestClient, kept: KeptRuns) -> None:
    text = page(client, f"/runs/{kept.creep[0]}/rows")
    assert text.count('<tr class="inside') == 500
    assert "Next rows" in text
    assert page(client, f"/runs/{kept.beam}/rows").count('<tr class="inside') == 6


def test_the_file_is_given_back_byte_for_byte_and_never_shown(
    client: TestClient, kept: KeptRuns, files: list[HeldFile]
) -> None:
    answer = client.get(f"/runs/{kept.creep[0]}/file")
    assert answer.content == files[0].content
    assert answer.headers["content-disposition"].startswith("attachment;")
    assert answer.headers["content-type"] == "application/octet-stream"


def test_the_cycles_can_be_saved_at_full_precision(client: TestClient, kept: KeptRuns) -> None:
    lines = client.get(f"/runs/{kept.creep[0]}/cycles.csv").text.splitlines()
    assert lines[0] == "stress_kpa,cycle,use,start_s,percent_recovery,jnr"
    assert len(lines) == 31
    assert lines[1].startswith("0.1,1,conditioning,0.0,")


def test_runs_are_laid_over_each_other_with_their_spread_and_a_choice_of_the_sample(
    client: TestClient, kept: KeptRuns
) -> None:
    keys = ",".join(kept.creep[:2])
    text = page(client, f"/runs/compare?keys={keys}&stress=0.1&place=3")
    assert "Repeatability limit (%)" in text
    assert re.search(r"<td class=\"text[^>]*>(within|beyond: repeat|no limit)</td>", text)
    assert "DNIT 423/2020-ME" in text
    assert text.count("checked") == 2
    spec = client.get(f"/runs/compare.json?keys={keys}&stress=0.1&place=3").json()
    assert spec["description"].startswith("Strain in evaluated cycle 3 at 0.1 kPa")
    assert client.get(f"/runs/compare.svg?keys={keys}").text.startswith("<svg")
    assert "Runs of sample 2026-101" in page(client, f"/runs/compare?sample={kept.sample}")


@pytest.mark.parametrize(
    ("address", "status", "said"),
    [
        ("/runs/R-009999", 404, "the record holds no run R-009999"),
        ("/runs/{0}?cycle=seven", 422, "is no cycle; a number is needed"),
        ("/runs/{0}/figures/cycle.json?cycle=99", 404, "the run has cycles 1 to 10 at this stress"),
        ("/runs/{0}/figures/spectrum.json", 404, "it has: run, cycle, cycles"),
        ("/runs/{0}?from=abc", 422, "is no number"),
        ("/runs/compare", 422, "choose two to six"),
        ("/runs/compare?keys={0}", 422, "two to 6 can be compared"),
        ("/runs/compare?keys={0},{3}", 422, "only creep-recovery runs"),
        ("/runs?order=tested&after=x", 422, "no place in this list"),
    ],
)
def test_what_cannot_be_shown_is_told_in_a_sentence(
    client: TestClient, kept: KeptRuns, address: str, status: int, said: str
) -> None:
    text = page(client, address.format(*kept.creep, kept.beam), status)
    assert said.casefold() in text.replace("&#39;", "'").casefold()


def test_a_customer_who_may_see_runs_sees_those_of_its_own_samples_alone(
    client: TestClient, kept: KeptRuns
) -> None:
    reader = Actor("P-000009", "A customer", frozenset({"samples.see", "runs.see"}), kept.customer)
    client.app.state.who = lambda request: reader  # type: ignore[attr-defined]
    assert listed(page(client, "/runs")) == [kept.creep[2]]
    assert page(client, f"/runs/{kept.creep[2]}")
    for address in ("", "/rows", "/file", "/cycles.csv", "/figures/run.json", "/figures/run.svg"):
        page(client, f"/runs/{kept.creep[0]}{address}", 403)
        page(client, f"/runs/{kept.unattached}{address}", 403)
    page(client, f"/runs/compare?keys={kept.creep[0]},{kept.creep[2]}", 403)
    page(client, f"/runs/compare?sample={kept.sample}", 403)
    assert kept.unattached not in page(client, f"/runs/{kept.creep[2]}")


def test_a_run_kept_twice_says_so(client: TestClient, kept: KeptRuns) -> None:
    text = page(client, f"/runs/{kept.creep[2]}")
    assert f"The same run of the same file is kept as {kept.unattached} too." in text


def test_a_beam_has_its_picture_and_the_way_to_its_rows(client: TestClient, kept: KeptRuns) -> None:
    text = page(client, f"/runs/{kept.beam}")
    assert "Bending beam" in text
    assert f"/runs/{kept.beam}/rows" in text
    assert (
        client.get(f"/runs/{kept.beam}/figures/run.json").json()["description"].startswith("Creep stiffness")
    )


def test_a_name_of_a_file_that_looks_like_markup_stays_text(
    workbench: Callable[..., TestClient], tmp_path: Path, files: list[HeldFile]
) -> None:
    client = workbench()
    wicked = HeldFile("<script>alert(1)</script>.csv", files[0].content)
    kept = keep_runs(client.app.state.record, [wicked, *files[1:]])  # type: ignore[attr-defined]
    for address in ("/runs", f"/runs/{kept.creep[0]}", f"/runs/{kept.creep[0]}/rows?cycle=7"):
        assert "<script>alert" not in page(client, address)
