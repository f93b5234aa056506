"""From a list of binders and a table of sites to a choice, its reasons and its next test."""

import csv
import io
import json
from dataclasses import replace
from pathlib import Path

import pytest

from resile.errors import FileFormatError, InputError, SpecificationError
from resile.records.choice import SiteNeed
from resile.records.prediction import Standing
from resile.workflows.choosing.task import Match, match_sites
from resile.workflows.demonstration import write_demonstration
from resile.workflows.judging.agreement import agree

AGREED = agree("m332-2020")
RESULTS = """\
sample,condition,temperature_c,quantity,value,unit
{name},original,,flash_point,280,°C
{name},original,135,rotational_viscosity,0.6,Pa·s
{name},short_term_aged,,mass_change_percent,-0.3,%
{name},original,64,rutting_parameter,{rutting},kPa
{name},short_term_aged,64,jnr_3.2,{jnr},1/kPa
{name},short_term_aged,64,jnr_difference_percent,20,%
{name},long_term_aged,25,fatigue_parameter,{fatigue},kPa
{name},long_term_aged,-12,creep_stiffness,{stiffness},MPa
{name},long_term_aged,-12,m_value,{m},
"""
PLAIN = {"rutting": 1.4, "jnr": 3.0, "fatigue": 2500, "stiffness": 180, "m": 0.340}
SPRING = {"rutting": 2.0, "jnr": 0.7, "fatigue": 2200, "stiffness": 150, "m": 0.350}


def a_range(folder: Path, **binders: tuple[dict[str, float], float]) -> Path:
    rows = ["binder,kind,price (crowns),results"]
    for name, (values, price) in binders.items():
        (folder / f"{name}.csv").write_text(RESULTS.format(name=name, **values), encoding="utf-8")
        rows.append(f"{name},unmodified,{price},{name}.csv")
    path = folder / "range.csv"
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path


def matched(folder: Path, *grades: str, **options: object) -> Match:
    needs = [SiteNeed(f"road {n}", grade, amount_t=100.0) for n, grade in enumerate(grades, 1)]
    path = a_range(folder, Plain=(PLAIN, 480.0), Spring=(SPRING, 600.0))
    return match_sites(needs, path, AGREED, **options)  # type: ignore[arg-type]


def test_the_cheapest_binder_that_is_tested_good_is_chosen(tmp_path: Path) -> None:
    choice = matched(tmp_path, "PG 64S-22", "PG 64V-22").choice
    assert choice.chosen == ("Plain", "Spring")
    assert choice.currency == "crowns"
    assert choice.unserved == ()


def test_a_binder_that_misses_the_class_falls_out_with_value_and_limit(tmp_path: Path) -> None:
    match = matched(tmp_path, "PG 64V-22")
    (plain,) = [o for o in match.choice.grades[0].offers if o.binder == "Plain"]
    assert plain.standing is Standing.MEASURED_FAIL
    (reason,) = [o["why_not"] for o in match.to_json()["grades"][0]["offers"] if o["binder"] == "Plain"]
    assert reason == "misses Jnr3.2 at 64 °C: 3.00 measured, at most 1.0 1/kPa"


def test_a_harder_label_serves_a_milder_site_and_is_named(tmp_path: Path) -> None:
    choice = matched(tmp_path, "PG 58S-22").choice
    assert choice.chosen == ("Plain",)
    assert choice.grades[0].offers[0].under in ("PG 58S-22", "PG 64S-22")


def test_hotter_than_tested_is_expected_with_a_probability_and_a_test_is_named(tmp_path: Path) -> None:
    """Spring, 64V with 0.7: at 70 °C a class milder is in question, and a test there settles it."""
    choice = matched(tmp_path, "PG 70S-22", required_probability=0.5).choice
    spring = next(o for o in choice.grades[0].offers if o.binder == "Spring")
    assert spring.standing in (Standing.PREDICTED_PASS, Standing.PREDICTED_FAIL)
    assert 0.0 < spring.counted_probability < 1.0


def test_the_next_test_is_on_the_cheaper_binder_that_is_in_doubt(tmp_path: Path) -> None:
    sure = {**SPRING, "rutting": 3.6}
    doubtful = {**PLAIN, "rutting": 2.15, "jnr": 1.9}
    path = a_range(tmp_path, Cheap=(doubtful, 480.0), Dear=({**sure, "jnr": 0.2}, 700.0))
    need = SiteNeed("hot road", "PG 70S-22", amount_t=100.0)
    choice = match_sites([need], path, AGREED, required_probability=0.9).choice
    offers = {o.binder: o for o in choice.grades[0].offers}
    assert 0.0 < offers["Cheap"].counted_probability < 0.9
    assert not choice.next_tests or choice.next_tests[0].binder == "Cheap"
    for one in choice.next_tests:
        assert one.expected_saving <= 100.0 * 220.0 + 1e-6


def test_what_was_not_tested_at_all_is_never_a_yes(tmp_path: Path) -> None:
    path = a_range(tmp_path, Plain=(PLAIN, 480.0))
    text = (tmp_path / "Plain.csv").read_text(encoding="utf-8")
    kept = [line for line in text.splitlines() if "flash_point" not in line]
    (tmp_path / "Plain.csv").write_text("\n".join(kept), encoding="utf-8")
    match = match_sites([SiteNeed("road", "PG 64S-22")], path, AGREED)
    (offer,) = match.choice.grades[0].offers
    assert offer.standing is Standing.UNKNOWN
    assert not offer.serves
    assert "not tested: flash point" in match.to_json()["grades"][0]["offers"][0]["why_not"]
    assert match.choice.unserved == ("road",)


def test_measured_results_count_as_judged_or_with_their_uncertainty(tmp_path: Path) -> None:
    near = {**PLAIN, "m": 0.301}
    path = a_range(tmp_path, Near=(near, 480.0))
    need = [SiteNeed("road", "PG 64S-22")]
    assert match_sites(need, path, AGREED).choice.chosen == ("Near",)
    strict = match_sites(need, path, AGREED, measured_with_uncertainty=True).choice
    assert strict.chosen == ("",)
    assert strict.grades[0].offers[0].counted_probability < 0.95


def test_a_binder_that_cannot_be_had_gives_way_to_the_next(tmp_path: Path) -> None:
    assert matched(tmp_path, "PG 64S-22", without=["plain"]).choice.chosen == ("Spring",)
    assert matched(tmp_path, "PG 64S-22", prices={"Spring": 400.0}).choice.chosen == ("Spring",)
    with pytest.raises(InputError, match=r"binder 'Pain' is not in the range; there are Plain, Spring"):
        matched(tmp_path, "PG 64S-22", without=["Pain"])


def test_the_fewest_products_and_what_they_cost_more_are_told(tmp_path: Path) -> None:
    plans = matched(tmp_path, "PG 64S-22", "PG 64V-22").choice.plans
    assert [plan.binders for plan in plans] == [("Spring",), ("Plain", "Spring")]
    assert plans[0].cost - plans[1].cost == pytest.approx(100.0 * 120.0)
    assert all(plan.proven for plan in plans)


def test_what_if_tells_sites_lost_and_cost_gained(tmp_path: Path) -> None:
    told = {one.change: one for one in matched(tmp_path, "PG 64S-22", "PG 64V-22").choice.suppositions}
    assert told["Plain not to be had"].cost_change == pytest.approx(12_000.0)
    assert told["Spring not to be had"].served == 1
    assert told["Plain 10 % dearer"].switched == 0


def test_a_site_without_a_grade_is_served_by_nobody(tmp_path: Path) -> None:
    choice = matched(tmp_path, "PG 64S-22", "").choice
    assert choice.chosen == ("Plain", "")
    assert choice.unserved == ("road 2",)


@pytest.mark.parametrize(
    ("grade", "words"),
    [("PG 63S-22", "no such grade"), ("64S", "has no low end"), ("PG 64-22", "no such grade")],
)
def test_a_grade_that_is_not_there_is_refused_with_the_site(tmp_path: Path, grade: str, words: str) -> None:
    with pytest.raises(InputError, match=f"site road 1: .*{words}"):
        matched(tmp_path, grade)


def test_a_specification_without_a_low_end_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="needs a specification with whole grades"):
        match_sites([], a_range(tmp_path, Plain=(PLAIN, 480.0)), agree("mp19-2010"))


def test_the_files_hold_the_same_choice(tmp_path: Path) -> None:
    match = matched(tmp_path, "PG 64S-22", "PG 82E-34")
    placed = replace(match.choice.sites[0], latitude_deg=-41.5, longitude_deg=174.25)
    match = replace(match, choice=replace(match.choice, sites=(placed, match.choice.sites[1])))
    files = match.write(tmp_path / "out", date="2026-05-13")
    assert {path.suffix for path in files} == {".html", ".pdf", ".xlsx", ".csv", ".json", ".geojson", ".svg"}
    text = (tmp_path / "out" / "choice.csv").read_text(encoding="utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text)))
    assert [(row["site"], row["binder"], row["rank"]) for row in rows] == [
        ("road 1", "Plain", "1"),
        ("road 1", "Spring", "2"),
        ("road 2", "", ""),
    ]
    geo = json.loads((tmp_path / "out" / "choice.geojson").read_text(encoding="utf-8"))
    assert [f["geometry"]["coordinates"] for f in geo["features"]] == [[174.25, -41.5]]
    page = (tmp_path / "out" / "choice.html").read_text(encoding="utf-8")
    assert "always test, do not scale" in page
    assert "<script" not in page
    assert "Signatures" not in page


def test_a_range_in_toml_holds_its_results_itself(tmp_path: Path) -> None:
    path = tmp_path / "range.toml"
    path.write_text(
        'title = "Invented range"\ncurrency = "crowns"\n[[binder]]\nname = "Plain"\nprice_per_tonne = 480\n'
        '[[binder.result]]\nquantity = "flash_point"\nvalue = 280\n',
        encoding="utf-8",
    )
    match = match_sites([SiteNeed("road", "PG 64S-22")], path, AGREED)
    assert match.banner == "Invented for demonstration"
    assert match.choice.unserved == ("road",)


@pytest.mark.parametrize(
    ("text", "error", "words"),
    [
        ("", FileFormatError, "empty"),
        ("a,b\n1,2\n", FileFormatError, "no row of headings"),
        ("binder,price\nA,cheap\n", FileFormatError, "price_per_tonne is 'cheap'"),
        ("binder,price\nA,-5\n", FileFormatError, "price_per_tonne is '-5'"),
        ("binder,price\n,5\n", FileFormatError, "names no binder"),
        ("binder,price\nA,5\nA,6\n", FileFormatError, "stands twice"),
        ("binder,price,cost\n", FileFormatError, "no row below"),
        ("binder,kind\nA,strange\n", FileFormatError, "kind of binder is 'strange'"),
    ],
)
def test_a_faulty_list_is_refused_with_its_line(
    tmp_path: Path, text: str, error: type[Exception], words: str
) -> None:
    path = tmp_path / "range.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(error, match=words):
        match_sites([], path, AGREED)


def test_a_misspelt_key_of_a_toml_range_is_named(tmp_path: Path) -> None:
    path = tmp_path / "range.toml"
    path.write_text('[[binder]]\nname = "A"\nprize_per_tonne = 3\n', encoding="utf-8")
    with pytest.raises(SpecificationError, match=r"prize_per_tonne.*perhaps 'price_per_tonne'"):
        match_sites([], path, AGREED)


@pytest.fixture(scope="module")
def roads(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demonstration")
    write_demonstration(folder)
    return folder / "roads"


def test_weather_files_sites_and_range_give_demand_sheets_map_and_match_in_one_go(
    roads: Path, tmp_path: Path
) -> None:
    match = match_sites(roads / "sites.csv", roads / "range.csv", AGREED)
    choice = match.choice
    assert len(choice.sites) == 20
    assert choice.unserved == ()
    assert len(choice.next_tests) >= 1
    assert match.demands is not None
    assert match.demands.errors == ()
    assert match.banner == "Invented for demonstration"
    begins = {site.name: site.demand.climate.year_begins for site in choice.sites if site.demand}
    assert begins["Red Plain highway"] == "1 July"
    assert begins["Tarn pass"] == "1 January"
    names = {Path(source.path).name for source in match.sources}
    assert {"sites.csv", "range.csv", "results.csv", "far-north.csv", "red-plain.csv"} <= names
    for site in choice.sites:
        assert site.demand is not None
        assert site.grade == site.demand.grade
        assert site.demand.reasons


def test_a_road_that_cannot_be_answered_is_named_and_stops_no_other(roads: Path) -> None:
    text = (
        (roads / "sites.csv").read_text(encoding="utf-8").replace("weather/southmoor.csv", "weather/gone.csv")
    )
    table = roads / "sites-with-a-gap.csv"
    table.write_text(text, encoding="utf-8")
    choice = match_sites(table, roads / "range.csv", AGREED).choice
    assert choice.unserved == ("Southmoor bypass", "Southmoor market")
    assert [f.code for f in choice.findings].count("site-without-demand") == 2


def test_a_stated_grade_is_kept_beside_sites_that_are_worked_out(roads: Path) -> None:
    lines = (roads / "sites.csv").read_text(encoding="utf-8").splitlines()
    table = roads / "some-stated.csv"
    rows = [lines[1] + ",grade", lines[2] + ",PG 70E-28", lines[3] + ","]
    table.write_text("\n".join(rows) + "\n", encoding="utf-8")
    choice = match_sites(table, roads / "range.csv", AGREED).choice
    assert choice.sites[0].grade == "PG 70E-28"
    assert choice.sites[0].demand is None
    assert choice.sites[1].demand is not None


def test_two_roads_of_one_name_each_keep_their_own_demand(tmp_path: Path) -> None:
    """Means typed for a hot and a cold place; by hand they cannot share a grade."""
    table = tmp_path / "sites.csv"
    table.write_text(
        "site,latitude,high mean c,high sd c,low mean c,low sd c,traffic,speed\n"
        "Ring road,30,40,1,2,2,1,90\nRing road,50,26,1,-30,2,1,90\n",
        encoding="utf-8",
    )
    choice = match_sites(table, a_range(tmp_path, plain=(PLAIN, 480.0)), AGREED).choice
    assert [site.latitude_deg for site in choice.sites] == [30.0, 50.0]
    # FHWA-RD-97-103 at 98 %, by hand, hot ends: 54.32+31.2-2.25-25.03+6.37 = 64.6;
    # 54.32+20.28-6.25-25.03+6.37 = 49.7.
    assert [site.grade for site in choice.sites] == ["PG 70S-10", "PG 52S-34"]


def test_a_range_and_its_sites_may_be_workbooks_or_toml(tmp_path: Path) -> None:
    import xlsxwriter

    plain = a_range(tmp_path, plain=(PLAIN, 480.0), spring=(SPRING, 600.0))
    rows = list(csv.reader(io.StringIO(plain.read_text(encoding="utf-8"))))
    with xlsxwriter.Workbook(str(tmp_path / "range.xlsx")) as book:
        sheet = book.add_worksheet("Products")
        sheet.write_string(0, 0, "# prices of an invented spring")
        for number, row in enumerate(rows, start=1):
            sheet.write_row(
                number, 0, [float(cell) if cell.replace(".", "").isdigit() else cell for cell in row]
            )
    with xlsxwriter.Workbook(str(tmp_path / "sites.xlsx")) as book:
        sheet = book.add_worksheet()
        sheet.write_row(0, 0, ("site", "grade", "tonnes"))
        sheet.write_row(1, 0, ("Alder road", "PG 64S-22", 120.0))
        sheet.write_row(2, 0, ("Kestrel bridge", "PG 64V-22", 40.0))
    (tmp_path / "sites.toml").write_text(
        '[[site]]\nname = "Alder road"\ngrade = "64S-22"\namount_t = 120\n'
        '[[site]]\nname = "Kestrel bridge"\ngrade = "64V-22"\namount_t = 40\n',
        encoding="utf-8",
    )
    for sites in ("sites.xlsx", "sites.toml"):
        choice = match_sites(tmp_path / sites, tmp_path / "range.xlsx", AGREED).choice
        assert choice.chosen == ("plain", "spring")
        assert [site.amount_t for site in choice.sites] == [120.0, 40.0]
        assert choice.currency == "crowns"


def test_sites_that_together_take_more_than_the_stock_are_told(tmp_path: Path) -> None:
    binders = a_range(tmp_path, plain=(PLAIN, 480.0))
    text = binders.read_text(encoding="utf-8").replace(",results\n", ",results,stock\n")
    binders.write_text(text.replace("plain.csv", "plain.csv,100") + "\n", encoding="utf-8")

    def stocks(amounts: tuple[float, float]) -> list[str]:
        needs = [SiteNeed(f"road {n}", "64S-22", amount_t=amount) for n, amount in enumerate(amounts)]
        found = match_sites(needs, binders, AGREED).choice.findings
        return [finding.message for finding in found if finding.code == "stock-short"]

    assert stocks((60.0, 40.0)) == []
    (told,) = stocks((60.0, 41.0))
    assert "plain: 101 t asked for, 100 t in stock" in told


def test_cautions_of_the_demands_stand_with_the_choice_each_once(roads: Path) -> None:
    choice = match_sites(roads / "sites.csv", roads / "range.csv", AGREED).choice
    codes = [finding.code for finding in choice.findings]
    on_sheets = {
        finding.code
        for site in choice.sites
        if site.demand is not None
        for finding in site.demand.findings
        if finding.severity != "note"
    }
    assert on_sheets
    assert on_sheets <= set(codes)
    assert all(codes.count(code) == 1 for code in on_sheets)
