"""Archives of invented results, written as a batch writes them: for questions and for judging anew."""

import random
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from resile.records.determination import Condition, Determination
from resile.records.finding import Finding, Severity
from resile.records.quantity import AGEING_QUANTITIES, QUANTITIES
from resile.storage.archive.parquet import write_rows
from resile.storage.archive.schema import (
    FILES,
    RESULTS,
    VERDICTS,
    ArchiveStatement,
    write_archive_statement,
)

PRODUCTS = ("Quarnsk Plain", "Quarnsk Spring", "Quarnsk Deep")
SOFTWARE = "0.1.0"


@dataclass(frozen=True, kw_only=True)
class Line:
    """One result of an archive; what is not given is not known."""

    sample: str
    quantity: str
    value: float | None
    condition: str = "short_term_aged"
    temperature_c: float | None = 64.0
    lot: str = ""
    product: str = ""
    tested: str = ""
    part: str = ""
    worst: str = ""
    findings: tuple[str, ...] = ()
    sha256: str = field(default="")
    laboratory: str = ""

    @property
    def aged(self) -> bool:
        return self.quantity in AGEING_QUANTITIES

    def row(self) -> tuple[object, ...]:
        test = "creep_recovery" if "jnr" in self.quantity else "oscillation"
        test = "ageing" if self.aged else test
        return (
            self.sha256 or f"{abs(hash((self.sample, self.part))):064x}"[-64:],
            self.part,
            self.sample,
            self.lot,
            self.product,
            self.tested,
            test,
            self.condition,
            self.quantity,
            self.temperature_c,
            None,
            self.value,
            QUANTITIES[self.quantity].unit,
            self.worst,
            list(self.findings),
            SOFTWARE,
            self.laboratory,
        )

    def determination(self) -> Determination:
        invalid = Finding(code="x", severity=Severity.INVALID, message="x", rule="x")
        return Determination(
            self.sample,
            Condition(self.condition),
            self.temperature_c,
            self.quantity,
            self.value,
            QUANTITIES[self.quantity].unit,
            raw=True,
            findings=(invalid,) if self.worst == "invalid" else (),
            laboratory=self.laboratory,
            tested=self.tested,
        )


def write_archive(
    folder: Path, lines: Sequence[Line], *, verdicts: Iterable[tuple[object, ...]] = ()
) -> Path:
    """Write an archive whose lines stand sample by sample, as given within each."""
    ordered = sorted(lines, key=lambda line: line.sample)
    write_archive_statement(
        folder, ArchiveStatement(SOFTWARE, "record files", {"specification": "m332-2014"})
    )
    write_rows(folder / "results.parquet", RESULTS, (line.row() for line in ordered))
    files = {line.row()[0]: line for line in ordered}
    rows = [
        (sha, f"{one.sample}.csv", [], 1000, one.row()[6], 1, "", 0, SOFTWARE) for sha, one in files.items()
    ]
    write_rows(folder / "files.parquet", FILES, sorted(rows, key=lambda row: (row[1], row[0])))
    write_rows(folder / "verdicts.parquet", VERDICTS, verdicts)
    return folder


def awkward_samples(count: int, seed: int) -> list[Line]:
    """Samples that try every turn of a verdict: replicates, invalid ones, limits hit, halves, gaps."""
    draw = random.Random(seed)
    return [line for number in range(count) for line in _sample(draw, f"Q-{number:05d}")]


_VALUES = {
    "jnr_3.2": (0.42, 0.5, 0.504, 0.505, 0.495, 1.0, 1.005, 2.0, 2.0105, 4.5, 4.72, 0.07, 0.255),
    "jnr_difference_percent": (12.0, 74.95, 75.0, 75.05, 75.15, 210.0, -3.0),
    "rutting_parameter": (0.995, 1.0, 1.005, 1.015, 2.2, 2.195, 3.1),
    "mass_change_percent": (-1.0, 1.0005, -0.2, 0.4, -1.3, 1.0),
    "fatigue_parameter": (4999.5, 5000.5, 5600.0, 6000.0, 6001.0, 2100.0),
    "creep_stiffness": (299.5, 300.5, 300.0, 450.0, 640.0, 180.0),
    "m_value": (0.3, 0.2995, 0.3005, 0.31, 0.27),
    "phase_angle": (41.9, 42.0, 43.0),
    "failure_strain_percent": (0.9, 1.0, 1.4),
    "flash_point": (229.0, 230.0, 260.0),
    "rotational_viscosity": (0.5, 3.0, 3.001),
}


def _sample(draw: random.Random, name: str) -> list[Line]:
    high = draw.choice((52.0, 58.0, 64.0, 70.0))
    low = draw.choice((-10.0, -16.0, -22.0, -28.0))
    about = {
        "sample": name,
        "lot": f"L{draw.randrange(40)}",
        "product": draw.choice(PRODUCTS),
        "tested": f"{draw.randrange(2016, 2026)}-{draw.randrange(1, 13):02d}-11",
    }
    middle = (high + low) / 2.0 + 4.0
    wanted = [
        ("jnr_3.2", ("short_term_aged", "recovered"), high),
        ("jnr_3.2", ("short_term_aged",), high + 6.0),
        ("jnr_difference_percent", ("short_term_aged", "recovered"), high),
        ("rutting_parameter", ("original", "short_term_aged", "unknown"), high),
        ("rutting_parameter", ("short_term_aged", "recovered"), high),
        ("mass_change_percent", ("short_term_aged",), None),
        ("flash_point", ("original",), None),
        ("rotational_viscosity", ("original",), 135.0),
        ("fatigue_parameter", ("long_term_aged",), middle),
        ("phase_angle", ("long_term_aged",), middle),
        ("creep_stiffness", ("long_term_aged",), low + 10.0),
        ("m_value", ("long_term_aged",), low + 10.0),
        ("failure_strain_percent", ("long_term_aged",), low + 10.0),
    ]
    lines = []
    for quantity, residues, temperature in wanted:
        if draw.random() < 0.15:
            continue
        condition = residues[0] if draw.random() < 0.85 else draw.choice(residues)
        for replicate in range(draw.choice((1, 1, 1, 2, 3))):
            value = draw.choice(_VALUES[quantity]) * (
                1.0 if draw.random() < 0.5 else draw.uniform(0.95, 1.05)
            )
            off = draw.choice((0.0, 0.0, 0.04, -0.06, 0.1, 0.11, 0.2)) if temperature is not None else 0.0
            lines.append(
                Line(
                    quantity=quantity,
                    value=value,
                    condition=condition,
                    temperature_c=None if temperature is None else temperature + off,
                    part=f"{quantity} {replicate}",
                    worst="invalid" if draw.random() < 0.07 else draw.choice(("", "", "note", "caution")),
                    **about,
                )
            )
    draw.shuffle(lines)
    return lines
