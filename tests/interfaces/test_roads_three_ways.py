"""The same numbers from Python, the command line and the laboratory's record."""

import json
from pathlib import Path

from invented_roads import table_of_binders, table_of_sites
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.choosing.task import match_sites
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.offer.matching import MatchQuestion, match_kept
from resile.workflows.laboratory.offer.ranges import keep_range
from resile.workflows.laboratory.offer.sites import keep_sites
from resile.workflows.laboratory.offer.sites_seen import site_of
from resile.workflows.sites.site_demands import site_demands

AT = "2026-06-30T08:00:00.000Z"


def laid_out(folder: Path) -> tuple[Path, Path]:
    roads, binders = table_of_sites(), table_of_binders()
    (folder / "weather").mkdir()
    for file in roads.beside:
        (folder / "weather" / file.name).write_bytes(file.content)
    for file in (roads, binders, *binders.beside):
        (folder / file.name).write_bytes(file.content)
    return folder / roads.name, folder / binders.name


def test_demand_and_match_are_the_same_three_ways(run, tmp_path: Path) -> None:
    roads, binders = laid_out(tmp_path)
    actor = one_person()
    record = LaboratoryRecord.open(tmp_path / "laboratory.db")
    kept, _ = keep_sites(record, actor, AT, table_of_sites())
    offered = keep_range(record, actor, AT, table_of_binders())
    by_record = {one.value.name: site_of(record, actor, one.key).report.to_json() for one in kept}
    by_python = {one.demand.site.name: one.to_json() for one in site_demands(roads).reports}
    code, out, _ = run("demand", roads, "--json")
    assert code == 0
    by_command = {one["site"]: one for one in json.loads(out)["sites"]}
    for name, told in by_command.items():
        for one in (by_record[name], by_python[name]):
            same = json.loads(json.dumps(one))
            assert {k: v for k, v in same.items() if k != "source"} == {
                k: v for k, v in told.items() if k != "source"
            }, name
            assert same["source"]["sha256"] == told["source"]["sha256"]
    code, out, _ = run("match", roads, binders, "--json")
    assert code in (0, 1)
    told = json.loads(out)
    found = match_kept(record, actor, MatchQuestion(offered.key)).match.to_json()
    files = match_sites(roads, binders).to_json()
    for key in ("grades", "labels", "plans", "next_tests", "suppositions", "unserved"):
        assert json.loads(json.dumps(found[key])) == told[key] == json.loads(json.dumps(files[key])), key
    record.close()
