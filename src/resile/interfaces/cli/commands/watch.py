"""The group of commands on production: charts, capability, targets, quick tests, sampling."""

import typer

watch = typer.Typer(
    name="watch",
    no_args_is_help=True,
    help="Keep production under control: charts, capability, target, quick tests, sampling.",
)
