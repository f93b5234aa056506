"""Questions to a small archive whose answers can be counted by hand."""

from collections.abc import Callable
from pathlib import Path

import pytest

from invented_archive import Line, write_archive
from resile.errors import InputError
from resile.records.archive_answers import AnswerTable, ResultsWanted
from resile.workflows.archive import questions


def verdict(sample: str, tested: str, value: float, outcome: str) -> tuple[object, ...]:
    head = (sample, "", "Quarnsk Plain", tested, "m332-2014", "2014", "simple", "64V", "jnr_3.2_maximum")
    return (*head, "jnr_3.2", "short_term_aged", 64.0, 1.0, value, outcome, 1.0 - value, 0.1, 0.5, [])


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    about = {"quantity": "jnr_3.2", "product": "Quarnsk Plain"}
    lines = [
        Line(sample="A-1", value=0.1, tested="2024-01-05", **about),
        Line(sample="A-2", value=10.0, tested="2024-01-20T10:00", lot="North 7", **about),
        Line(
            sample="A-3",
            value=2.0,
            tested="2024-02-01",
            worst="caution",
            findings=("drifts", "noisy"),
            **about,
        ),
        Line(sample="A-4", value=999.0, tested="2024-02-02", worst="invalid", findings=("drifts",), **about),
        Line(sample="A-5", value=3.0, tested="", **about),
        Line(sample="B-1", value=4.0, tested="2024-02-01", quantity="jnr_3.2", product="Other's 'own'"),
    ]
    verdicts = [
        verdict("A-1", "2024-01-05", 0.1, "pass"),
        verdict("A-2", "2024-01-20", 10.0, "fail"),
        verdict("A-3", "2024-02-01", 2.0, "conditional fail"),
    ]
    return write_archive(tmp_path_factory.mktemp("asked") / "archive", lines, verdicts=verdicts)


PLAIN = ResultsWanted(quantity="jnr_3.2", product="Quarnsk Plain")


def column(table: AnswerTable, name: str) -> list[object]:
    return [row[table.columns.index(name)] for row in table.rows]


def test_a_trend_has_a_geometric_mean_the_share_that_fails_and_the_nearest_margin(archive: Path) -> None:
    found = questions.archive_trend(archive, PLAIN, label="64V")
    first, second = found.months
    assert (first.month, first.results, first.lowest, first.highest) == ("2024-01", 2, 0.1, 10.0)
    assert first.mean == pytest.approx(1.0)  # of 0.1 and 10 on a logarithmic scale
    assert (first.failing, first.compared, first.nearest_margin) == (1, 2, -9.0)
    assert (second.results, second.failing) == (1, 1)  # the invalid one is left out
    assert (found.limit, found.unit, found.undated) == (1.0, "1/kPa", 1)
    plain = questions.archive_trend(archive, PLAIN, scale="linear")
    assert plain.months[0].mean == pytest.approx(5.05)
    assert plain.months[0].failing is None


def test_runs_are_found_by_finding_severity_and_time(archive: Path) -> None:
    everything = ResultsWanted()
    assert column(questions.runs_of(archive, everything, code="drifts"), "sample") == ["A-4", "A-3"]
    assert column(questions.runs_of(archive, everything, code="drifts", severity="caution"), "sample") == [
        "A-3"
    ]
    assert not questions.runs_of(archive, ResultsWanted(until="2024-01-31")).rows
    assert questions.findings_of(archive, everything).rows[0][:2] == ("drifts", 2)
    assert questions.runs_of(archive, everything, most=1).cut


def test_days_bound_a_question_with_both_ends_in_it(archive: Path) -> None:
    found = questions.archive_trend(
        archive, ResultsWanted(quantity="jnr_3.2", since="2024-01-20", until="2024-01-20")
    )
    assert [one.results for one in found.months] == [1]


def test_a_name_is_a_name_whatever_signs_are_in_it(archive: Path) -> None:
    found = questions.distribution_of(archive, ResultsWanted(quantity="jnr_3.2", product="Other's 'own'"))
    assert column(found, "mean") == [4.0]
    assert not questions.distribution_of(
        archive, ResultsWanted(quantity="jnr_3.2", product="x' OR '1'='1")
    ).rows


def test_extremes_failures_and_samples_are_listed(archive: Path) -> None:
    assert column(questions.extremes_of(archive, PLAIN, most=1), "value") == [0.1, 999.0]
    (line,) = questions.failures_of(archive, ResultsWanted()).rows
    assert line[3:8] == ("64V", "jnr_3.2_maximum", 3, 1, 1)
    assert column(questions.samples_named(archive, "north"), "sample") == ["A-2"]
    contents = questions.archive_contents(archive)
    assert (contents.results, contents.samples, contents.first, contents.last) == (
        6,
        6,
        "2024-01-05",
        "2024-02-02",
    )


@pytest.mark.parametrize(
    ("question", "said"),
    [
        ("DROP VIEW results", "one SELECT"),
        ("SELECT 1; SELECT 2", "found 2 statements"),
        ("SELECT * FROM read_csv('/etc/passwd')", "nothing else on this machine"),
        ("SELECT * FROM glob('/*')", "nothing else on this machine"),
        ("COPY results TO '/tmp/x.csv'", "one SELECT"),
        ("SELECT * FROM 'http://localhost:1/x.parquet'", "nothing else on this machine"),
        ("SET threads = 1", "one SELECT"),
        ("SELECT * FROM archive", "does not exist"),
        ("SELEC 1", "cannot be read"),
        ("SELECT missing FROM results", "missing"),
        ("", "found 0 statements"),
    ],
)
def test_a_free_question_reads_the_archive_and_nothing_else(archive: Path, question: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        questions.free_answer(archive, question)


def test_a_free_question_is_answered_cut_and_stopped(archive: Path) -> None:
    from resile.storage.archive.asking import asked

    found = questions.free_answer(
        archive, "SELECT sample, count(*) n FROM results GROUP BY 1 ORDER BY 1", most=2
    )
    assert (found.columns, found.cut) == (("sample", "n"), True)
    assert found.rows == (("A-1", 1), ("A-2", 1))
    with asked(archive) as asking, pytest.raises(InputError, match="took longer"):
        asking.free("SELECT sum(a.range * b.range) FROM range(1000000) a, range(1000000) b", longest_s=0.3)


@pytest.mark.parametrize(
    ("asked_for", "said"),
    [
        (lambda a: questions.archive_trend(a, ResultsWanted(quantity="jnr")), r"near it: .*jnr_3\.2"),
        (lambda a: questions.archive_trend(a, PLAIN, scale="cubic"), "log or linear"),
        (lambda a: questions.runs_of(a, PLAIN, severity="grave"), "invalid, caution, note"),
    ],
)
def test_what_is_not_known_is_told(archive: Path, asked_for: Callable[[Path], object], said: str) -> None:
    with pytest.raises(InputError, match=said):
        asked_for(archive)


@pytest.mark.parametrize(
    ("question", "said"),
    [
        (lambda a: questions.archive_trend(a, PLAIN, label="64X"), "class '64X': .*there are 64V"),
        (lambda a: questions.failures_of(a, PLAIN, label="58S"), "class '58S'"),
        (lambda a: questions.findings_of(a, ResultsWanted(since="yesterday")), "since 'yesterday' is no day"),
        (lambda a: questions.findings_of(a, ResultsWanted(condition="RTFO")), "residue 'RTFO' is not known"),
        (lambda a: questions.free_answer(a, "SELECT nope FROM results"), "The tables are files, results and"),
    ],
)
def test_what_could_never_fit_is_said_with_what_there_is(
    archive: Path, question: Callable[[Path], object], said: str
) -> None:
    with pytest.raises(InputError, match=said):
        question(archive)
