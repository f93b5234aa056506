"""A supplier's certificate against specification and own results, line by line."""

from pathlib import Path

import pytest

from resile import check_certificate
from resile.errors import InputError
from resile.judge.certificates.certificate_whole import edition_year
from resile.records.verdict import Outcome
from resile.workflows.certificates.certificate import CertificateReport

HEAD = """Certificate number: 7731
Supplier: Quarnsk Terminal (invented)
Grade: PG 64V-22
Graded by: AASHTO M 332-14
Batch: B-1207
Issued: 2026-05-02

property,condition,temperature_c,method,limit,result,unit,typical or measured
"""
LINES = {
    "flash": "Flash point,original,,T 48,min 230,285,°C,measured",
    "viscosity": "rotational viscosity,original,135,T 316,≤ 3.0,1.20,Pa·s,measured",
    "original": "G*/sin δ,original,64,T 315,≥ 1.00,2.70,kPa,measured",
    "mass": "Mass change,RTFO,,T 240,max 1.0,-0.31,%,measured",
    "jnr": "Jnr3.2,RTFO,64,T 350,≤ 1.0,0.42,1/kPa,measured",
    "diff": '"Jnr,diff",RTFO,64,T 350,≤ 75,62.8,%,measured',
    "fatigue": "G*·sin δ,PAV,25,T 315,≤ 6000,4100,kPa,measured",
    "stiffness": "S,PAV,-12,T 313,≤ 300,201,MPa,measured",
    "slope": "m-value,PAV,-12,T 313,≥ 0.300,0.309,,measured",
}


def checked(tmp_path: Path, head: str = HEAD, own: str = "", **changed: str) -> CertificateReport:
    """Check the certificate with some of its lines changed; an empty text takes a line out."""
    options = {name: changed.pop(name) for name in ("batch", "tank", "delivered", "claim") if name in changed}
    file = tmp_path / "certificate.csv"
    file.write_text(head + "\n".join(t for t in {**LINES, **changed}.values() if t) + "\n", encoding="utf-8")
    table = None
    if own:
        table = tmp_path / "own.csv"
        table.write_text("sample,condition,temperature_c,quantity,value,unit\n" + own, encoding="utf-8")
    return check_certificate(file, own=table, **options)


def codes(report: CertificateReport) -> set[str]:
    return {finding.code for finding in report.check.findings}


def line_of(report: CertificateReport, quantity: str):
    return next(line for line in report.check.lines if line.verdict.requirement.quantity == quantity)


def test_a_certificate_with_every_line_measured_and_met_stands(tmp_path: Path) -> None:
    report = checked(tmp_path, delivered="2026-05-12", batch="B-1207")
    assert report.stands
    assert {line.verdict.outcome for line in report.check.lines} == {Outcome.PASS}
    assert codes(report) == set()
    assert report.check.claim == "PG 64V-22"
    assert report.check.certificate.number == "7731"


def test_a_required_line_that_is_absent_is_not_stated_and_the_certificate_falls(tmp_path: Path) -> None:
    report = checked(tmp_path, slope="", stiffness="")
    assert not report.stands
    assert line_of(report, "m_value").verdict.outcome is Outcome.NOT_TESTED
    (finding,) = [f for f in report.check.findings if f.code == "certificate-line-missing"]
    assert finding.value == 2.0
    assert "−12 °C" in finding.message


@pytest.mark.parametrize("word", ["typical", "nominal", "guaranteed", "Typischer Richtwert"])
def test_a_value_that_was_not_measured_is_no_proof(tmp_path: Path, word: str) -> None:
    report = checked(tmp_path, flash=f"Flash point,original,,T 48,min 230,285,°C,{word}")
    assert codes(report) == {"certificate-value-not-measured"}
    assert not report.stands


def test_a_line_that_does_not_say_whether_it_was_measured_is_told(tmp_path: Path) -> None:
    report = checked(tmp_path, flash="Flash point,original,,T 48,min 230,285,°C,")
    assert codes(report) == {"certificate-basis-not-stated"}
    assert report.stands


def test_the_temperature_of_a_raised_grade_is_named_under_the_letters(tmp_path: Path) -> None:
    # One proficiency sample was sold as PG 76-22 (M 320) and 64V-22 (M 332): AASHTO data sheet 249/250.
    report = checked(tmp_path, jnr="Jnr3.2,RTFO,76,T 350,≤ 1.0,0.95,1/kPa,measured")
    assert "certificate-temperature-as-raised-grade" in codes(report)
    assert "certificate-temperature-differs" not in codes(report)
    assert line_of(report, "jnr_3.2").verdict.outcome is Outcome.NOT_TESTED


def test_another_wrong_temperature_and_a_wrong_residue_are_told_apart(tmp_path: Path) -> None:
    report = checked(
        tmp_path,
        stiffness="S,PAV,-18,T 313,≤ 300,201,MPa,measured",
        slope="m-value,RTFO,-12,T 313,≥ 0.300,0.309,,measured",
    )
    assert {"certificate-temperature-differs", "certificate-residue-differs"} <= codes(report)


def test_a_printed_limit_that_is_not_the_one_in_force_is_told(tmp_path: Path) -> None:
    report = checked(tmp_path, mass="Mass change,RTFO,,T 240,max 0.5,-0.31,%,measured")
    (finding,) = report.check.findings
    assert (finding.code, report.stands) == ("certificate-limit-differs", True)
    assert line_of(report, "mass_change_percent").limit_differs


def test_a_printed_limit_in_another_unit_is_the_same_limit(tmp_path: Path) -> None:
    report = checked(tmp_path, stiffness="S,PAV,-12,T 313,≤ 300000,201000,kPa,measured")
    assert not line_of(report, "creep_stiffness").limit_differs
    assert report.stands


@pytest.mark.parametrize(
    ("printed", "code"),
    [
        ("0.300", "certificate-value-at-limit"),
        ("0.30", "certificate-value-at-limit"),
        ("0.304", None),
    ],
)
def test_a_value_on_its_limit_is_told(tmp_path: Path, printed: str, code: str | None) -> None:
    report = checked(tmp_path, slope=f"m-value,PAV,-12,T 313,≥ 0.300,{printed},,measured")
    assert codes(report) == ({code} if code else set())


@pytest.mark.parametrize(("printed", "coarse"), [("7e1", True), ("70", False)])
def test_a_value_printed_too_coarsely_to_tell_its_side_is_told(
    tmp_path: Path, printed: str, coarse: bool
) -> None:
    # Half of the last digit of 7e1 is 5, and 70 + 5 reaches the limit of 75.
    report = checked(tmp_path, diff=f'"Jnr,diff",RTFO,64,T 350,≤ 75,{printed},%,measured')
    assert ("certificate-value-rounded-onto-limit" in codes(report)) is coarse


@pytest.mark.parametrize(
    ("certified", "tested", "agrees"),
    [("0.42", "0.60", True), ("3.10", "4.00", False)],
)
def test_two_laboratories_agree_within_the_printed_difference(
    tmp_path: Path, certified: str, tested: str, agrees: bool
) -> None:
    """Differences of 35 % against 39.0 %, 25 % against 22.0 %: DNIT 423/2020-ME, Annex A, Table 1 (d2s)."""
    own = f"own,RTFO,64,jnr_3.2,{tested},1/kPa\n"
    jnr = f"Jnr3.2,RTFO,64,T 350,,{certified},1/kPa,measured"
    report = checked(tmp_path, HEAD.replace("64V", "64S"), own, jnr=jnr)
    two = line_of(report, "jnr_3.2").comparison
    assert two is not None
    assert two.agrees is agrees
    printed = 39.0 if agrees else 22.0
    assert two.allowed_difference == pytest.approx(printed / 100.0 * two.mean_value)
    assert ("laboratories-disagree" in codes(report)) is not agrees


def test_more_determinations_narrow_what_is_allowed(tmp_path: Path) -> None:
    """sqrt(R² - r²(1 - 1/2 - 1/4)) with R 39.0 % and r 15.3 % of a mean of 0.5: constructed from ISO 4259."""
    own = "own,RTFO,64,jnr_3.2,0.50,1/kPa\nown,RTFO,64,jnr_3.2,0.50,1/kPa\n"
    report = checked(tmp_path, own=own, jnr="Jnr3.2,RTFO,64,T 350,,0.50,1/kPa,measured")
    two = line_of(report, "jnr_3.2").comparison
    assert two is not None
    assert (two.certificate_count, two.own_count) == (1, 2)
    assert two.allowed_difference == pytest.approx((0.195**2 - 0.0765**2 * 0.25) ** 0.5)


def test_the_mean_of_two_laboratories_is_held_against_the_limit_with_its_share_of_r(tmp_path: Path) -> None:
    """0.42 R is 1.6449/(2.7718 sqrt 2) R: ISO 4259; R is 26.9 of a mean of 151 for S (T 313, 17.8 %)."""
    own = "own,PAV,-12,creep_stiffness,280,MPa\n"
    report = checked(tmp_path, own=own, stiffness="S,PAV,-12,T 313,≤ 300,260,MPa,measured")
    two = line_of(report, "creep_stiffness").comparison
    assert two is not None
    assert two.mean_margin == pytest.approx(30.0)
    assert two.proof_distance == pytest.approx(0.4196 * 0.178 * 270.0, rel=1e-3)


def test_several_determinations_of_a_laboratory_narrow_what_the_mean_of_two_proves(tmp_path: Path) -> None:
    """1.6449/(2 * 1.95996) sqrt(R² - r² (1 - 1/2 - 1/4)): ISO 4259; S: R 17.8 %, r 7.2 %, mean 270."""
    own = "own,PAV,-12,creep_stiffness,279,MPa\nown,PAV,-12,creep_stiffness,281,MPa\n"
    report = checked(tmp_path, own=own, stiffness="S,PAV,-12,T 313,≤ 300,260,MPa,measured")
    two = line_of(report, "creep_stiffness").comparison
    assert two is not None
    expected = 1.6449 / 3.91993 * 270.0 * (0.178**2 - 0.072**2 * 0.25) ** 0.5
    assert two.proof_distance == pytest.approx(expected, rel=1e-3)
    assert two.proof_rule == "from R and r, k = 1 and 2"


@pytest.mark.parametrize(
    ("method", "edition", "code"),
    [
        ("M 332", "2020", "certificate-line-edition-differs"),
        ("", "2020", "certificate-line-edition-differs"),
        ("T 315", "2031", "certificate-line-edition-after-issue"),
        ("T 350-19", "", "certificate-editions-of-one-method"),
        ("AASHTO M 332-14", "", ""),
        ("T 315", "2012", ""),
    ],
)
def test_the_edition_of_a_line_is_compared(tmp_path: Path, method: str, edition: str, code: str) -> None:
    head = HEAD.replace("typical or measured\n", "typical or measured,edition\n")
    lines = {name: f"{text}," for name, text in LINES.items()}
    lines["jnr"] = lines["jnr"].replace("T 350", "T 350-14")
    lines["diff"] = f'"Jnr,diff",RTFO,64,{method},≤ 75,62.8,%,measured,{edition}'
    found = codes(checked(tmp_path, head, **lines))
    assert found == ({code} if code else set())


def test_without_published_precision_nothing_is_said_of_agreement(tmp_path: Path) -> None:
    report = checked(tmp_path, own="own,RTFO,,mass_change_percent,-0.40,%\n")
    two = line_of(report, "mass_change_percent").comparison
    assert two is not None
    assert (two.agrees, two.allowed_difference) == (None, None)


def test_an_own_result_that_fails_takes_the_certificate(tmp_path: Path) -> None:
    report = checked(tmp_path, own="own,PAV,-12,creep_stiffness,310,MPa\n")
    assert "own-result-fails" in codes(report)
    assert not report.stands


def test_a_value_a_thousand_times_the_own_one_is_a_slip_of_the_unit(tmp_path: Path) -> None:
    own = "own,original,135,rotational_viscosity,0.0013,Pa·s\n"
    report = checked(tmp_path, own=own)
    (finding,) = [f for f in report.check.findings if f.code == "certificate-unit-slip"]
    assert "10 to the 3" in finding.message


@pytest.mark.parametrize(
    ("head", "options", "code", "stands"),
    [
        (HEAD.replace("M 332-14", "M 332"), {}, "certificate-edition-not-stated", True),
        (HEAD.replace("M 332-14", "M 332-20"), {}, "certificate-edition-differs", True),
        (HEAD, {"delivered": "2026-06-02"}, "certificate-old", True),
        (HEAD, {"delivered": "2026-05-01"}, "certificate-after-delivery", True),
        (
            HEAD.replace("Issued:", "Valid until: 2026-05-03\nIssued:"),
            {"delivered": "2026-05-04"},
            None,
            False,
        ),
        (
            HEAD.replace("2026-05-02", "2 May"),
            {"delivered": "2026-05-04"},
            "certificate-date-unreadable",
            True,
        ),
        (HEAD, {"batch": "B-1208"}, "certificate-batch-differs", False),
        (HEAD, {"tank": "4"}, "certificate-batch-differs", False),
        (HEAD.replace("PG 64V", "PG 76"), {"claim": "PG 64V-22"}, "certificate-grade-differs", True),
    ],
)
def test_head_of_the_certificate_is_held_against_contract_and_delivery_note(
    tmp_path: Path, head: str, options: dict[str, str], code: str | None, stands: bool
) -> None:
    report = checked(tmp_path, head, **options)
    assert codes(report) == {code or "certificate-expired"}
    assert report.stands is stands


def test_thirty_days_are_not_yet_old(tmp_path: Path) -> None:
    assert checked(tmp_path, delivered="2026-06-01").check.findings == ()


def test_values_copied_from_an_earlier_certificate_are_told(tmp_path: Path) -> None:
    checked(tmp_path)
    earlier = tmp_path / "earlier.csv"
    earlier.write_text((tmp_path / "certificate.csv").read_text(encoding="utf-8").replace("7731", "7702"))
    report = check_certificate(tmp_path / "certificate.csv", earlier=[earlier])
    (finding,) = report.check.findings
    assert finding.code == "certificate-values-repeated"
    assert "7702" in finding.message


def test_an_order_gives_own_results_specification_and_date(tmp_path: Path) -> None:
    checked(tmp_path)
    (tmp_path / "own.csv").write_text(
        "sample,condition,temperature_c,quantity,value,unit\nN-1,RTFO,64,jnr_3.2,0.55,1/kPa\n",
        encoding="utf-8",
    )
    order = tmp_path / "order.toml"
    order.write_text(
        'specification = "m332-2020"\ntables = ["own.csv"]\n[sample]\nname = "N-1"\nreceived = 2026-07-01\n'
        'container = "can, tank 4"\n',
        encoding="utf-8",
    )
    check = check_certificate(tmp_path / "certificate.csv", own=order).check
    assert check.specification.identifier == "m332-2020"
    assert check.own_sample == "N-1"
    assert {"certificate-old", "certificate-batch-not-in-order", "certificate-edition-differs"} <= {
        finding.code for finding in check.findings
    }


@pytest.mark.parametrize(
    ("container", "code"),
    [
        ("can, tank 7, seal 0433", "certificate-batch-differs"),
        ("can, tank 4, batch B-1207", None),
        ("can, seal 0433", "certificate-batch-not-in-order"),
    ],
)
def test_batch_and_tank_are_sought_in_the_words_of_the_order(
    tmp_path: Path, container: str, code: str | None
) -> None:
    checked(tmp_path, HEAD.replace("Batch:", "Tank: 4\nBatch:"))
    (tmp_path / "own.csv").write_text(
        "sample,condition,temperature_c,quantity,value,unit\nN-1,RTFO,64,jnr_3.2,0.45,1/kPa\n",
        encoding="utf-8",
    )
    order = tmp_path / "order.toml"
    order.write_text(
        f'tables = ["own.csv"]\n[sample]\nname = "N-1"\ncontainer = "{container}"\n', encoding="utf-8"
    )
    report = check_certificate(tmp_path / "certificate.csv", own=order)
    assert {c for c in codes(report) if "batch" in c} == ({code} if code else set())


def test_a_toml_certificate_says_the_same_as_a_table(tmp_path: Path) -> None:
    file = tmp_path / "certificate.toml"
    file.write_text(
        """
[certificate]
number = "7731"
claimed_grade = "PG 64V-22"
stated_specification = "M 332-14"
issued = 2026-05-02
invented = true

[[line]]
property = "Jnr3.2 at 64 °C (RTFO)"
value = "0.42"
unit = "1/kPa"
limit = "max 1.0"
value_basis = "measured"

[[line]]
property = "Flash point"
condition = "original"
value = 285
limit = "≥ 230"
""",
        encoding="utf-8",
    )
    check = check_certificate(file).check
    assert check.certificate.invented
    answered = {
        line.verdict.requirement.quantity: line for line in check.lines if line.verdict.value is not None
    }
    assert set(answered) == {"jnr_3.2", "flash_point"}
    printed = answered["jnr_3.2"].line
    assert printed is not None
    assert (printed.printed_limit, printed.printed_bound, printed.value_basis) == (1.0, "maximum", "measured")
    assert printed.determination.place == "line 1"


def test_a_wide_table_with_several_batches_asks_for_one(tmp_path: Path) -> None:
    file = tmp_path / "wide.csv"
    file.write_text(
        "batch,residue,temperature (°C),Jnr3.2 (1/kPa),basis\n"
        "B-1,RTFO,64,0.42,measured\nB-2,RTFO,64,0.95,typical\n",
        encoding="utf-8",
    )
    with pytest.raises(InputError, match="--sample"):
        check_certificate(file, claim="64V")
    check = check_certificate(file, claim="64V", sample="B-2").check
    assert check.certificate.batch == "B-2"
    assert "certificate-value-not-measured" in {finding.code for finding in check.findings}


def test_a_certificate_without_a_grade_asks_for_the_claim(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="--claim"):
        checked(tmp_path, HEAD.replace("Grade: PG 64V-22\n", ""))


VISCOSITY_GRADED = """
identifier = "vg"
title = "Viscosity-graded binder, as on a printed certificate"
document = "supplier's certificate"
edition = "as printed"
label = "VG {service_class} at {temperature}"
high_temperatures_c = [60]
transcribed = "from a printed certificate"
checked = ""
[[class]]
name = "30"
title = "viscosity grade"
rank = 1
[[requirement]]
name = "viscosity_minimum"
title = "viscosity at 60 °C"
condition = "original"
quantity = "rotational_viscosity"
bound = "minimum"
unit = "Pa·s"
limits = { "*" = LIMIT }
temperature = 60
decides_class = true
"""


@pytest.mark.parametrize(("limit", "stands"), [("320", True), ("400", False)])
def test_a_viscosity_graded_certificate_is_judged_by_a_specification_of_ones_own(
    tmp_path: Path, limit: str, stands: bool
) -> None:
    """3912 P at 60 °C against a printed minimum of 3200 P (320 Pa·s): a supplier's printed certificate."""
    rules = tmp_path / "vg.toml"
    rules.write_text(VISCOSITY_GRADED.replace("LIMIT", limit), encoding="utf-8")
    file = tmp_path / "certificate.csv"
    file.write_text(
        "property,condition,temperature_c,result,unit,min\n"
        "dynamic viscosity,original,60,3912,P,3200\n"
        "Penetration,original,25,47,0.1 mm,\nSoftening point,original,,53.6,°C,\n",
        encoding="utf-8",
    )
    report = check_certificate(file, specification=rules, claim="VG 30 at 60")
    (line,) = report.check.lines
    assert line.verdict.value == pytest.approx(391.2)
    assert (report.stands, line.limit_differs) == (stands, limit == "400")
    assert len(report.check.unasked) == 2


@pytest.mark.parametrize(
    ("text", "year"),
    [("AASHTO M 332-14", 2014), ("M 332 (2020)", 2020), ("ASTM D8239-21", 2021), ("M 332", None), ("", None)],
)
def test_the_year_of_an_edition_is_found_in_its_name(text: str, year: int | None) -> None:
    assert edition_year(text) == year


def test_page_and_workbook_are_written_and_say_what_the_terminal_says(tmp_path: Path) -> None:
    report = checked(tmp_path, own="own,RTFO,64,jnr_3.2,0.55,1/kPa\n")
    written = report.write(tmp_path / "sheet", date="2026-05-13")
    assert [path.suffix for path in written] == [".html", ".pdf", ".xlsx"]
    page = written[0].read_text(encoding="utf-8")
    assert "stands as proof of PG 64V-22" in page
    assert "Mean of two laboratories" in page
    assert written[1].read_bytes().startswith(b"%PDF")
