"""A table of sites: one reader for demand and choice, whatever form the table has."""

from pathlib import Path

import pytest
import xlsxwriter

from resile.errors import FileFormatError, SpecificationError
from resile.readers.sites.table import read_site_table
from resile.records.demand_request import DemandRequest

ROWS: tuple[tuple[str | float, ...], ...] = (
    ("Kestrel bridge", -38.5, 144.25, 95.0, 12.5, 60.0, 420.0),
    ("Alder road", 39.07, -95.5, 98.0, 0.4, 90.0, 25.0),
)
HEADINGS = (
    "site",
    "latitude",
    "longitude",
    "reliability",
    "traffic (million ESAL)",
    "speed (km/h)",
    "tonnes",
)


def wanted() -> list[DemandRequest]:
    return [
        DemandRequest(
            name=str(name),
            latitude_deg=float(lat),
            longitude_deg=float(lon),
            reliability_percent=float(sure),
            million_axle_loads=float(loads),
            speed_kmh=float(speed),
            amount_t=float(tonnes),
        )
        for name, lat, lon, sure, loads, speed, tonnes in ROWS
    ]


def table_of(folder: Path, form: str) -> Path:
    path = folder / f"sites.{form.partition('-')[2] or form}"
    if form == "xlsx":
        with xlsxwriter.Workbook(str(path)) as book:
            sheet = book.add_worksheet("Roads")
            sheet.write_string(0, 0, "# invented for a test")
            for number, row in enumerate((HEADINGS, *ROWS), start=1):
                sheet.write_row(number, 0, row)
            sheet.write_string(4, 0, "# a comment below")
    elif form == "toml":
        keys = ("name", "latitude_deg", "longitude_deg", "reliability_percent")
        keys += ("million_axle_loads", "speed_kmh", "amount_t")
        blocks = [
            "\n".join(f"{key} = {value!r}".replace("'", '"') for key, value in zip(keys, row, strict=True))
            for row in ROWS
        ]
        path.write_text("".join(f"[[site]]\n{block}\n" for block in blocks), encoding="utf-8")
    else:
        comma = form.startswith("semicolon")
        mark = ";" if comma else ","
        rows = [mark.join(str(cell).replace(".", "," if comma else ".") for cell in row) for row in ROWS]
        lines = ["# invented for a test", mark.join(HEADINGS), rows[0], "# a comment between", "", rows[1]]
        path.write_text("\n".join(lines), encoding="utf-8")
    return path


@pytest.mark.parametrize("form", ["csv", "semicolon-csv", "xlsx", "toml"])
def test_every_form_of_a_table_says_the_same_and_comments_are_no_sites(form: str, tmp_path: Path) -> None:
    assert list(read_site_table(table_of(tmp_path, form)).requests) == wanted()


@pytest.mark.parametrize(
    ("heading", "printed", "field", "value"),
    [
        ("speed (mph)", "50", "speed_kmh", 80.4672),
        ("latitude (°S)", "38", "latitude_deg", -38.0),
        ("depth (in)", "2", "depth_mm", 50.8),
        ("high mean (°F)", "95", "high_mean_c", 35.0),
        ("high sd (°F)", "3.6", "high_sd_c", 2.0),
        ("traffic (ESAL)", "4500000", "million_axle_loads", 4.5),
        ("traffic (thousand ESAL)", "300", "million_axle_loads", 0.3),
    ],
)
def test_a_unit_in_a_heading_is_heeded(
    heading: str, printed: str, field: str, value: float, tmp_path: Path
) -> None:
    """Units from their definitions: a mile is 1.609344 km, an inch 25.4 mm, 9 °F are 5 °C."""
    path = tmp_path / "sites.csv"
    other = "remark" if heading.startswith("latitude") else "latitude"
    path.write_text(f"{heading},{other}\n{printed},38\n", encoding="utf-8")
    (request,) = read_site_table(path).requests
    assert getattr(request, field) == pytest.approx(value, abs=1e-9)


def test_a_unit_that_is_not_known_is_refused_and_not_passed_over(tmp_path: Path) -> None:
    path = tmp_path / "sites.csv"
    path.write_text("site,latitude,speed (m/s)\nAlder road,39,20\n", encoding="utf-8")
    with pytest.raises(
        FileFormatError, match=r"prints the unit 'm/s', which is not known there; known are km/h"
    ):
        read_site_table(path)


def test_a_column_that_is_not_known_is_named(tmp_path: Path) -> None:
    path = tmp_path / "sites.csv"
    path.write_text("site,latitude,reliabilty\nAlder road,39,50\n", encoding="utf-8")
    read = read_site_table(path)
    assert read.unused == ("reliabilty",)
    assert read.requests[0].reliability_percent == 98.0


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("site,latitude\nAlder road,95\n", "line 2: 95 under latitude_deg: needed is -90 to 90"),
        ("site,grade,tonnes\nAlder road,64H-22,0\n", "0 under amount_t: needed is a number above zero"),
        ("site,latitude\nAlder road,north\n", "line 2: 'north' under latitude_deg is no number"),
        ("site,latitude,lat\nAlder road,39,39\n", "two columns are headed as latitude_deg"),
        ("site,remark\nAlder road,none\n", "needed is a row of headings with latitude_deg or grade"),
        ("site,latitude\n# Alder road,39\n", "no row below it"),
    ],
)
def test_what_is_no_table_of_sites_is_refused_with_its_place(text: str, words: str, tmp_path: Path) -> None:
    path = tmp_path / "sites.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FileFormatError, match=words.replace("(", r"\(")):
        read_site_table(path)


def test_a_key_of_toml_that_is_not_known_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "sites.toml"
    path.write_text('[[site]]\nname = "Alder road"\nlattitude = 39\n', encoding="utf-8")
    with pytest.raises(SpecificationError, match="key 'lattitude' is not known"):
        read_site_table(path)
