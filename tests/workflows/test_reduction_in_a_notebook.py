"""A reduction shows and draws itself whatever the test was."""

from pathlib import Path

import pytest

import resile

BEAM = "residue,PAV\ntest temperature,-18 °C\n\ntime [s],load [mN],deflection [mm]\n" + "\n".join(
    f"{t},980,{0.36 * (t / 60.0) ** 0.32:.4f}" for t in (8, 15, 30, 60, 120, 240)
)
SWEEP = "T [°C],angular frequency [rad/s],G* [kPa],phase angle [°]\n"
RECORDS = {
    "beam": (BEAM, "creep stiffness"),
    "oscillation": (SWEEP + "64,10,1.45,85.5\n70,10,0.70,86.2\n", "phase angle"),
    "frequencies": (SWEEP + "".join(f"64,{w},{0.15 * w},81.0\n" for w in (1, 2, 5, 10, 20)), "phase angle"),
    "viscosity": ("temperature [°C],viscosity [cP],torque [%]\n135,512,51\n165,123,31\n", "viscosity"),
}


@pytest.mark.parametrize("kind", RECORDS)
def test_a_run_of_any_test_is_drawn_and_shown(kind: str, tmp_path: Path) -> None:
    text, words = RECORDS[kind]
    path = tmp_path / f"{kind}.csv"
    path.write_text(text, encoding="utf-8")
    reduction = resile.reduce_record(path)
    assert words in str(reduction.figure()).lower()
    shown = reduction._repr_html_()
    assert "<table" in shown
    assert "<svg" in shown
