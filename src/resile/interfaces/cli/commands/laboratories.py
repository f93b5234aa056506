"""Commands on laboratories beside one another and beside themselves."""

from pathlib import Path
from typing import Annotated, Any

import typer

from resile.interfaces.cli.commands.options import Json
from resile.interfaces.cli.layout_options import OPTIONS, with_layout_options

Pages = Annotated[
    list[Path] | None,
    typer.Option(
        "--page",
        help="Also write the sheet to a .html or .pdf file, or its first picture to .svg; may be repeated.",
        show_default=False,
    ),
]
Day = Annotated[
    str | None,
    typer.Option("--date", help="Date on the sheet, YYYY-MM-DD; today where not given.", show_default=False),
]
Full = Annotated[bool, typer.Option("--full", help="Show every result and every step too.")]
Property = Annotated[
    str, typer.Option("--property", help="Name from the glossary, such as jnr_3.2.", show_default=False)
]
Residue = Annotated[
    str | None,
    typer.Option("--residue", help="Residue: original, RTFO, PAV, … in any words.", show_default=False),
]
Title = Annotated[str, typer.Option(help="What was compared.", show_default=False)]
Study = Annotated[
    Path,
    typer.Argument(
        help="Table of results (.csv, .xlsx): laboratories against materials, replicates side by side, in "
        "rows or in one cell; or one result a row.",
        metavar="FILE",
        show_default=False,
    ),
]
_TABLE = {name: OPTIONS[name] for name in ("layout", "encoding", "separator", "decimal_mark", "sheet")}

laboratories = typer.Typer(
    name="laboratories",
    no_args_is_help=True,
    help="Laboratories beside one another: studies, rounds, disputes, checks, own precision.",
)


@laboratories.command("study")
@with_layout_options(_TABLE)
def study(
    file: Study,
    how: dict[str, Any],
    property_: Property = "",
    title: Title = "",
    full: Full = False,
    page: Pages = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Work out repeatability and reproducibility from an interlaboratory study, and show what stands out."""
    from resile.interfaces.cli.comparing import run_laboratories

    run_laboratories(
        "study",
        file,
        how=how,
        quantity=property_,
        title=title,
        full=full,
        pages=page,
        date=date,
        as_json=json,
    )


@laboratories.command("robust")
@with_layout_options(_TABLE)
def robust(
    file: Study,
    how: dict[str, Any],
    property_: Property = "",
    title: Title = "",
    full: Full = False,
    page: Pages = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Give robust means of a round (Algorithm A), with every step and what was pulled in."""
    from resile.interfaces.cli.comparing import run_laboratories

    run_laboratories(
        "robust",
        file,
        how=how,
        quantity=property_,
        title=title,
        full=full,
        pages=page,
        date=date,
        as_json=json,
    )


@laboratories.command("scores")
def scores(
    file: Annotated[
        Path,
        typer.Argument(
            help="Sheet of comparison rounds (.csv, .xlsx): round, property, result, assigned value, sd, …",
            metavar="FILE",
            show_default=False,
        ),
    ],
    property_: Property = "",
    scheme: Annotated[
        str, typer.Option(help="Who runs the rounds, where no column says so.", show_default=False)
    ] = "",
    page: Pages = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Score this laboratory in comparison rounds, and say where the scores are heading.

    Exit code 1 where the newest round asks for action.
    """
    from resile.interfaces.cli.comparing import run_laboratories

    run_laboratories("scores", file, scheme=scheme, quantity=property_, pages=page, date=date, as_json=json)


@laboratories.command("dispute")
def dispute(
    case: Annotated[
        Path | None,
        typer.Argument(help="The case (.toml); or the options below.", metavar="[CASE]", show_default=False),
    ] = None,
    rule: Annotated[
        str,
        typer.Option(
            help="Rule agreed first: failure-must-be-shown, conformity-must-be-shown, value-as-it-stands, "
            "or a file of your own."
        ),
    ] = "failure-must-be-shown",
    property_: Annotated[
        str | None,
        typer.Option("--property", help="Name from the glossary, such as jnr_3.2.", show_default=False),
    ] = None,
    residue: Residue = None,
    temperature_c: Annotated[
        float | None, typer.Option("--temperature", help="Test temperature (°C).", show_default=False)
    ] = None,
    at_most: Annotated[float | None, typer.Option(help="Limit: at most.", show_default=False)] = None,
    at_least: Annotated[float | None, typer.Option(help="Limit: at least.", show_default=False)] = None,
    supplier: Annotated[
        str | None,
        typer.Option(help="All determinations of the supplier, as '0.42 0.44'.", show_default=False),
    ] = None,
    receiver: Annotated[
        str | None, typer.Option(help="All determinations of the receiver.", show_default=False)
    ] = None,
    referee: Annotated[
        str | None, typer.Option(help="All determinations of the referee, once made.", show_default=False)
    ] = None,
    repeatability_limit: Annotated[
        float | None, typer.Option("--r", help="Agreed r; the published one else.", show_default=False)
    ] = None,
    reproducibility_limit: Annotated[
        float | None,
        typer.Option("--reproducibility", help="Agreed R; the published one else.", show_default=False),
    ] = None,
    sample: Annotated[str, typer.Option(help="Name of the sample.", show_default=False)] = "",
    page: Pages = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Settle a dispute of two laboratories by a rule agreed first, and show what a referee would settle.

    Exit code 1 where the rule refuses the material.
    """
    from resile.interfaces.cli.comparing import run_laboratories
    from resile.workflows.laboratories.asked import dispute_by_options

    given = case or dispute_by_options(
        sample,
        property_,
        at_most,
        at_least,
        rule=rule,
        residue=residue,
        temperature_c=temperature_c,
        supplier=supplier,
        receiver=receiver,
        referee=referee,
        repeatability_limit=repeatability_limit,
        reproducibility_limit=reproducibility_limit,
    )
    run_laboratories("dispute", given, pages=page, date=date, as_json=json)


@laboratories.command("components")
def components(
    file: Annotated[
        Path,
        typer.Argument(help="One result a row (.csv, .xlsx).", metavar="FILE", show_default=False),
    ],
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
    specimen: Annotated[
        str, typer.Option(help="Factor that stands for the specimens.", show_default=False)
    ] = "",
    property_: Property = "",
    full: Full = False,
    page: Pages = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Share out scatter among operator, instrument, day and duplicate, with intervals."""
    from resile.interfaces.cli.comparing import run_laboratories

    run_laboratories(
        "components",
        file,
        factor,
        value=value,
        design=design,
        specimen=specimen,
        quantity=property_,
        full=full,
        pages=page,
        date=date,
        as_json=json,
    )


@laboratories.command("precision")
def precision(
    duplicates: Annotated[
        Path,
        typer.Argument(
            help="Table of duplicates: sample, day, first, second.", metavar="DUPLICATES", show_default=False
        ),
    ],
    property_: Property,
    residue: Residue = None,
    unit_scale: Annotated[
        bool,
        typer.Option(
            "--in-unit", help="Standard deviations in the unit of the property, not as a share of the value."
        ),
    ] = False,
    checks: Annotated[
        Path | None,
        typer.Option(help="Table of checks of one material: day, measured.", show_default=False),
    ] = None,
    reference: Annotated[
        float | None, typer.Option(help="Reference of that material.", show_default=False)
    ] = None,
    expanded: Annotated[
        float | None,
        typer.Option(help="Expanded uncertainty (k = 2) of the reference, if certified.", show_default=False),
    ] = None,
    rounds: Annotated[
        Path | None, typer.Option(help="Sheet of comparison rounds.", show_default=False)
    ] = None,
    at_value: Annotated[
        float | None, typer.Option(help="Value to compare the precision at.", show_default=False)
    ] = None,
    page: Pages = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Work out the laboratory's own precision, and hold it against what is published."""
    from resile.interfaces.cli.comparing import run_laboratories
    from resile.workflows.laboratories.asked import condition_of, material_of

    run_laboratories(
        "precision",
        property_,
        duplicates,
        checks=checks,
        material=material_of("check material", property_, reference, reference_expanded=expanded),
        rounds=rounds,
        condition=condition_of(residue),
        relative=not unit_scale,
        value=at_value,
        pages=page,
        date=date,
        as_json=json,
    )


@laboratories.command("check")
def check(
    checks: Annotated[
        Path,
        typer.Argument(
            help="Table of checks: day, measured, instrument.", metavar="FILE", show_default=False
        ),
    ],
    property_: Property,
    reference: Annotated[float, typer.Option(help="Certified value.", show_default=False)],
    expanded: Annotated[
        float | None,
        typer.Option(help="Its expanded uncertainty (k = 2), in the same unit.", show_default=False),
    ] = None,
    site: Annotated[
        float | None,
        typer.Option(
            help="Standard deviation of this laboratory for such checks, in the same unit.",
            show_default=False,
        ),
    ] = None,
    name: Annotated[str, typer.Option(help="Name and lot of the material.")] = "check material",
    until: Annotated[str, typer.Option(help="Day until which it may be used.", show_default=False)] = "",
    certificate: Annotated[str, typer.Option(help="Number of its certificate.", show_default=False)] = "",
    temperature_c: Annotated[
        float | None,
        typer.Option("--temperature", help="Temperature at which it holds (°C).", show_default=False),
    ] = None,
    page: Pages = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Hold checks of a known fluid, beam or binder against its tolerance zone.

    Exit code 1 where the newest check lies outside.
    """
    from resile.interfaces.cli.comparing import run_laboratories
    from resile.workflows.laboratories.asked import material_of

    material = material_of(
        name,
        property_,
        reference,
        reference_expanded=expanded,
        site_deviation=site,
        until=until,
        certificate=certificate,
        temperature_c=temperature_c,
    )
    run_laboratories("check", material, checks, pages=page, date=date, as_json=json)
