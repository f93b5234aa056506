"""What a page says of a run, from its file alone."""

from pathlib import Path

import pytest

from resile.errors import InputError, RecordNotFoundError, ResileError
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.determination import Condition
from resile.records.reading import HeldFile
from resile.report.numbers import fixed
from resile.workflows.demonstration import write_demonstration
from resile.workflows.laboratory.runs.run_comparison import compare_runs
from resile.workflows.laboratory.runs.run_pictures import Chosen, picture_names, run_picture, still_of
from resile.workflows.laboratory.runs.run_rows import rows_behind
from resile.workflows.laboratory.runs.run_view import run_view
from resile.workflows.reducing.reduction import Run, reduce_record

BEAM = (
    b"temperature: -12 C\nTime (s),Load (mN),Deflection (mm)\n"
    b"8,980,0.20320\n15,980,0.23964\n30,980,0.29089\n60,980,0.35754\n120,980,0.44501\n240,980,0.56085\n"
)
VISCOSITY = "temperature (°C),viscosity (Pa·s),torque (%)\n135,0.400,40\n165,0.110,22\n".encode()
OSCILLATION = "frequency: 10 rad/s\ntemperature (°C),G* (kPa),δ (°)\n58,3.2,83\n64,1.5,85\n".encode()


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> list[HeldFile]:
    """Creep-recovery records of the invented laboratory, in hand."""
    folder = tmp_path_factory.mktemp("demonstration")
    write_demonstration(folder)
    found = []
    for path in sorted(folder.rglob("*.csv")):
        try:
            runs = reduce_record(path).runs
        except ResileError:  # tables of other kinds stand there as well
            continue
        if runs and isinstance(runs[0], CreepRecoveryRun):
            found.append(HeldFile(path.name, path.read_bytes()))
    return found


@pytest.fixture(scope="module")
def runs(files: list[HeldFile]) -> list[Run]:
    return [reduce_record(file).runs[0] for file in files]


def test_a_run_is_seen_with_findings_first_its_file_and_how_it_was_read(
    runs: list[Run], files: list[HeldFile]
) -> None:
    view = run_view(runs[0])
    assert view.test == "Creep recovery"
    assert view.pictures == ("run", "cycle", "cycles")
    assert view.source is not None
    assert view.source.path == files[0].name
    weights = ["invalid", "caution", "note"]
    placed = [weights.index(finding.severity) for finding in view.findings]
    assert placed == sorted(placed)
    signal = runs[0].signal
    assert signal is not None
    assert dict(view.reading)["Rows"].startswith(f"{fixed(len(signal), 0)} kept")
    assert len(view.cycles) == 30
    assert view.chosen == (3.2, 5)


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        (Chosen(cycle=7), (3.2, 7)),
        (Chosen(cycle=15), (0.1, 15)),
        (Chosen(stress_kpa=0.1, cycle=3), (0.1, 3)),
        (Chosen(stress_kpa=0.1), (0.1, 15)),
    ],
)
def test_a_cycle_is_found_by_its_number_at_the_highest_stress_that_has_it(
    runs: list[Run], asked: Chosen, found: tuple[float, int]
) -> None:
    assert run_view(runs[0], chosen=asked).chosen == found


def test_a_cycle_the_run_does_not_have_is_refused_with_those_it_has(runs: list[Run]) -> None:
    with pytest.raises(RecordNotFoundError, match="cycles 1 to 10 at this stress"):
        run_picture(runs[0], "cycle", chosen=Chosen(cycle=99))
    with pytest.raises(RecordNotFoundError, match="it has: run, cycle, cycles"):
        run_picture(runs[0], "spectrum", chosen=Chosen())


def test_the_rows_of_a_cycle_are_those_of_the_file_in_its_seconds(
    runs: list[Run], files: list[HeldFile]
) -> None:
    run = runs[0]
    assert isinstance(run, CreepRecoveryRun)
    cycle = next(c for c in run.levels[-1].cycles if c.number == 7)
    behind = rows_behind(run, files[0], cycle=(3.2, 7))
    assert behind.title == "cycle 7 at 3.2 kPa"
    column = next(c for c in behind.columns if c.quantity == "strain")
    strain = {
        row.mark: float(row.row.cells[column.position - 1].replace(",", ".")) * column.factor
        for row in behind.rows
        if row.mark
    }
    assert strain["end of creep"] == pytest.approx(cycle.creep_strain, rel=2e-3)
    assert strain["end of recovery"] == pytest.approx(cycle.recovered_strain, rel=2e-3)
    assert [row.inside for row in behind.rows[:3]] == [False, False, True]
    lines = files[0].content.decode().splitlines()
    assert all(row.row.text == lines[row.row.number - 1] for row in behind.rows)
    assert behind.count == sum(row.inside for row in behind.rows)


@pytest.mark.parametrize(
    ("content", "test"),
    [(BEAM, "Bending beam"), (VISCOSITY, "Rotational viscosity"), (OSCILLATION, "Oscillation")],
)
def test_runs_of_other_tests_have_their_picture_tables_and_rows(content: bytes, test: str) -> None:
    file = HeldFile("record.csv", content)
    (run,) = reduce_record(file).runs
    view = run_view(run)
    assert view.test == test
    assert view.tables
    assert view.cycles == ()
    assert picture_names(run) == ("run",)
    assert still_of(run_picture(run, "run", chosen=Chosen()).spec).startswith("<svg")
    behind = rows_behind(run, file)
    assert behind.count == len(behind.rows)
    assert all(row.inside for row in behind.rows)


def test_runs_are_compared_with_their_spread_and_doubts(runs: list[Run], tmp_path: Path) -> None:
    names = ["one", "two"]
    found = compare_runs(runs[:1] * 2, names, place=99)
    assert found.place == found.most_cycles == 10
    assert found.stress_kpa == 3.2
    assert all(repeats.spread == 0.0 for repeats in found.repeats)
    assert "Two of these runs come from the same file." in found.doubts
    assert [column.title for column in found.table.columns][:3] == ["Value", "one", "two"]
    mixed = compare_runs(runs[:1] * 2, names, conditions=[Condition.ORIGINAL, Condition.SHORT_TERM_AGED])
    assert any("different residues" in doubt for doubt in mixed.doubts)


def test_what_cannot_be_compared_is_refused_with_what_is_needed(runs: list[Run]) -> None:
    with pytest.raises(InputError, match="two to 6"):
        compare_runs(runs[:1], ["one"])
    (beam,) = reduce_record(HeldFile("beam.csv", BEAM)).runs
    with pytest.raises(InputError, match="only creep-recovery runs"):
        compare_runs([runs[0], beam], ["one", "beam"])
