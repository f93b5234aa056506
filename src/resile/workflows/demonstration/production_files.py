"""The invented year as files: tables of lots, loads, comparison rounds and checks of a fluid."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

import numpy as np

from resile.records.quantity import QUANTITIES
from resile.workflows.demonstration.production import (
    InventedLot,
    InventedProduct,
    InventedYear,
    produce,
    read_year,
)

FOLDER = "401-production"
RESIDUES = {"original": "original", "short_term_aged": "RTFO"}
_LOADS = range(141, 181)
"""Lots of the plain binder that loads are told of: those about the wrong tank."""
_ROUNDS = ("2025-06", "2025-09", "2025-12", "2026-03")
_ASSIGNED = {"jnr_3.2": (1.62, 0.11), "softening_point": (58.4, 0.7), "flash_point": (286.0, 6.0)}
"""Value assigned in the first round, and the deviation by which the rounds score: invented."""
_Z = {
    "jnr_3.2": (0.4, 0.9, 1.5, 2.2),
    "softening_point": (-0.6, 0.3, -0.2, 0.5),
    "flash_point": (1.0, -0.8, 0.2, -0.4),
}
_FLUID_KPA = 2.51
"""Complex modulus of the invented check fluid at 64 °C and 10 rad/s: 251 Pa·s times 10 rad/s."""
_FLUID_SCATTER = 0.004
_WARM_SHARE = 0.1
"""What the rheometer reads low while it runs 1.5 °C too warm: about 7 % for each degree, no source."""


@dataclass(frozen=True, slots=True)
class InventedCheck:
    """A check of a rheometer with the invented fluid: day, number of the rheometer, operator, found [kPa]."""

    day: str
    instrument: int
    operator: str
    measured: float


def production_files(invented: str) -> dict[str, bytes]:
    """Give the files of the invented year by their names.

    Parameters
    ----------
    invented : str
        Words by which every file says that it is invented.
    """
    year, lots = read_year(), produce()
    files = {
        f"lots-{one.name.split()[1].lower()}.csv": _lots(one, year, lots, invented) for one in year.products
    }
    files["loads.csv"] = _loads(year, lots, invented)
    files["rounds.csv"] = _rounds(year, invented)
    files["fluid-checks.csv"] = _checks(year, invented)
    return {
        f"{FOLDER}/{name}": ("\n".join(",".join(row) for row in rows) + "\n").encode()
        for name, rows in files.items()
    }


def lines_of_lot(product: InventedProduct, lot: InventedLot) -> list[list[str]]:
    """Give the results of a lot as written: residue, temperature, quantity, value and unit of each."""
    lines = []
    for one in product.properties:
        watched = one.watched
        at = "" if watched.temperature_c is None else f"{watched.temperature_c:g}"
        value = f"{lot.values[watched.quantity]:.{one.digits}f}"
        lines.append([RESIDUES[watched.condition], at, watched.quantity, value, watched.unit])
    return lines


def _lots(
    product: InventedProduct, year: InventedYear, lots: tuple[InventedLot, ...], invented: str
) -> list[list[str]]:
    rows = [["lot", "sampled", "product", "tank", "operator", "instrument", "condition", "temperature_c"]]
    rows[0] += ["quantity", "value", "unit", "note"]
    for lot in lots:
        if lot.product != product.short:
            continue
        told = [year.operators[lot.operator - 1], year.instruments[lot.instrument - 1]]
        for line in lines_of_lot(product, lot):
            rows.append([lot.lot, lot.taken, product.name, lot.tank, *told, *line, invented])
    return rows


def _loads(year: InventedYear, lots: tuple[InventedLot, ...], invented: str) -> list[list[str]]:
    """Give loads with what a reconciliation looks for: no certificate, a lot nobody tested, another grade."""
    plain = year.products[1]
    draws = np.random.default_rng(year.seed + 1)
    rows = [
        ["load", "sent", "product", "grade", "lot", "tank", "quantity [t]", "certificate", "plant", "note"]
    ]
    chosen = [lot for lot in lots if lot.product == plain.short and lot.number in _LOADS]
    for count, lot in enumerate(chosen, start=1):
        sent = datetime.date.fromisoformat(lot.taken) + datetime.timedelta(days=1)
        name = "P-999" if count == 12 else lot.lot
        grade = "64V" if count == 25 else plain.grade
        certificate = "" if count == 33 else f"C-{lot.lot}"
        mass = f"{23.0 + 2.0 * draws.random():.2f}"
        load = [f"L-{count:03d}", f"{sent} 06:30", plain.name, grade, name, lot.tank, mass]
        rows.append([*load, certificate, plain.plant, invented])
    return rows


def _rounds(year: InventedYear, invented: str) -> list[list[str]]:
    product = year.products[0]
    rows = [["scheme", "round", "material", "date", "property", "residue", "temperature [°C]", "our result"]]
    rows[0] += ["assigned value", "standard deviation", "laboratories", "unit", "note"]
    for place, month in enumerate(_ROUNDS):
        for quantity, (assigned, deviation) in _ASSIGNED.items():
            watched = product.property_named(quantity).watched
            told = assigned * (1.0 + 0.02 * place)
            digits = 3 if quantity.startswith("jnr") else 1
            at = "" if watched.temperature_c is None else f"{watched.temperature_c:g}"
            which = ["Tussowey rounds (invented)", month, f"binder {place + 1}", f"{month}-15", quantity]
            own = f"{told + _Z[quantity][place] * deviation:.{digits}f}"
            scored = [own, f"{told:.{digits}f}", f"{deviation:g}", "34", QUANTITIES[quantity].unit]
            rows.append([*which, RESIDUES[watched.condition], at, *scored, invented])
    return rows


def checks_of_year(year: InventedYear) -> tuple[InventedCheck, ...]:
    """Give checks of both rheometers, one in two weeks: the second reads low while it runs too warm.

    Parameters
    ----------
    year : InventedYear
        Whose events are.
    """
    event = next(one for one in year.events if one.instrument)
    lots = [lot for lot in produce() if lot.product == event.product]
    draws = np.random.default_rng(year.seed + 2)
    checks = []
    for lot in lots[::10]:
        for number in range(1, len(year.instruments) + 1):
            low = _WARM_SHARE if number == event.instrument and event.share(lot.number) else 0.0
            value = _FLUID_KPA * (1.0 - low) * (1.0 + _FLUID_SCATTER * draws.standard_normal())
            who = year.operators[lot.operator - 1]
            checks.append(InventedCheck(lot.taken, number, who, round(value, 3)))
    return tuple(checks)


def _checks(year: InventedYear, invented: str) -> list[list[str]]:
    rows = [["material", "date", "instrument", "measured [kPa]", "operator", "note"]]
    for one in checks_of_year(year):
        name = year.instruments[one.instrument - 1]
        found = f"{one.measured:.3f}"
        rows.append(["check fluid (invented)", one.day, name, found, one.operator, invented])
    return rows
