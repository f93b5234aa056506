"""The laboratory's own precision as the basis of uncertainty, where a command lets a basis be chosen."""

import json
from pathlib import Path

import pytest

RESULTS = """\
sample,condition,temperature_c,quantity,value,unit
Spring,original,,flash_point,280,°C
Spring,original,135,rotational_viscosity,0.6,Pa·s
Spring,short_term_aged,,mass_change_percent,-0.3,%
Spring,original,64,rutting_parameter,2.0,kPa
Spring,short_term_aged,64,jnr_3.2,0.7,1/kPa
Spring,short_term_aged,64,jnr_difference_percent,20,%
Spring,long_term_aged,25,fatigue_parameter,2200,kPa
Spring,long_term_aged,-12,creep_stiffness,150,MPa
Spring,long_term_aged,-12,m_value,0.350,
"""
OWN = (
    '[[precision]]\nkey = "OP-1"\nquantity = "jnr_3.2"\nrepeatability = 0.02\nstandard = 0.05\n'
    "until = 2026-01-31\n"
)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "results.csv").write_text(RESULTS, encoding="utf-8")
    (tmp_path / "own.toml").write_text(OWN, encoding="utf-8")
    (tmp_path / "range.csv").write_text(
        "binder,price (crowns),results\nSpring,600,results.csv\n", encoding="utf-8"
    )
    (tmp_path / "sites.csv").write_text("site,grade\nroad 1,64V-22\n", encoding="utf-8")
    (tmp_path / "certificate.csv").write_text(RESULTS, encoding="utf-8")
    return tmp_path


COMMANDS = {
    "grade": ("grade", "results.csv", "--specification", "m332-2020"),
    "match": ("match", "sites.csv", "range.csv", "--with-uncertainty"),
    "certificate": ("certificate", "certificate.csv", "--claim", "64V-22", "--own", "results.csv"),
}


@pytest.mark.parametrize("command", COMMANDS)
def test_a_precision_that_is_not_named_is_asked_for_by_its_option(run, here: Path, command: str) -> None:
    code, _, err = run(*COMMANDS[command], "--uncertainty-basis", "own")
    assert code == 2
    assert "none is named: give its file (--precision FILE" in err


@pytest.mark.parametrize("command", ["grade", "match"])
def test_verdicts_rest_on_it_from_the_day_after_its_data(run, here: Path, command: str) -> None:
    asked = (*COMMANDS[command], "--uncertainty-basis", "own", "--precision", "own.toml", "--json")
    told = {}
    for day in ("2026-01-10", "2026-02-10"):
        code, out, err = run(*asked, "--tested", day)
        assert code in (0, 1), err
        told[day] = json.dumps(json.loads(out))
    assert told["2026-01-10"] != told["2026-02-10"]


def test_own_results_beside_a_certificate_may_rest_on_it_and_a_day_that_is_none_is_refused(
    run, here: Path
) -> None:
    asked = (*COMMANDS["certificate"], "--uncertainty-basis", "own", "--precision", "own.toml")
    assert run(*asked, "--tested", "2026-02-10")[0] in (0, 1)
    code, _, err = run(*asked, "--tested", "soon")
    assert (code, "needed: year-month-day" in err) == (2, True)
