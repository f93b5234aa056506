"""A day in an invented laboratory, seen from Python.

Run it with a folder of your choice:

    python examples/a_day_in_the_laboratory.py my-day

Laboratory, region, products, samples, people and numbers are INVENTED for demonstration; the records are
computed from spring-and-dashpot models, nothing was measured. A calculation aid, not accredited testing: the
contract's edition and licensed practice prevail.
"""

from __future__ import annotations

import sys
from pathlib import Path

import resile

ISSUED = "2026-05-13"  # an invented date of issue, so that the pages are the same each time


def morning_oven(day: Path) -> None:
    """The rolling thin-film oven: mass change of the binder that goes into the creep test.

    CAUTION: binder and glass at 163 °C burn, and hot glass may crack. Face shield, heat-proof gloves, long
    sleeves.
    """
    ageing = resile.reduce_ageing_record(day / "101-plain" / "ageing.toml").record
    for bottle in ageing.bottles:
        print(f"  bottle {bottle.name}: mass change {bottle.mass_change_percent:+.3f} %")
    print(f"  mean {ageing.mass_change_percent:+.3f} %, doubts: {len(ageing.findings)}")


def first_record(day: Path) -> None:
    """One record: how the file was understood, and what it gives."""
    file = day / "101-plain" / "specimen-1.csv"
    reduction = resile.reduce_record(file)
    (run,) = reduction.runs
    for column in run.account.columns:
        print(f"  column {column.position}, '{column.heading}', is read as {column.quantity}")
    print(f"  {len(run.conditioning)} conditioning cycles, then:")
    for level in run.levels:
        print(
            f"  {level.stress_kpa:g} kPa: Jnr {level.jnr:.3f} 1/kPa, recovery {level.percent_recovery:.1f} %,"
            f" mean of {len(level.cycles)}"
        )


def failing_specimen(day: Path) -> None:
    """A specimen that tears while it is tested, and the fresh one that replaces it."""
    reduction = resile.reduce_record(day / "103-spring-tank-2" / "specimens.xlsx")
    for run in reduction.runs:
        high = run.level(3.2)
        assert high is not None
        first, last = high.cycles[0].jnr, high.cycles[-1].jnr
        print(f"  {run.label}: Jnr {first:.3f} in the first cycle at 3.2 kPa, {last:.3f} in the last")
        for finding in run.findings:
            print(f"    {finding.severity}: {finding.message} {finding.advice}")


def certificate(day: Path) -> None:
    """A supplier's certificate: numbers without a record, judged for what they are."""
    # The rules are agreed before the verdict; both laboratories' scatter counts when another one tested.
    agreed = resile.agree("m332-2014", decision_rule="simple", uncertainty_basis="reproducibility")
    grading = resile.grade_table(day / "104-certificate" / "certificate.csv", agreed)
    for statement in grading.statements:
        print(f"  {statement.sample} satisfies, as far as tested: {', '.join(statement.grades)}")
        for finding in statement.findings:
            if finding.severity == "caution":
                print(f"    {finding.severity}: {finding.message}")


def close_to_the_limit(day: Path) -> list[Path]:
    """The binder close to its limit: two specimens, a rule chosen beforehand, a page to sign."""
    report = resile.report_order(day / "102-spring" / "order.toml", date=ISSUED)
    for found in report.statement.classes:
        for verdict in found.verdicts:
            if verdict.requirement.quantity == "jnr_3.2" and verdict.probability_of_conformity is not None:
                print(
                    f"  {found.label}: Jnr3.2 {verdict.value:.3f} against {verdict.limit:g} 1/kPa: "
                    f"{verdict.outcome}, conforms with probability {verdict.probability_of_conformity:.2f}"
                )
    for sentence in report.statement.next_tests:
        print(f"  next: {sentence}")
    return report.write(day / "102-spring")


def main(folder: str) -> None:
    """Walk through the day."""
    day = Path(folder)
    files = resile.write_demonstration(day)
    print(f"{len(files)} files in {day}. All of it is invented for demonstration.")
    print("\n06:40  The oven.")
    morning_oven(day)
    print("\n09:10  An unmodified binder.")
    first_record(day)
    print("\n11:20  A specimen fails, a fresh one is loaded.")
    failing_specimen(day)
    print("\n13:30  A certificate arrives.")
    certificate(day)
    print("\n15:00  The binder close to its limit, and its page.")
    for page in close_to_the_limit(day):
        print(f"  written: {page}")


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else "a-day-in-the-laboratory")
