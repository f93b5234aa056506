"""Commands on laboratories beside one another and beside themselves."""

from pathlib import Path
from typing import Annotated, Any

import typer

from resile.interfaces.cli.commands.options import Json
from resile.interfaces.cli.layout_options import OPTIONS, with_layout_options
from resile.interfaces.cli.option_groups import with_options


def _asked(kind: Any, text: str, *names: str) -> Any:
    """Give an option that may be left out."""
    return Annotated[kind | None, typer.Option(*names, help=text, show_default=False)]


_PROPERTY = "Name from the glossary, such as jnr_3.2."
_QUANTITY = {"quantity": _asked(str, _PROPERTY, "--property")}
_SHOWN = {
    "pages": _asked(
        list[Path],
        "Also write the sheet to a .html or .pdf file, or its first picture to .svg; may be repeated.",
        "--page",
    ),
    "date": _asked(str, "Date on the sheet, YYYY-MM-DD; today where not given.", "--date"),
    "as_json": Json,
}
_SHOWN_FULL = {
    "full": Annotated[bool, typer.Option("--full", help="Show every result and every step too.")],
    **_SHOWN,
}
_RESIDUE = _asked(str, "Residue: original, RTFO, PAV, … in any words.", "--residue")
_EXPANDED = _asked(
    float, "Expanded uncertainty (k = 2) of the reference, in the same unit, if certified.", "--expanded"
)
_STUDIED = {**_QUANTITY, "title": _asked(str, "What was compared.", "--title")}
_SCORED = {**_QUANTITY, "scheme": _asked(str, "Who runs the rounds, where no column says so.", "--scheme")}
_SPECIMEN = {"specimen": _asked(str, "Factor that stands for the specimens.", "--specimen")}
_LAYOUT = {name: OPTIONS[name] for name in ("layout", "encoding", "separator", "decimal_mark", "sheet")}
_DISPUTED = {
    **_QUANTITY,
    "residue": _RESIDUE,
    "temperature_c": _asked(float, "Test temperature (°C).", "--temperature"),
    "at_most": _asked(float, "Limit: at most.", "--at-most"),
    "at_least": _asked(float, "Limit: at least.", "--at-least"),
    "supplier": _asked(str, "All determinations of the supplier, as '0.42 0.44'.", "--supplier"),
    "receiver": _asked(str, "All determinations of the receiver.", "--receiver"),
    "referee": _asked(str, "All determinations of the referee, once made.", "--referee"),
    "repeatability_limit": _asked(float, "Agreed r; the published one else.", "--r"),
    "reproducibility_limit": _asked(float, "Agreed R; the published one else.", "--reproducibility"),
    "sample": _asked(str, "Name of the sample.", "--sample"),
}
_OWN = {
    "residue": _RESIDUE,
    "checks": _asked(Path, "Table of checks of one material: day, measured.", "--checks"),
    "reference": _asked(float, "Reference of that material.", "--reference"),
    "reference_expanded": _EXPANDED,
    "rounds": _asked(Path, "Sheet of comparison rounds.", "--rounds"),
    "value": _asked(float, "Value to compare the precision at.", "--at-value"),
}
_MATERIAL = {
    "reference_expanded": _EXPANDED,
    "site_deviation": _asked(
        float, "Standard deviation of this laboratory for such checks, in the same unit.", "--site"
    ),
    "until": _asked(str, "Day until which it may be used.", "--until"),
    "certificate": _asked(str, "Number of its certificate.", "--certificate"),
    "temperature_c": _asked(float, "Temperature at which it holds (°C).", "--temperature"),
}
Property = Annotated[str, typer.Option("--property", help=_PROPERTY, show_default=False)]
Study = Annotated[
    Path,
    typer.Argument(
        help="Table of results (.csv, .xlsx): laboratories against materials, replicates side by side, in "
        "rows or in one cell; or one result a row.",
        metavar="FILE",
        show_default=False,
    ),
]
Rounds = Annotated[
    Path,
    typer.Argument(
        help="Sheet of comparison rounds (.csv, .xlsx): round, property, result, assigned value, sd, …",
        metavar="FILE",
        show_default=False,
    ),
]
Case = Annotated[
    Path | None,
    typer.Argument(help="The case (.toml); or the options below.", metavar="[CASE]", show_default=False),
]
Rows = Annotated[
    Path, typer.Argument(help="One result a row (.csv, .xlsx).", metavar="FILE", show_default=False)
]
Duplicates = Annotated[
    Path,
    typer.Argument(
        help="Table of duplicates: sample, day, first, second.", metavar="DUPLICATES", show_default=False
    ),
]
Checks = Annotated[
    Path,
    typer.Argument(help="Table of checks: day, measured, instrument.", metavar="FILE", show_default=False),
]

laboratories = typer.Typer(
    name="laboratories",
    no_args_is_help=True,
    help="Laboratories beside one another: studies, rounds, disputes, checks, own precision.",
)


@laboratories.command("study")
@with_options("shown", _SHOWN_FULL)
@with_options("asked", _STUDIED)
@with_layout_options(_LAYOUT)
def study(file: Study, how: dict[str, Any], asked: dict[str, Any], shown: dict[str, Any]) -> None:
    """Work out repeatability and reproducibility from an interlaboratory study, and show what stands out."""
    from resile.interfaces.cli.comparing import run_laboratories

    run_laboratories("study", file, how=how, shown=shown, **asked)


@laboratories.command("robust")
@with_options("shown", _SHOWN_FULL)
@with_options("asked", _STUDIED)
@with_layout_options(_LAYOUT)
def robust(file: Study, how: dict[str, Any], asked: dict[str, Any], shown: dict[str, Any]) -> None:
    """Give robust means of a round (Algorithm A), with every step and what was pulled in."""
    from resile.interfaces.cli.comparing import run_laboratories

    run_laboratories("robust", file, how=how, shown=shown, **asked)


@laboratories.command("scores")
@with_options("shown", _SHOWN)
@with_options("asked", _SCORED)
def scores(file: Rounds, asked: dict[str, Any], shown: dict[str, Any]) -> None:
    """Score this laboratory in comparison rounds, and say where the scores are heading.

    Exit code 1 where the newest round asks for action.
    """
    from resile.interfaces.cli.comparing import run_laboratories

    run_laboratories("scores", file, shown=shown, **asked)


@laboratories.command("dispute")
@with_options("shown", _SHOWN)
@with_options("asked", _DISPUTED)
def dispute(
    asked: dict[str, Any],
    shown: dict[str, Any],
    case: Case = None,
    rule: Annotated[
        str,
        typer.Option(
            help="Rule agreed first: failure-must-be-shown, conformity-must-be-shown, value-as-it-stands, "
            "or a file of your own (see: resile rules)."
        ),
    ] = "failure-must-be-shown",
) -> None:
    """Settle a dispute of two laboratories by a rule agreed first, and show what a referee would settle.

    Exit code 1 where the rule refuses the material.
    """
    from resile.interfaces.cli.comparing import run_laboratories
    from resile.workflows.laboratories.asked import dispute_by_options

    run_laboratories("dispute", case or dispute_by_options(rule, **asked), shown=shown)


@laboratories.command("components")
@with_options("shown", _SHOWN_FULL)
@with_options("asked", {**_QUANTITY, **_SPECIMEN})
def components(
    file: Rows,
    asked: dict[str, Any],
    shown: dict[str, Any],
    factor: Annotated[
        list[str],
        typer.Option(
            "--factor", help="Heading of a factor, from the outermost; may be repeated.", show_default=False
        ),
    ],
    value: Annotated[str, typer.Option(help="Heading of the results.")] = "value",
    design: Annotated[
        str,
        typer.Option(
            help="nested (each operator has own days) or crossed (every operator with every instrument)."
        ),
    ] = "nested",
) -> None:
    """Share out scatter among operator, instrument, day and duplicate, with intervals."""
    from resile.interfaces.cli.comparing import run_laboratories

    run_laboratories("components", file, factor, value=value, design=design, shown=shown, **asked)


@laboratories.command("precision")
@with_options("shown", _SHOWN)
@with_options("asked", _OWN)
def precision(
    duplicates: Duplicates,
    property_: Property,
    asked: dict[str, Any],
    shown: dict[str, Any],
    unit_scale: Annotated[
        bool,
        typer.Option(
            "--in-unit", help="Standard deviations in the unit of the property, not as a share of the value."
        ),
    ] = False,
) -> None:
    """Work out the laboratory's own precision, and hold it against what is published."""
    from resile.interfaces.cli.comparing import run_laboratories
    from resile.workflows.laboratories.asked import precision_by_options

    given = precision_by_options(property_, **asked)
    run_laboratories("precision", property_, duplicates, relative=not unit_scale, shown=shown, **given)


@laboratories.command("check")
@with_options("shown", _SHOWN)
@with_options("asked", _MATERIAL)
def check(
    checks: Checks,
    property_: Property,
    asked: dict[str, Any],
    shown: dict[str, Any],
    reference: Annotated[float, typer.Option(help="Certified value.", show_default=False)],
    name: Annotated[str, typer.Option(help="Name and lot of the material.")] = "check material",
) -> None:
    """Hold checks of a known fluid, beam or binder against its tolerance zone.

    Exit code 1 where the newest check lies outside.
    """
    from resile.interfaces.cli.comparing import run_laboratories
    from resile.workflows.laboratories.asked import material_of

    run_laboratories("check", material_of(name, property_, reference, **asked), checks, shown=shown)
