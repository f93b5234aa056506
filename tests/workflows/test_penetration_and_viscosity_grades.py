"""Certificates of penetration-graded and viscosity-graded bitumen, line by line against one's own file."""

from pathlib import Path

import pytest

from resile import check_certificate
from resile.judge.certificates.certificate_lines import line_words
from resile.records.verdict import Outcome
from resile.workflows.certificates.certificate import CertificateReport
from resile.workflows.judging.grading import agree, grade_table

HEAD = """identifier = "own"
title = "{title}"
document = "invented"
edition = "2026"
label = "{{service_class}}"
high_temperatures_c = [60]
transcribed = "invented for this test"
checked = ""
[[class]]
name = "{name}"
title = "the only one"
rank = 1
"""
BLOCK = """[[requirement]]
name = "{name}"
title = "{name}"
condition = "{condition}"
quantity = "{quantity}"
bound = "{bound}"
unit = "{unit}"
limits = {{ "*" = {limit} }}
{more}
"""

# Minima printed on a supplier certificate: 3200 P at 60 °C and 400 cSt at 135 °C [read]; the others invented.
VISCOSITY = (
    (
        "eta",
        "original",
        "capillary_viscosity",
        "minimum",
        "Pa·s",
        320,
        "temperature = 60\ndecides_class = true",
    ),
    ("nu", "original", "kinematic_viscosity", "minimum", "mm²/s", 400, "temperature = 135"),
    ("pen", "original", "penetration", "minimum", "0.1 mm", 40, ""),
    ("rb", "original", "softening_point", "minimum", "°C", 50, ""),
    ("ratio", "short_term_aged", "viscosity_ratio", "maximum", "", 4, ""),
)
# The values are those of that certificate [read]. It says "thin-film oven": who types it decides that the own
# specification means this residue, for resile keeps it apart from the rolling one.
CERTIFICATE = """Certificate number: 88
Grade: V40
Graded by: invented 2026

property,condition,limit,result,unit,basis
Absolute viscosity at 60 °C,original,min {printed},{viscosity},P,measured
Kinematic viscosity at 135 °C,original,min 400,426,cSt,measured
Penetration at 25 °C,original,min 40,47,0.1 mm,measured
Softening point,original,min 50,53.6,°C,measured
Viscosity ratio,short-term aged,max 4,1.5,,measured
"""

# 35/50: penetration 45, softening point 52; after RTFOT 67 % retained, 56 °C: a textbook, Table 2 [read].
# The limits are recalled from EN 12591 for this grade (medium): a case of pass and fail, no authority.
PENETRATION = (
    ("pen_min", "original", "penetration", "minimum", "0.1 mm", 35, "decides_class = true"),
    ("pen_max", "original", "penetration", "maximum", "0.1 mm", 50, ""),
    ("rb_min", "original", "softening_point", "minimum", "°C", 50, ""),
    ("rb_max", "original", "softening_point", "maximum", "°C", 58, ""),
    ("retained", "short_term_aged", "retained_penetration_percent", "minimum", "%", 53, ""),
    ("rb_aged", "short_term_aged", "softening_point", "minimum", "°C", 52, ""),
)
BOOK = (
    "sample,condition,quantity,value,unit\nT,original,penetration,{pen},0.1 mm\n"
    "T,original,softening point,52,°C\nT,RTFOT,retained penetration,{retained},%\n"
    "T,RTFOT,softening point,56,°C\n"
)


def rules(folder: Path, name: str, rows: tuple[tuple[object, ...], ...]) -> Path:
    keys = ("name", "condition", "quantity", "bound", "unit", "limit", "more")
    text = HEAD.format(title=name, name=name)
    text += "".join(BLOCK.format(**dict(zip(keys, row, strict=True))) for row in rows)
    file = folder / "own.toml"
    file.write_text(text, encoding="utf-8")
    return file


def checked(folder: Path, viscosity: float = 3912, printed: float = 3200) -> CertificateReport:
    file = folder / "certificate.csv"
    file.write_text(CERTIFICATE.format(viscosity=viscosity, printed=printed), encoding="utf-8")
    return check_certificate(file, specification=rules(folder, "V40", VISCOSITY))


def test_a_viscosity_graded_certificate_is_checked_in_its_own_units(tmp_path: Path) -> None:
    report = checked(tmp_path)
    assert {line.verdict.outcome for line in report.check.lines} == {Outcome.PASS}
    assert report.stands
    assert report.check.unasked == ()
    values = {line.verdict.requirement.quantity: line.verdict.value for line in report.check.lines}
    # 1 P = 0.1 Pa·s and 1 cSt = 1 mm²/s: definitions of the units.
    assert values["capillary_viscosity"] == pytest.approx(391.2, rel=1e-12)
    assert values["kinematic_viscosity"] == 426
    assert values["viscosity_ratio"] == 1.5
    assert not any(line.limit_differs for line in report.check.lines)


@pytest.mark.parametrize(("viscosity", "outcome"), [(3199, Outcome.FAIL), (3200, Outcome.PASS)])
def test_it_fails_below_the_minimum_printed(tmp_path: Path, viscosity: float, outcome: Outcome) -> None:
    report = checked(tmp_path, viscosity=viscosity)
    (line,) = [x for x in report.check.lines if x.verdict.requirement.quantity == "capillary_viscosity"]
    assert line.verdict.outcome is outcome
    assert "60 °C" in line_words(line.verdict)


def test_another_limit_printed_in_poise_is_told(tmp_path: Path) -> None:
    assert "certificate-limit-differs" in {f.code for f in checked(tmp_path, printed=2400).check.findings}


@pytest.mark.parametrize(
    ("pen", "retained", "grades"), [(45, 67, ("35/50",)), (34, 67, ()), (51, 67, ()), (45, 52, ())]
)
def test_a_penetration_grade_is_judged_from_a_table(
    tmp_path: Path, pen: float, retained: float, grades: tuple[str, ...]
) -> None:
    table = tmp_path / "results.csv"
    table.write_text(BOOK.format(pen=pen, retained=retained), encoding="utf-8")
    (statement,) = grade_table(table, agree(rules(tmp_path, "35/50", PENETRATION))).statements
    assert statement.grades == grades


def test_a_thin_film_oven_residue_is_asked_about_not_taken_for_the_rolling_one(tmp_path: Path) -> None:
    file = tmp_path / "certificate.csv"
    text = CERTIFICATE.format(viscosity=3912, printed=3200).replace("short-term aged", "TFOT")
    file.write_text(text, encoding="utf-8")
    report = check_certificate(file, specification=rules(tmp_path, "V40", VISCOSITY))
    assert not report.stands
    assert "certificate-residue-differs" in {finding.code for finding in report.check.findings}


def test_density_in_grams_is_brought_to_kilograms(tmp_path: Path) -> None:
    table = tmp_path / "results.csv"
    table.write_text(
        "sample,condition,temperature_c,quantity,value,unit\nT,original,25,density,1.032,g/cm³\n",
        encoding="utf-8",
    )
    (statement,) = grade_table(table).statements
    assert [r.value for r in statement.results if r.quantity == "density"] == [pytest.approx(1032)]


def test_a_label_without_temperature_needs_a_single_one(tmp_path: Path) -> None:
    from resile.errors import SpecificationError

    file = rules(tmp_path, "35/50", PENETRATION)
    file.write_text(
        file.read_text(encoding="utf-8").replace(
            "high_temperatures_c = [60]", "high_temperatures_c = [58, 64]"
        ),
        encoding="utf-8",
    )
    with pytest.raises(SpecificationError, match=r"needs \{temperature\} where"):
        agree(file)
