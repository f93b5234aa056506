"""The certificate command: the same answer as from Python, and an exit code that a script can use."""

import json
from pathlib import Path

import resile

LONG = """Certificate number: 9
Grade: 64V
Graded by: M 332-14

property,condition,temperature_c,result,unit,limit,basis
Flash point,original,,285,°C,min 230,measured
rotational viscosity,original,135,1.2,Pa·s,max 3,measured
G*/sin δ,original,64,2.7,kPa,min 1,measured
Mass change,RTFO,,-0.3,%,max 1,measured
Jnr3.2,RTFO,64,0.42,1/kPa,max 1,measured
"Jnr,diff",RTFO,64,40,%,max 75,measured
"""


def test_command_and_python_say_the_same(run, tmp_path: Path) -> None:
    file = tmp_path / "certificate.csv"
    file.write_text(LONG, encoding="utf-8")
    code, out, _ = run("certificate", file, "--json")
    assert code == 0
    assert json.loads(out) == json.loads(json.dumps(resile.check_certificate(file).to_json()))
    assert json.loads(out)["stands"] is True


def test_a_certificate_that_does_not_stand_ends_with_exit_code_1(run, tmp_path: Path) -> None:
    file = tmp_path / "certificate.csv"
    file.write_text(LONG.replace("0.42", "1.42"), encoding="utf-8")
    code, out, _ = run("certificate", file)
    assert code == 1
    assert "does not stand as proof of 64V" in out
    assert "Not met: Jnr3.2." in out


def test_a_certificate_that_cannot_be_read_is_refused_in_one_sentence(run, tmp_path: Path) -> None:
    assert run("certificate", tmp_path / "none.csv", "--claim", "64V")[0] == 3
    file = tmp_path / "certificate.toml"
    file.write_text('[certificate]\nnumbr = "1"\n', encoding="utf-8")
    code, _, err = run("certificate", file, "--claim", "64V")
    assert code == 2
    assert "certificate.numbr" in err
