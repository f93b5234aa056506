"""Generated records of a mixed archive: every test, several layouts, some damaged; the same ones each time.

Invented binders: a Burgers model for creep recovery, straight lines on temperature for the others. Folders
are ``PRODUCT/LOT/SAMPLE``, and a file is named ``STATE-TEST-NUMBER``: `PATTERN` reads them.

    python -m benchmarks.mixed_records FOLDER FILES
"""

import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
SEED = 20261126
PATTERN = "{product}/{lot}/{sample}/{condition}-*"
FILES_A_SAMPLE = 8
SAMPLES_A_LOT = 25
LOTS_A_PRODUCT = 20
_DAMAGED_OF = 50
"""One file of so many is damaged."""


def _cycle_times() -> Floats:
    """Times of 30 cycles, as recorded: every 0.1 s under stress, every 0.45 s in recovery [s]."""
    one = np.concatenate((np.arange(1, 11) * 0.1, 1.0 + np.arange(1, 21) * 0.45))
    return np.concatenate([10.0 * cycle + one for cycle in range(30)])


_TIME = _cycle_times()
_CYCLE = np.minimum((_TIME - 1e-9) // 10.0, 29).astype(int)
_LEVEL = np.where(_CYCLE < 20, 0.1, 3.2)
_STRESS = np.where(_TIME - 10.0 * _CYCLE <= 1.0 + 1e-9, _LEVEL, 0.0)


def _answers() -> tuple[Floats, Floats, Floats]:
    """Strain of a spring, a dashpot and a delayed spring of unit compliance (time constant 2 s)."""
    spring, dashpot, delayed = (np.zeros(len(_TIME)) for _ in range(3))
    for cycle in range(30):
        stress = 0.1 if cycle < 20 else 3.2
        age = _TIME - 10.0 * cycle - 1e-9
        for sign, since in ((1.0, age), (-1.0, age - 1.0)):
            on = np.maximum(since, 0.0)
            spring += sign * stress * (since > 0.0)
            dashpot += sign * stress * on
            delayed += sign * stress * (1.0 - np.exp(-on / 2.0))
    return spring, dashpot, delayed


_SPRING, _DASHPOT, _DELAYED = _answers()


def creep_recovery(rng: np.random.Generator, layout: int, sample: str) -> str:
    """A record of 30 cycles, 900 rows; about 25 kB."""
    strain = (
        0.02 * _SPRING + float(rng.uniform(0.2, 3.0)) * _DASHPOT + float(rng.uniform(0.1, 0.6)) * _DELAYED
    )
    temperature = 64.0 + rng.normal(0.0, 0.02, len(_TIME))
    if layout == 1:
        head = "Zeit [s];Schubspannung [Pa];Scherdehnung [%];Temperatur [°C]\n"
        rows = zip(
            _TIME.tolist(),
            (1000 * _STRESS).tolist(),
            (100 * strain).tolist(),
            temperature.tolist(),
            strict=True,
        )
        return head + "".join(f"{t:.2f};{s:.1f};{e:.4f};{c:.2f}\n" for t, s, e, c in rows).replace(".", ",")
    columns = (_TIME.tolist(), _STRESS.tolist(), strain.tolist(), temperature.tolist())
    if layout == 2:
        above = f"Sample:\t{sample}\nResidue:\tRTFO\n\n"
        head = f"{above}time\tshear stress\tshear strain\ttemperature\ns\tkPa\t-\t°C\n"
        return head + "".join(
            f"{t:.2f}\t{s:.3f}\t{e:.6f}\t{c:.2f}\n" for t, s, e, c in zip(*columns, strict=True)
        )
    head = "time [s],shear stress [kPa],shear strain [-],temperature [°C]\n"
    return head + "".join(f"{t:.2f},{s:.3f},{e:.6f},{c:.2f}\n" for t, s, e, c in zip(*columns, strict=True))


def oscillation(rng: np.random.Generator, layout: int, sample: str) -> str:
    """Modulus and phase angle at 10 rad/s, at four temperatures."""
    level = float(rng.uniform(1.0, 3.0))
    head = (
        "temperature [°C],angular frequency [rad/s],complex modulus [kPa],phase angle [°],shear strain [%]\n"
    )
    rows = [
        (t, 10.0, level * 10 ** (-0.055 * (t - 64.0)), 84.0 + 0.15 * (t - 64.0), 12.0)
        for t in (58.0, 64.0, 70.0, 76.0)
    ]
    lines = "".join(f"{t:.2f},{w:.2f},{g:.4f},{d:.2f},{s:.2f}\n" for t, w, g, d, s in rows)
    if layout == 1:
        return (head + lines).replace(",", ";").replace(".", ",")
    return (f"Sample,{sample}\n\n" if layout == 2 else "") + head + lines


def bending_beam(rng: np.random.Generator, layout: int, sample: str) -> str:
    """Load and deflection over 240 s, every half second; -12 or -18 °C."""
    time = np.arange(0.5, 240.01, 0.5)
    bath = float(rng.choice([-12.0, -18.0]))
    stiffness = float(rng.uniform(120.0, 320.0)) * (time / 60.0) ** -float(rng.uniform(0.28, 0.38))
    load = 980.0 + rng.normal(0.0, 1.5, len(time))
    deflection = load * 1e-3 * 102.0**3 / (4.0 * 12.7 * 6.35**3 * stiffness)
    head = "time [s],load [mN],deflection [mm],temperature [°C],span [mm],width [mm],thickness [mm]\n"
    rows = zip(time.tolist(), load.tolist(), deflection.tolist(), strict=True)
    text = head + "".join(f"{t:.1f},{p:.1f},{d:.4f},{bath:.1f},102.0,12.70,6.35\n" for t, p, d in rows)
    return text.replace(",", "\t") if layout == 1 else text


def rotational_viscosity(rng: np.random.Generator, layout: int, sample: str) -> str:
    """Viscosity at 135 and 165 °C."""
    hot = float(rng.uniform(0.25, 1.2))
    rows = [(135.0, hot), (165.0, hot * 0.27)]
    lines = "".join(f"{t:.1f},{v:.3f},{s:.0f}\n" for (t, v), s in zip(rows, (60, 30), strict=True))
    return f"Sample,{sample}\n\ntemperature [°C],viscosity [Pa·s],torque [%]\n" + lines


_PLAN: tuple[tuple[str, str, Callable[[np.random.Generator, int, str], str]], ...] = (
    ("rtfo", "creep", creep_recovery),
    ("rtfo", "creep", creep_recovery),
    ("original", "shear", oscillation),
    ("rtfo", "shear", oscillation),
    ("pav", "beam", bending_beam),
    ("pav", "beam", bending_beam),
    ("original", "viscosity", rotational_viscosity),
    ("rtfo", "creep", creep_recovery),
)
"""The files of one sample."""


def _damaged(text: str, way: int) -> bytes:
    """Spoil a record: cut it in its heading, empty it, make it binary, or lose its columns."""
    if way == 0:
        return text[:25].encode()
    if way == 1:
        return b""
    if way == 2:
        return bytes(range(256)) * 40
    return "\n".join(line.split(",")[0].split(";")[0].split("\t")[0] for line in text.splitlines()).encode()


def write_archive_folder(folder: Path, files: int, *, kinds: tuple[str, ...] = ()) -> Path:
    """Write `files` records below a folder; only those of some tests where `kinds` names any."""
    plan = [one for one in _PLAN if not kinds or one[1] in kinds]
    for number in range(files):
        sample_number, place = divmod(number, len(plan))
        lot_number = sample_number // SAMPLES_A_LOT
        product, lot = f"product-{lot_number // LOTS_A_PRODUCT:03d}", f"lot-{lot_number:05d}"
        sample = f"{lot_number:05d}-{sample_number % SAMPLES_A_LOT:02d}"
        state, test, write = plan[place]
        rng = np.random.default_rng([SEED, number])
        text = write(rng, int(rng.integers(3)), sample)
        spoilt = not kinds and int(rng.integers(_DAMAGED_OF)) == 0
        data = _damaged(text, int(rng.integers(4))) if spoilt else text.encode()
        inside = folder / product / lot / sample
        inside.mkdir(parents=True, exist_ok=True)
        (inside / f"{state}-{test}-{place}.csv").write_bytes(data)
    return folder


if __name__ == "__main__":
    write_archive_folder(Path(sys.argv[1]), int(sys.argv[2]))
