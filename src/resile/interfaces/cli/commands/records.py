"""Commands that read and reduce records."""

from pathlib import Path
from typing import Annotated, Any

import typer

from resile.interfaces.cli.commands.options import Json
from resile.interfaces.cli.layout_options import with_layout_options

Records = Annotated[
    list[Path],
    typer.Argument(help="Record files, or folders of them.", show_default=False, metavar="FILE..."),
]


@with_layout_options
def read(
    files: Records,
    how: dict[str, Any],
    json: Json = False,
    save_layout: Annotated[
        Path | None, typer.Option(help="Save the options given here as a layout file.", show_default=False)
    ] = None,
) -> None:
    """Explain in plain words how a record file is understood, without reducing it."""
    from resile.interfaces.cli.reading import run_read

    run_read(files, how=how, as_json=json, save_to=save_layout)


@with_layout_options
def reduce(
    files: Records,
    how: dict[str, Any],
    json: Json = False,
    cycles: Annotated[bool, typer.Option("--cycles", help="Show every cycle.")] = False,
    page: Annotated[
        list[Path] | None,
        typer.Option(
            help="Also write the sheet to a .html, .pdf or .xlsx file; may be repeated.", show_default=False
        ),
    ] = None,
    jobs: Annotated[int, typer.Option(min=1, help="Processes to share many files among.")] = 1,
) -> None:
    """Reduce raw records, with findings: creep recovery (recovery and Jnr by cycle and stress), and others.

    Oscillation, bending-beam and rotational-viscosity records are told from their columns and reduced too.
    """
    from resile.interfaces.cli.reading import run_reduce

    run_reduce(files, how=how, as_json=json, cycles=cycles, pages=page or [], jobs=jobs)


def ageing(
    record: Annotated[
        Path, typer.Argument(help="Ageing record, short-term or long-term (TOML, CSV or XLSX).")
    ],
    json: Json = False,
) -> None:
    """Mass change and checks of an ageing record: rolling thin film (short-term) or pressure (long-term)."""
    from resile.interfaces.cli.judging import run_ageing

    run_ageing(record, as_json=json)
