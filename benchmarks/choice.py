"""Time and memory of a choice at three sizes: sites by binders, standings worked out beforehand or with it.

    python -m benchmarks.choice

The binders are one table of results with its numbers moved a little; sites ask for grades at random (seeded).
"""

import tempfile
import time
import tracemalloc
from dataclasses import replace
from pathlib import Path

import numpy as np

from resile.readers.range import read_range
from resile.records.choice import SiteNeed
from resile.records.range import Binder, BinderRange
from resile.report.machine.choice import choice_csv, choice_geojson
from resile.workflows.choosing.matching import match_binders
from resile.workflows.choosing.standings import grades_of
from resile.workflows.demonstration import write_demonstration
from resile.workflows.judging.agreement import agree

SIZES = ((100, 10), (1_000, 25), (10_000, 50))


def many_binders(some: BinderRange, count: int) -> BinderRange:
    rng = np.random.default_rng(5)
    binders = []
    for number in range(count):
        model = some.binders[number % len(some.binders)]
        name = f"{model.name} {number}"
        moved = tuple(
            replace(
                d, sample=name, value=None if d.value is None else d.value * float(rng.uniform(0.95, 1.05))
            )
            for d in model.determinations
        )
        price = (model.price_per_tonne or 500.0) * float(rng.uniform(0.9, 1.1))
        binders.append(Binder(name, model.kind, price, None, "", moved))
    return replace(some, binders=tuple(binders))


def main() -> None:
    agreed = agree("m332-2020")
    labels = [grade.label for grade in grades_of(agreed.specification)]
    with tempfile.TemporaryDirectory() as place:
        write_demonstration(Path(place))
        some = read_range(Path(place) / "roads" / "range.csv")
    print("sites  binders  seconds  to CSV and GeoJSON  peak memory of the choice (MiB)")
    for sites, binders in SIZES:
        rng = np.random.default_rng(1)
        needs = [
            SiteNeed(
                f"site {n}", labels[int(rng.integers(len(labels)))], 50.0, 8.0, float(rng.uniform(10, 900))
            )
            for n in range(sites)
        ]
        chosen_from = many_binders(some, binders)
        begin = time.perf_counter()
        choice, _ = match_binders(needs, chosen_from, agreed)
        taken = time.perf_counter() - begin
        begin = time.perf_counter()
        choice_csv(choice)
        choice_geojson(choice)
        written = time.perf_counter() - begin
        tracemalloc.start()
        match_binders(needs, chosen_from, agreed)
        peak = tracemalloc.get_traced_memory()[1] / 2**20
        tracemalloc.stop()
        print(f"{sites:5d}  {binders:7d}  {taken:7.1f}  {written:18.2f}  {peak:8.0f}")


if __name__ == "__main__":
    main()
