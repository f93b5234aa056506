"""The commands and their options. Only typer is imported here; the work is imported where it is done.

Annotations are live objects in these modules (no postponed evaluation): typer reads them at every start.
"""

from typing import Annotated

import typer

from resile.interfaces.cli.commands.archive import archive
from resile.interfaces.cli.commands.batches import batch
from resile.interfaces.cli.commands.bench import due
from resile.interfaces.cli.commands.blend_rules import blend  # the group of blends, with its quick rules
from resile.interfaces.cli.commands.certificates import certificate
from resile.interfaces.cli.commands.choices import match
from resile.interfaces.cli.commands.ingesting import keep, receive
from resile.interfaces.cli.commands.keeping import audit, backup, export, import_, recompute, restore
from resile.interfaces.cli.commands.laboratories import laboratories
from resile.interfaces.cli.commands.leaflets import leaflet
from resile.interfaces.cli.commands.models import model
from resile.interfaces.cli.commands.plans import form, plan
from resile.interfaces.cli.commands.predictions import predict
from resile.interfaces.cli.commands.records import ageing, read, reduce
from resile.interfaces.cli.commands.reports import changes, demo, report, sign, verify
from resile.interfaces.cli.commands.results import compare, grade, rules
from resile.interfaces.cli.commands.sites import demand
from resile.interfaces.cli.commands.statements import sample
from resile.interfaces.cli.commands.watches import watch  # the group of production, in the order of the job
from resile.interfaces.cli.commands.workbench import serve
from resile.version import __version__

app = typer.Typer(
    name="resile",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"resile {__version__}")
        raise typer.Exit


@app.callback()
def resile(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and stop.")
    ] = False,
) -> None:
    """From raw rheometer and ageing records of bitumen to a grade that can be defended.

    A calculation aid, not accredited testing: the contract's edition and licensed practice prevail.
    """


PANELS = {
    "To begin": (demo, rules),
    "From record to grade": (read, reduce, ageing, grade, compare, predict, model),
    "Orders, certificates, paper": (plan, form, report, leaflet, changes, sign, verify, certificate),
    "Roads, ranges and blends": (demand, match, blend),
    "Production, other laboratories, archives": (batch, watch, laboratories, archive),
    "The laboratory's record": (
        serve,
        due,
        receive,
        keep,
        sample,
        recompute,
        audit,
        backup,
        restore,
        export,
        import_,
    ),
}
"""Commands and groups under the headings of the help, in its order; groups stand last in their panel."""

for panel, members in PANELS.items():
    for member in members:
        if isinstance(member, typer.Typer):
            app.add_typer(member, rich_help_panel=panel)
        else:
            app.command(member.__name__.rstrip("_"), rich_help_panel=panel)(member)
