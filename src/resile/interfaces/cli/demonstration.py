"""The demonstration day on the command line."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from resile.errors import MissingDependencyError
from resile.interfaces.cli.judging import tell_files
from resile.interfaces.cli.showing import following, show

if TYPE_CHECKING:
    from resile.workflows.orders.several_orders import IssuedOrder


def run_demo(folder: Path) -> None:
    """Write the demonstration day, work through its orders and say where the pages lie."""
    from resile.workflows.demonstration import DATE_OF_ISSUE, IN_ONE_COMMAND, read_story, write_demonstration
    from resile.workflows.orders.several_orders import issue_orders

    files = write_demonstration(folder)
    opening, chapters = read_story()
    typer.echo(opening)
    orders = [path for path in files if path.name == "order.toml"]
    together = [path for path in orders if path.match(IN_ONE_COMMAND)]
    pages: list[Path] = []
    for order in (path for path in orders if path not in together):
        typer.echo(f"\n{chapters[order.parent.name]}\n\n  $ resile report {order}\n")
        (issued,) = issue_orders([order], date=DATE_OF_ISSUE)
        show(issued.report.to_terminal())
        pages += issued.files
    typer.echo("\n" + "\n".join(chapters[order.parent.name] for order in together))
    signed = _three_at_once(folder, together)
    typer.echo("\nAll of it is invented: laboratory, region, products, samples, people and numbers.\n")
    typer.echo("On disk now, for each order the pages (HTML, PDF, XLSX) and the pictures of its runs:")
    for page in [*pages, *(path for issued in signed for path in issued.files)]:
        typer.echo(f"  {page}")
    roads = folder / "roads"
    typer.echo("\nTwenty invented roads and a range of binders (demand sheets, grade map, match table):")
    typer.echo(
        f"  resile match {roads / 'sites.csv'} {roads / 'range.csv'} -s m332-2020 -f {roads / 'choice'}"
    )
    typer.echo("\nA blend for one of them, from a dozen invented trial blends:")
    typer.echo(
        f"  resile blend design {folder / 'blends' / 'book.toml'} --page {folder / 'blends' / 'design.html'}"
    )
    typer.echo("\nA year of production of two binders, with loads, comparison rounds and checks of a fluid:")
    lots = folder / "401-production" / "lots-spring.csv"
    typer.echo(f"  resile watch chart {lots} -p flash_point --set-up-until 2025-09-05")
    typer.echo("\nNext, a record of your own:  resile read FILE   then   resile reduce FILE")
    typer.echo("(set up with start.py:       python3 start.py run read FILE)")


def run_load(where: str) -> None:
    """Load the invented laboratory into a record."""
    from resile.workflows.laboratory.access.permissions import one_person
    from resile.workflows.laboratory.record.demonstration import load_demonstration
    from resile.workflows.laboratory.record.opening import now, open_record

    record = open_record(where)
    try:
        with following("loading the invented laboratory") as progress:
            told = None if progress is None else lambda done, of, words: progress(done, of)
            loaded = load_demonstration(record, one_person(), now(), told)
    finally:
        record.close()
    typer.echo(
        f"loaded into {where}: {len(loaded.samples)} samples, {loaded.sites} roads and {loaded.lots} lots "
        "of a year of production, all of them invented"
    )
    typer.echo(f"Look at it in the browser:  resile serve --record {where} --open")


def _three_at_once(folder: Path, orders: Sequence[Path]) -> list[IssuedOrder]:
    """Report the whole grades in one command, signed where the library for it is installed."""
    from resile.workflows.demonstration import DATE_OF_ISSUE, IN_ONE_COMMAND
    from resile.workflows.demonstration.key import PASSWORD, write_demonstration_key
    from resile.workflows.orders.several_orders import issue_orders
    from resile.workflows.orders.signing import seal_with, verify_report

    command = f"\n  $ resile report {folder / IN_ONE_COMMAND}"
    try:
        key = write_demonstration_key(folder)
    except MissingDependencyError as missing:
        typer.echo(f"{command}\n\n(Not signed here. {missing})\n")
        seal = None
    else:
        typer.echo(f"{command} --key {key}\n\n(The key is worth nothing; its password is '{PASSWORD}'.)\n")
        seal = seal_with(key, PASSWORD)
    signed = issue_orders(orders, date=DATE_OF_ISSUE, seal=seal, replace_signed=True)
    for issued in signed:
        show(issued.report.to_terminal())
        tell_files(issued)
    if seal is not None and (first := signed[0].signed_pdf):
        trusted = key.with_suffix(".pem")
        typer.echo(f"\n  $ resile verify {first} --trust {trusted}\n")
        show(verify_report(first, trusted=[trusted]).to_terminal())
        typer.echo(
            "\n(A signed report is never written over: to repeat the command, add --folder ELSEWHERE.)"
        )
    return signed
