"""The demonstration day on the command line."""

from __future__ import annotations

from pathlib import Path

import typer

from resile.interfaces.cli.showing import show


def run_demo(folder: Path) -> None:
    """Write the demonstration day, work through its orders and say where the pages lie."""
    from resile.workflows.demonstration import DATE_OF_ISSUE, read_story, write_demonstration
    from resile.workflows.ordering import report_order

    files = write_demonstration(folder)
    opening, chapters = read_story()
    typer.echo(opening)
    pages: list[Path] = []
    for order in (path for path in files if path.name == "order.toml"):
        typer.echo(f"\n{chapters[order.parent.name]}\n\n  $ resile report {order}\n")
        report = report_order(order, date=DATE_OF_ISSUE)
        show(report.to_terminal())
        pages += report.write(order.parent)
    typer.echo("\nAll of it is invented: laboratory, region, products, samples, people and numbers.\n")
    typer.echo("On disk now, for each order the page to sign (HTML, PDF, XLSX) and the picture of its run:")
    for page in pages:
        typer.echo(f"  {page}")
    typer.echo("\nNext, a record of your own:  resile read FILE   then   resile reduce FILE")
    typer.echo("(set up with start.py:       python3 start.py run read FILE)")
