"""A blend book: shares and results in whatever table they stand, and every error told at once."""

from pathlib import Path

import pytest
import xlsxwriter
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from resile.errors import FileFormatError, RecordNotFoundError, ResileError, SpecificationError
from resile.readers.blends.book import read_blend_book
from resile.records.blending.book import BlendBook
from resile.records.determination import Condition
from resile.records.reading import HeldFile

BOOK = """
title = "Invented for a test"
invented = true
currency = "EUR"
shares = "shares.csv"
results = ["results.csv"]

[[component]]
name = "Soft base"
kind = "base"
price_per_tonne = 430

[[component]]
name = "Hard base"
kind = "base"
price_per_tonne = 455
stock_t = 300
highest_percent = 60

[[component]]
name = "Concentrate (in soft)"
kind = "SBS concentrate"
price_per_tonne = 1100
polymer_percent = 12
highest_percent = 45
highest_handling_c = 180

[aim]
specification = "m332-2014"
grade = "PG 64H-22"

[[limit]]
quantity = "rotational_viscosity"
condition = "original"
temperature_c = 135
maximum = 2.0

[plant]
tank_kg = 24000
increment_kg = 20
"""
SHARES = """blend,Soft base [%],Hard base [%],Concentrate (in soft)
B1,70,30,0
B2,50,20,30
B3,40,33.3,26.6
"""
RESULTS = """sample,condition,temperature_c,quantity,value,unit
B1,RTFO,64,jnr_3.2,3.1,1/kPa
B2,RTFO,64,jnr_3.2,0.9,1/kPa
Hard base,RTFO,64,jnr_3.2,1.6,1/kPa
"""


def write_book(folder: Path, **texts: str) -> Path:
    """Write the book and its tables; a text replaces the usual one."""
    files = {"book.toml": BOOK, "shares.csv": SHARES, "results.csv": RESULTS}
    files |= {name.replace("_csv", ".csv").replace("_toml", ".toml"): text for name, text in texts.items()}
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder / "book.toml"


def refusal(folder: Path, **texts: str) -> str:
    with pytest.raises(ResileError) as refused:
        read_blend_book(write_book(folder, **texts))
    return str(refused.value)


def test_a_book_gives_components_trials_and_aim_in_its_own_order(tmp_path: Path) -> None:
    book = read_blend_book(write_book(tmp_path))

    assert [component.name for component in book.components] == [
        "Soft base",
        "Hard base",
        "Concentrate (in soft)",
    ]
    assert book.components[2].kind == "polymer_concentrate"
    assert book.trials[1].percent == {"Soft base": 50.0, "Hard base": 20.0, "Concentrate (in soft)": 30.0}
    assert book.trials[0].percent == {"Soft base": 70.0, "Hard base": 30.0}
    assert [d.value for d in book.trials[1].determinations] == [0.9]
    assert [d.value for d in book.components[1].determinations] == [1.6]
    assert book.aim.limits[0].response.condition is Condition.ORIGINAL
    assert (book.aim.limits[0].bound, book.aim.limits[0].value) == ("maximum", 2.0)
    assert (book.aim.tank_kg, book.aim.increment_kg, book.invented) == (24000.0, 20.0, True)
    assert {Path(source.path).name for source in book.sources} == {"book.toml", "shares.csv", "results.csv"}


def test_shares_that_miss_a_hundred_by_rounding_are_scaled_and_it_is_told(tmp_path: Path) -> None:
    book = read_blend_book(write_book(tmp_path))

    assert sum(book.trials[2].percent.values()) == pytest.approx(100.0, abs=1e-12)
    assert any("scaled to 100: B3" in remark for remark in book.remarks)
    assert any(finding.code == "trial-without-results" for finding in book.findings)


@pytest.mark.parametrize(
    ("heading", "first", "told"),
    [
        ("blend,Soft base,Hard base,Concentrate (in soft)", "B1,0.7,0.3,0", "ratios were multiplied by 100"),
        ("blend,Soft base [ratio],Hard base [ratio],Concentrate", "B1,0.7,0.3,0", "multiplied by 100"),
        ("blend,Soft base [g],Hard base [g],Concentrate", "B1,350,150,0", "masses were divided by their sum"),
    ],
)
def test_ratios_and_masses_become_percent_and_it_is_told(
    tmp_path: Path, heading: str, first: str, told: str
) -> None:
    book = read_blend_book(write_book(tmp_path, shares_csv=f"{heading}\n{first}\n"))

    assert book.trials[0].percent == pytest.approx({"Soft base": 70.0, "Hard base": 30.0})
    assert any(told in remark for remark in book.remarks)


def test_ratios_under_a_percent_sign_are_refused(tmp_path: Path) -> None:
    text = "blend,Soft base [%],Hard base [%]\nB1,0.7,0.3\n"

    assert "line 2, blend 'B1': the shares add up to 1; needed is percent" not in refusal(
        tmp_path, shares_csv=SHARES.replace("B1,70", "B1,60")
    )
    assert "line 2, blend 'B1': the shares add up to 1; needed is percent" in refusal(
        tmp_path, shares_csv=text
    )


def test_everything_that_is_wrong_is_told_at_once(tmp_path: Path) -> None:
    shares = "blend,Soft base,Hard bse,Concentrate\nB1,70,30,0\nB2,x,50,50\nB3,-5,60,45\n"
    book = BOOK.replace("maximum = 2.0", "").replace("[aim]", '[aim]\ntoday_percent = { "Sotf base" = 100 }')

    told = refusal(tmp_path, shares_csv=shares, book_toml=book)

    assert "line 2, blend 'B1': the shares add up to 70 %" in told
    assert "columns that are no component: 'Hard bse'" in told
    assert "line 3: 'x' under Soft base" in told
    assert "line 4: '-5' under Soft base" in told
    assert "there is no component 'Sotf base' (perhaps 'Soft base'" in told
    assert "limit 1 (rotational_viscosity): needed is one of 'maximum' and 'minimum'" in told


@pytest.mark.parametrize(
    ("old", "new", "error", "told"),
    [
        ('kind = "base"', 'kind = "bas"', SpecificationError, "known are base, polymer_concentrate"),
        ("price_per_tonne", "price_per_ton", SpecificationError, "perhaps 'price_per_tonne'"),
        ('"Hard base"', '"soft base"', FileFormatError, "stands twice"),
        ("highest_percent = 60", "lowest_percent = 101", SpecificationError, "lowest_percent"),
        ("highest_percent = 60", "lowest_percent = 70\nhighest_percent = 60", FileFormatError, "70 to 60 %"),
        ("highest_percent = 60", "banned = true\nlowest_percent = 5", FileFormatError, "is banned"),
        ('results = ["results.csv"]', 'results = ["other.csv"]', RecordNotFoundError, "other.csv"),
        ("[aim]", "[aim]\nprobability = 95", SpecificationError, "less than 1, found 95"),
        ("[aim]", '[aim]\nobjective = "cheap"', SpecificationError, "known are cost, margin"),
        ("[aim]", '[aim]\nobjective = "smallest change"', FileFormatError, "today_percent gives no recipe"),
        ('"rotational_viscosity"', '"viscosity"', SpecificationError, "no quantity of the glossary"),
    ],
)
def test_a_wrong_key_or_value_says_what_is_needed(
    tmp_path: Path, old: str, new: str, error: type[ResileError], told: str
) -> None:
    with pytest.raises(error, match=told):
        read_blend_book(write_book(tmp_path, book_toml=BOOK.replace(old, new, 1)))


def test_results_of_no_blend_are_a_caution_with_the_nearest_name(tmp_path: Path) -> None:
    more = f"{RESULTS}Hard bose,RTFO,64,jnr_3.2,1.6,1/kPa\n"

    (caution, _) = read_blend_book(write_book(tmp_path, results_csv=more)).findings

    assert caution.code == "results-of-no-blend"
    assert "'Hard bose' (1 result, perhaps 'Hard base')" in caution.message


def test_results_go_under_the_sample_a_blend_is_named_for(tmp_path: Path) -> None:
    book = BOOK + '\n[[trial]]\nname = "B3"\nsample = "26-117"\nstorage_h = 48\n'
    more = f"{RESULTS}26-117,RTFO,64,jnr_3.2,0.7,1/kPa\n"

    trial = read_blend_book(write_book(tmp_path, book_toml=book, results_csv=more)).trials[2]

    assert (trial.determinations[0].sample, trial.determinations[0].value, trial.storage_h) == (
        "B3",
        0.7,
        48.0,
    )


COMBINED = (
    ("blend", "condition", "temperature (°C)", "Soft base", "Hard base", "Concentrate", "Jnr3.2, 1/kPa"),
    ("B1", "RTFO", 64, 70, 30, 0, 3.1),
    ("B1", "RTFO", 70, 70, 30, 0, 6.3),
    ("B2", "RTFO", 64, 50, 20, 30, 0.9),
)


@pytest.mark.parametrize("form", ["csv", "semicolon", "xlsx"])
def test_shares_and_results_may_stand_in_one_table(tmp_path: Path, form: str) -> None:
    file = tmp_path / f"trials.{'xlsx' if form == 'xlsx' else 'csv'}"
    if form == "xlsx":
        with xlsxwriter.Workbook(str(file)) as workbook:
            sheet = workbook.add_worksheet("Trials")
            for number, row in enumerate(COMBINED):
                sheet.write_row(number, 0, row)
    else:
        rows = [[str(cell) for cell in row] for row in COMBINED]
        if form == "semicolon":
            rows = [[cell.replace(".", ",") if cell[0].isdigit() else cell for cell in row] for row in rows]
            rows[0][-1] = "Jnr3.2 [1/kPa]"
        lines = [";".join(row) if form == "semicolon" else ",".join(f'"{c}"' for c in row) for row in rows]
        file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    text = BOOK.replace("shares.csv", file.name).replace("results.csv", file.name)

    book = read_blend_book(write_book(tmp_path, book_toml=text))

    assert [dict(trial.percent) for trial in book.trials] == [
        {"Soft base": 70.0, "Hard base": 30.0},
        {"Soft base": 50.0, "Hard base": 20.0, "Concentrate (in soft)": 30.0},
    ]
    assert [(d.temperature_c, d.value) for d in book.trials[0].determinations] == [(64.0, 3.1), (70.0, 6.3)]


def test_a_workbook_may_hold_shares_and_results_on_sheets_of_their_own(tmp_path: Path) -> None:
    file = tmp_path / "trials.xlsx"
    with xlsxwriter.Workbook(str(file)) as workbook:
        for name, text in (("Shares", SHARES), ("Results", RESULTS)):
            sheet = workbook.add_worksheet(name)
            for number, line in enumerate(text.splitlines()):
                for place, cell in enumerate(line.split(",")):
                    sheet.write(number, place, float(cell) if cell.replace(".", "").isdigit() else cell)
    text = BOOK.replace("shares.csv", file.name).replace("results.csv", file.name)

    book = read_blend_book(write_book(tmp_path, book_toml=text))

    assert [len(trial.determinations) for trial in book.trials] == [1, 1, 0]
    assert len(book.sources) == 2


def test_one_blend_with_two_recipes_is_refused(tmp_path: Path) -> None:
    assert "blend 'b1' stands at line 2 with other shares" in refusal(
        tmp_path, shares_csv=f"{SHARES}b1,60,40,0\n"
    )


def test_a_site_of_a_table_beside_the_book_becomes_the_demand(tmp_path: Path) -> None:
    (tmp_path / "sites.csv").write_text("site,latitude,grade\nNorth road,55,PG 64H-22\nSouth road,44,\n")
    text = BOOK.replace('grade = "PG 64H-22"', 'sites = "sites.csv"\nsite = "north road"')

    book = read_blend_book(write_book(tmp_path, book_toml=text))

    assert book.aim.demand is not None
    assert (book.aim.demand.latitude_deg, book.aim.demand.grade) == (55.0, "PG 64H-22")
    wrong = text.replace("north road", "north rood")
    assert "perhaps 'North road'; known are North road, South road" in refusal(tmp_path, book_toml=wrong)


def test_a_book_that_is_held_finds_the_tables_held_with_it() -> None:
    beside = (HeldFile("shares.csv", SHARES.encode()), HeldFile("results.csv", RESULTS.encode()))

    book = read_blend_book(HeldFile("book.toml", BOOK.encode(), beside))  # type: ignore[arg-type]

    assert len(book.trials) == 3


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(
        st.tuples(st.integers(0, 1000), st.integers(0, 1000), st.integers(0, 1000)).filter(any),
        min_size=1,
        max_size=5,
    )
)
def test_shares_printed_to_six_digits_come_back_as_they_were(rows: list[tuple[int, int, int]]) -> None:
    wanted = [[100.0 * part / sum(row) for part in row] for row in rows]
    lines = [f"B{n}," + ",".join(f"{share:.6f}" for share in row) for n, row in enumerate(wanted)]
    table = "blend,Soft base,Hard base,Concentrate\n" + "\n".join(lines)
    book = held(table.encode())

    for trial, row in zip(book.trials, wanted, strict=True):
        found = [trial.percent.get(component.name, 0.0) for component in book.components]
        assert found == pytest.approx(row, abs=2e-6)


@settings(max_examples=40, deadline=None)
@given(st.one_of(st.binary(max_size=300), st.text(max_size=300).map(str.encode)))
def test_a_damaged_table_of_shares_is_refused_in_words(content: bytes) -> None:
    with pytest.raises(ResileError) as refused:
        held(content)

    assert str(refused.value)


def held(shares: bytes) -> BlendBook:
    book = BOOK.replace('results = ["results.csv"]', "")
    return read_blend_book(HeldFile("book.toml", book.encode(), (HeldFile("shares.csv", shares),)))
