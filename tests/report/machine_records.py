"""Runs of the other tests, constructed from definitions; the binder and all its numbers are invented."""

from dataclasses import replace
from typing import TypeVar

from resile.compute.rheology.beam.bending_beam import reduce_stiffness, summarise_beams
from resile.compute.rheology.oscillation.oscillation import reduce_oscillation
from resile.compute.rheology.viscosity.viscosity_temperature import reduce_viscosity
from resile.records.bending_beam import BeamRun
from resile.records.determination import Condition
from resile.records.oscillation import OscillationRun
from resile.records.reading import ColumnReading, ReadingAccount, RefusedRow, SourceFile
from resile.records.run_group import RunGroup
from resile.records.viscosity import ViscosityRun

TIMES_S = (8.0, 15.0, 30.0, 60.0, 120.0, 240.0)
# Trade notes, section 2.3 [derived]: exact quadratic A 2.80, B -0.20, C -0.03.
STIFFNESS_MPA = (393.473, 333.646, 274.865, 223.622, 179.669, 142.559)
Run = TypeVar("Run", OscillationRun, BeamRun, ViscosityRun)


def from_file(run: Run, name: str, *, refused: int = 0) -> Run:
    rows = tuple(RefusedRow(f"line {n}", "x;y", "no number") for n in range(1, refused + 1))
    account = ReadingAccount(
        "delimited text",
        "utf-8",
        "comma",
        columns=(ColumnReading(1, "T (°C)", "temperature_c", "°C", 1.0, "°C"),),
        rows_kept=3,
        rows_refused=rows,
        rows_refused_count=refused,
    )
    return replace(run, source=SourceFile(f"{name}.csv", name[0] * 64, 120), account=account, label=name)


def beam(share: float = 1.0, temperature_c: float = -12.0, name: str = "specimen 1") -> BeamRun:
    run = reduce_stiffness(TIMES_S, [share * s for s in STIFFNESS_MPA], temperature_c=temperature_c)
    return from_file(replace(run, condition=Condition.LONG_TERM_AGED), name)


def oscillation(
    share: float = 1.0, condition: Condition = Condition.ORIGINAL, name: str = "specimen 1"
) -> OscillationRun:
    run = reduce_oscillation(
        [58, 64, 70],
        [3.2 * share, 1.5 * share, 0.8 * share],
        [83, 85, 86],
        angular_frequency_rad_s=10,
        strain=0.12,
        plate_diameter_mm=25.0,
        gap_mm=1.0,
        condition=condition,
    )
    return from_file(run, name)


def sweep() -> OscillationRun:
    rows = [(t, w, 100.0 * w**0.7 / t, 60.0 - w**0.2) for t in (10.0, 22.0) for w in (0.1, 1.0, 10.0)]
    t, w, g, d = zip(*rows, strict=True)
    return from_file(reduce_oscillation(t, g, d, angular_frequency_rad_s=w), "sweep")


def viscosity(temperatures: tuple[float, ...] = (135.0, 165.0)) -> ViscosityRun:
    # Trade notes, section 6: 0.400 Pa·s at 135 °C and 0.110 Pa·s at 165 °C.
    run = reduce_viscosity(temperatures, (0.400, 0.110)[: len(temperatures)], torque_share_percent=40.0)
    return from_file(replace(run, condition=Condition.ORIGINAL), "viscosity")


def beam_group(*shares: float) -> RunGroup:
    names = tuple(f"specimen {place}" for place in range(1, len(shares) + 1))
    runs = tuple(beam(share, name=name) for share, name in zip(shares, names, strict=True))
    together = summarise_beams(runs) if len(runs) > 1 else None
    return RunGroup("bending_beam", runs, names, "", Condition.LONG_TERM_AGED, -12.0, together)


def groups() -> tuple[RunGroup, ...]:
    names = ("specimen 1", "specimen 2")
    runs = tuple(oscillation(share, name=name) for share, name in zip((1.0, 1.05), names, strict=True))
    return (
        RunGroup("oscillation", runs, names, condition=Condition.ORIGINAL),
        RunGroup("oscillation", (sweep(),), ("sweep",)),
        beam_group(1.0, 0.95),
        RunGroup("rotational_viscosity", (viscosity(),), ("viscosity",), condition=Condition.ORIGINAL),
    )
