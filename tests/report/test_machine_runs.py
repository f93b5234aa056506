"""Pages with oscillation, bending-beam and viscosity runs: sections, limits, cautions, how they were read."""

import io
import math
import re
from dataclasses import replace

import openpyxl
import pypdf
import pytest
from example_records import example_document, example_statement
from machine_records import beam, beam_group, from_file, groups, oscillation

from resile.records.bending_beam import BeamGeometry, BeamRun
from resile.records.determination import Condition
from resile.records.finding import Finding, Severity
from resile.records.run_group import RunGroup
from resile.records.specification import Requirement
from resile.report.document import ReportDocument
from resile.report.page import html_page, pdf_page
from resile.report.paper.assemble import page_of
from resile.report.paper.models.model import Section
from resile.report.paper.runs.machine_runs import limits_of
from resile.report.workbook import workbook_bytes

RUTTING = Requirement(
    "rutting", "rutting", "row 1", Condition.ORIGINAL, "rutting_parameter", "minimum", "kPa", {"*": 1.0}
)


@pytest.fixture(scope="module")
def mixed() -> ReportDocument:
    return example_document(machine_groups=groups())


@pytest.fixture(scope="module")
def sections(mixed: ReportDocument) -> dict[str, Section]:
    return {section.title: section for section in page_of(mixed).sections}


def test_every_group_has_a_section_after_the_creep_recovery_runs(sections: dict[str, Section]) -> None:
    titles = list(sections)
    ours = [
        "The run",
        "Oscillation: original binder",
        "Oscillation",
        "Bending beam at −12.0 °C: long-term aged",
        "Rotational viscosity: original binder",
    ]
    assert [title for title in titles if title in ours] == ours
    assert all(sections[title].pictures for title in ours)


def test_the_facts_name_plates_gap_frequency_and_strain(sections: dict[str, Section]) -> None:
    facts = dict(sections["Oscillation: original binder"].facts)
    assert facts["Plates"] == "25 mm"
    assert facts["Gap"] == "1.0 mm"
    assert facts["Angular frequency"] == "10.0 rad/s"
    assert facts["Strain amplitude"] == "12.0 %"


def test_replicate_beams_stand_together_with_mean_and_scatter(sections: dict[str, Section]) -> None:
    section = sections["Bending beam at −12.0 °C: long-term aged"]
    facts = dict(section.facts)
    # Constructed: 223.622 and 0.95 times it; mean 218.03, range 5.1 % of the mean, s/mean 3.6 %.
    assert facts["Mean S after 60 s"] == "218 MPa"
    assert facts["Scatter of S"] == "range 5.1 % of the mean, CV 3.6 %"
    beams, times = section.tables
    assert [row[1] for row in beams.rows] == ["224", "212", "218"]
    assert len(times.rows) == 12
    assert len(section.pictures) == 1


def test_the_caution_for_modified_binder_stands_beside_the_ranges(sections: dict[str, Section]) -> None:
    section = sections["Rotational viscosity: original binder"]
    assert "ask its supplier" in section.tables[-1].note
    assert "ask its supplier" in section.pictures[0].caption
    # Trade notes, section 6 [derived].
    ranges = [(row[0], row[1], row[3]) for row in section.tables[-1].rows]
    assert ranges == [("mixing", "151.1", "156.9"), ("compaction", "140.2", "144.9")]


def test_the_limit_of_the_residue_is_drawn_and_told() -> None:
    statement = example_statement()
    specification = replace(statement.specification, requirements=(RUTTING,))
    document = example_document(
        statement=replace(statement, specification=specification), machine_groups=groups()
    )
    group = document.machine_groups[0]
    assert limits_of(document, group, "rutting_parameter") == ((1.0, "at least 1.0 kPa"),)
    aged = replace(group, condition=Condition.SHORT_TERM_AGED)
    assert limits_of(document, aged, "rutting_parameter") == ()
    assert "at least 1.0 kPa" in html_page(document)


def test_findings_of_a_run_and_of_its_group_stand_among_all_findings() -> None:
    doubt = Finding("scatter", Severity.CAUTION, "The beams scatter.")
    own = Finding("load", Severity.NOTE, "specimen 1: The load drifts.")
    group = beam_group(1.0, 0.8)
    group = replace(group, findings=(doubt,), runs=(replace(beam(), findings=(own,)), group.runs[1]))
    page = page_of(example_document(machine_groups=(group,)))
    told = [entry.message for section in page.sections for entry in section.findings]
    assert {doubt.message, own.message} <= set(told)


def test_files_understood_alike_are_told_once_with_a_row_for_each(mixed: ReportDocument) -> None:
    sections = [s for s in page_of(mixed).sections if s.title.startswith("How the record")]
    beams = next(s for s in sections if s.title == "How the records were read: bending beam")
    files = next(t for t in beams.tables if t.caption.startswith("Files"))
    assert [row[0] for row in files.rows] == ["specimen 1.csv", "specimen 2.csv"]
    assert files.rows[0][3] == "3"


def test_refused_rows_of_a_machine_run_are_listed_with_their_reason() -> None:
    run = from_file(oscillation(), "half", refused=2)
    document = example_document(machine_groups=(RunGroup("oscillation", (run,), ("half",)),))
    tables = [
        t for s in page_of(document).sections for t in s.tables if t.caption.startswith("Rows that were")
    ]
    assert ("line 2", "x;y", "no number") in [row for table in tables for row in table.rows]


def test_every_file_stands_with_its_hash(mixed: ReportDocument) -> None:
    basis = next(s for s in page_of(mixed).sections if s.key == "basis")
    hashes = {row[0]: row[2] for row in basis.tables[0].rows}
    assert hashes["viscosity.csv"] == "v" * 64


def test_a_document_of_machine_runs_alone_answers_with_their_results() -> None:
    page = page_of(ReportDocument("1", "2026-05-12", "X", machine_groups=groups()))
    told = " ".join((page.answer, *page.answer_more))
    assert "mean S 218 MPa and mean m 0.307 after 60 s, 2 beams" in told
    assert "0.400 Pa·s at 135.0 °C" in told
    assert "No specification was applied." in told


def test_paper_and_screen_hold_the_same_sections(mixed: ReportDocument) -> None:
    reader = pypdf.PdfReader(io.BytesIO(pdf_page(mixed)))
    text = re.sub(r"\s+", " ", " ".join(page.extract_text() for page in reader.pages))
    html = html_page(mixed)
    for title in ("Bending beam at −12.0 °C: long-term aged", "Rotational viscosity: original binder"):
        assert title in text
        assert title in html
    assert html.count('role="img"') >= 8


def test_the_workbook_keeps_every_point_and_its_formulas_give_the_values() -> None:
    runs = tuple(
        replace(
            run,
            points=tuple(
                replace(p, load_mn=980.0, deflection_mm=79.954277 / p.creep_stiffness) for p in run.points
            ),
            geometry=BeamGeometry(102.0, 12.7, 6.35),
        )
        for run in beam_group(1.0, 0.95).runs
        if isinstance(run, BeamRun)
    )
    group = replace(beam_group(1.0, 0.95), runs=runs)
    data = workbook_bytes(example_document(machine_groups=(*groups()[:2], group, groups()[3])))
    kept = openpyxl.load_workbook(io.BytesIO(data), data_only=True)
    live = openpyxl.load_workbook(io.BytesIO(data))
    assert {"Oscillation", "Bending beam", "Viscosity"} <= set(kept.sheetnames)
    # Trade notes, section 2.3 [derived]: S = P L^3/(4 b h^3 delta).
    assert live["Bending beam"]["I2"].value == "=D2/1000*F2^3/(4*G2*H2^3*E2)"
    assert kept["Bending beam"]["I2"].value == pytest.approx(393.473)
    load, depth, span, width, thick = (kept["Bending beam"][f"{c}2"].value for c in "DEFGH")
    assert load / 1000 * span**3 / (4 * width * thick**3 * depth) == pytest.approx(393.473, abs=1e-3)
    points = [row for row in kept["Oscillation"].iter_rows(min_row=2, values_only=True) if row[0]]
    assert len(points) == 6 + 6
    assert points[0][8] == pytest.approx(3.2 / math.sin(math.radians(83)))
    words = [
        cell for row in kept["Viscosity"].iter_rows(values_only=True) for cell in row if isinstance(cell, str)
    ]
    assert any("ask its supplier" in text for text in words)


def test_fifteen_beams_stay_in_one_section_with_few_pictures() -> None:
    document = example_document(machine_groups=(beam_group(*[1.0 + 0.001 * n for n in range(15)]),))
    section = next(s for s in page_of(document).sections if s.key == "beam-1")
    assert len(section.pictures) == 3
    assert len(section.tables[0].rows) == 16
