"""A test order worked through: the unfit is refused, the invalid kept out, each doubt said once."""

import shutil
from pathlib import Path

import pytest

from resile.errors import InputError, MeasurementError, RecordNotFoundError, SpecificationError
from resile.records.finding import Severity
from resile.report.paper.statements.answer import findings_of
from resile.workflows.demonstration import write_demonstration
from resile.workflows.orders.ordering import report_order

DATE = "2026-05-12"


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("day")
    write_demonstration(folder)
    return folder


@pytest.fixture
def order(day: Path, tmp_path: Path) -> Path:
    """Order 102: two specimens, original-binder results and an ageing record."""
    shutil.copytree(day / "102-spring", tmp_path / "102")
    return tmp_path / "102" / "order.toml"


def _edited(order: Path, *pairs: tuple[str, str]) -> Path:
    text = order.read_text(encoding="utf-8")
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    order.write_text(text, encoding="utf-8")
    return order


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (
            'service_class = "V"',
            'service_class = "X"',
            r"'service_class': m332-2014 has no class 'X'.*S, H, V, E",
        ),
        ("high_temperature_c = 64", "high_temperature_c = 63", r"'high_temperature_c': 63 °C is no step"),
        ('uncertainty_basis = "repeatability"', 'uncertainty_basis = "feeling"', "'feeling' is not known"),
    ],
)
def test_an_order_that_asks_for_what_there_is_not_is_refused_by_its_key(
    order: Path, old: str, new: str, told: str
) -> None:
    with pytest.raises(SpecificationError, match=told):
        report_order(_edited(order, (old, new)), date=DATE)


def test_a_missing_record_is_named(order: Path) -> None:
    (order.parent / "specimen-2.csv").unlink()
    with pytest.raises(RecordNotFoundError, match=r"do not exist: .*specimen-2\.csv"):
        report_order(order, date=DATE)


def test_a_folder_that_cannot_be_written_is_one_sentence(order: Path, tmp_path: Path) -> None:
    report = report_order(order, date=DATE)
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(InputError, match="cannot be written"):
        report.write(tmp_path / "file")


def test_original_binder_gives_no_class_and_says_which_residue_is_asked_for(order: Path) -> None:
    report = report_order(_edited(order, ('condition = "RTFO"', 'condition = "original"')), date=DATE)
    assert report.statement.grades == ()
    assert not report.complies
    reasons = {v.reason for c in report.statement.classes for v in c.verdicts if v.result is None}
    assert any("original binder; short-term-aged binder is asked for" in reason for reason in reasons)


def test_identity_on_the_page_holds_instrument_dates_and_the_number_it_replaces(order: Path) -> None:
    edited = _edited(order, ("tested = 2026-05-12", 'tested = 2026-05-12\nreplaces = "102, wrong customer"'))
    document = report_order(edited, date=DATE).document
    assert document.tested_on == "2026-05-12"
    assert document.revision is not None
    assert document.revision.replaces.words == "102, wrong customer"
    assert not document.revision.compared
    assert "temperature verified 2026-05-04" in document.instrument
    assert [source.path.rsplit("/", 1)[-1] for source, _ in document.tables_read] == ["other-results.csv"]


def test_an_invalid_run_stays_out_of_the_verdict_and_is_told_once_by_name(order: Path) -> None:
    _cut_short(order.parent / "specimen-2.csv")
    report = report_order(order, date=DATE)
    told = [f.message for f in findings_of(report.document) if f.severity is Severity.INVALID]
    assert told
    assert len(told) == len(set(told))
    assert all(message.startswith("specimen 2, short-term aged: ") for message in told)
    jnr = next(r for r in report.statement.results if r.quantity == "jnr_3.2")
    assert jnr.counted == (True, False)
    left_out = [f.message for f in findings_of(report.document) if f.code == "determination-not-counted"]
    assert len(left_out) == 1
    assert "left out as invalid (replicate 2)" in left_out[0]


def _cut_short(path: Path) -> None:
    """Keep the record to the fourth cycle at the high stress: too few for the mean."""
    lines = path.read_text(encoding="cp1252").splitlines()
    path.write_text("\n".join(lines[: 8 + 2400]) + "\n", encoding="cp1252")


def test_a_bottle_lighter_than_when_empty_is_refused_with_its_file(order: Path) -> None:
    path = order.parent / "ageing.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("after_g = 201.767", "after_g = 100.0"))
    with pytest.raises(MeasurementError, match=r"ageing\.toml: bottle 3: .*lighter than when it was empty"):
        report_order(order, date=DATE)


SETTINGS = 'name = "Works laboratory (invented)"\naddress = "Quay 3"\naccreditation = "None (invented)."\n'


def test_a_report_is_issued_under_the_name_of_the_laboratory(order: Path, tmp_path: Path) -> None:
    settings = tmp_path / "laboratory.toml"
    settings.write_text(SETTINGS, encoding="utf-8")
    text = order.read_text(encoding="utf-8")
    kept = [line for line in text.splitlines() if not line.startswith(("laboratory", "address"))]
    order.write_text("\n".join(kept), encoding="utf-8")
    document = report_order(order, date=DATE, laboratory=settings).document
    assert document.laboratory == "Works laboratory (invented)"
    assert document.accreditation == "None (invented)."
    assert str(settings) in [source.path for source in document.sources]


def test_an_order_of_another_laboratory_is_refused(order: Path, tmp_path: Path) -> None:
    settings = tmp_path / "laboratory.toml"
    settings.write_text(SETTINGS, encoding="utf-8")
    with pytest.raises(InputError, match=r"'laboratory' of the test order says .* leave it out"):
        report_order(order, date=DATE, laboratory=settings)


WHOLE = (
    "sample,condition,temperature_c,quantity,value,unit\n"
    "E,original,,flash_point,288,°C\nE,original,135,rotational_viscosity,0.62,Pa·s\n"
    "E,original,64,rutting_parameter,1.42,kPa\nE,RTFO,,mass_change_percent,-0.31,%\n"
    "E,RTFO,64,rutting_parameter,3.11,kPa\nE,PAV,25,fatigue_parameter,3900,kPa\n"
    "E,PAV,-12,creep_stiffness,212,MPa\nE,PAV,-12,m_value,{m},\n"
)


def _whole_order(folder: Path, claimed: str, m: float = 0.318) -> Path:
    (folder / "results.csv").write_text(WHOLE.format(m=m), encoding="utf-8")
    order = folder / "order.toml"
    order.write_text(
        'specification = "m320"\ntables = ["results.csv"]\n'
        f'[sample]\nname = "E"\nclaimed_grade = "{claimed}"\n',
        encoding="utf-8",
    )
    return order


@pytest.mark.parametrize(("m", "holds"), [(0.318, True), (0.290, False)])
def test_a_claimed_whole_grade_is_verified(tmp_path: Path, m: float, holds: bool) -> None:
    # Limit of the m-value: 0.300 at low + 10 (AASHTO M 320, Table 1, read).
    report = report_order(_whole_order(tmp_path, "PG 64-22", m), date=DATE)
    assert report.statement.claimed_grade == "PG 64-22"
    assert report.complies is holds
    assert report.document.title == "Performance grade of a bituminous binder"
    assert report.document.method == "AASHTO T 48; AASHTO T 316; AASHTO T 315; AASHTO T 240; AASHTO T 313"


def test_a_claim_in_other_words_than_the_specification_is_told_not_judged(tmp_path: Path) -> None:
    report = report_order(_whole_order(tmp_path, "50/70"), date=DATE)
    assert report.statement.claimed_grade == ""
    assert "claimed-grade-unknown" in [finding.code for finding in report.statement.findings]


def test_residues_exchanged_between_raw_records_are_told_and_a_typed_table_joins_in(
    day: Path, tmp_path: Path
) -> None:
    """Order 201 with two oscillation records exchanged, and a typed m-value beside those of the beams."""
    shutil.copytree(day / "201-plain", tmp_path / "201")
    order = tmp_path / "201" / "order.toml"
    clean = {f.code for f in report_order(order, date=DATE).statement.findings}
    assert not clean & {"residues-exchanged", "ageing-order-reversed", "ageing-ratio-out-of-range"}
    _edited(
        order,
        ('file = "original-oscillation.csv"\ncondition = "original"', 'file = "x"\ncondition = "RTFO"'),
        ('file = "rtfo-oscillation.csv"\ncondition = "RTFO"', 'file = "y"\ncondition = "original"'),
        ('file = "x"', 'file = "original-oscillation.csv"'),
        ('file = "y"', 'file = "rtfo-oscillation.csv"'),
        ('tables = ["flash-point.csv"]', 'tables = ["flash-point.csv", "typed.csv"]'),
    )
    typed = "sample,condition,temperature_c,quantity,value,unit\n201,PAV,-6,m_value,0.25,\n"
    (order.parent / "typed.csv").write_text(typed, encoding="utf-8")
    report = report_order(order, date=DATE)
    told = [f for f in report.statement.findings if f.code == "residues-exchanged"]
    assert {f.message.partition(",")[0] for f in told} == {"201"}
    assert "as ageing gives it" in told[0].message
    told_codes = {f.code for f in report.statement.findings}
    assert {"ageing-order-reversed", "wrong-way-with-temperature"} <= told_codes
    assert told[0] in findings_of(report.document)
