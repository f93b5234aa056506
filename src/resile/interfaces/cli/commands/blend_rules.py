"""Commands that answer on blends by published rules, without a book: mixing, reclaimed, agent, storage."""

from typing import Annotated

import typer

from resile.interfaces.cli.commands.blends import blend as blend
from resile.interfaces.cli.commands.options import Json


@blend.command("rule")
def mix_by_rule(
    rule: Annotated[
        str | None,
        typer.Argument(help="Mixing rule; without it the rules are listed.", show_default=False),
    ] = None,
    parts: Annotated[
        list[str] | None,
        typer.Argument(
            help="'VALUE=PERCENT' of each component, in the unit of the glossary.",
            metavar="VALUE=PERCENT…",
            show_default=False,
        ),
    ] = None,
    quantity: Annotated[
        str, typer.Option(help="Which of the rule's quantities, where it has several.", show_default=False)
    ] = "",
    interaction: Annotated[
        float | None,
        typer.Option(
            help="Of two components, on the natural logarithm (grunberg-nissan).", show_default=False
        ),
    ] = None,
    json: Json = False,
) -> None:
    """Mix a property by a published rule, or list the rules with unit, validity and source."""
    from resile.interfaces.cli.quick_rules import run_mixing_rule

    run_mixing_rule(rule, parts or [], quantity=quantity, interaction=interaction, as_json=json)


@blend.command("reclaimed")
def reclaimed_binder(
    criteria: Annotated[
        list[str],
        typer.Argument(
            help="'CRITERION=RECLAIMED/WANTED' or 'CRITERION=RECLAIMED/WANTED/NEW' [°C]: original, "
            "short_term_aged, intermediate, stiffness, m_value; beams by their test temperature.",
            metavar="CRITERION=…",
            show_default=False,
        ),
    ],
    share: Annotated[
        float | None,
        typer.Option(help="Share of reclaimed binder by mass of binder [%].", show_default=False),
    ] = None,
    practice: Annotated[str, typer.Option(help="File of published practice.")] = "common",
    json: Json = False,
) -> None:
    """Say how much reclaimed binder a new binder allows, or which new binder a share needs."""
    from resile.interfaces.cli.quick_rules import run_reclaimed

    run_reclaimed(criteria, share=share, practice=practice, as_json=json)


@blend.command("agent")
def recycling_agent(
    without: Annotated[
        str,
        typer.Argument(
            help="High and low temperature of the blend without agent [°C].",
            metavar="HIGH/LOW",
            show_default=False,
        ),
    ],
    tested: Annotated[
        str,
        typer.Argument(help="The same with the tested dose [°C].", metavar="HIGH/LOW", show_default=False),
    ],
    dose: Annotated[float, typer.Option(help="Tested dose [%].", show_default=False)],
    wanted: Annotated[float, typer.Option(help="High temperature wanted [°C].", show_default=False)],
    keep: Annotated[
        float | None,
        typer.Option(help="High temperature that the contract keeps [°C].", show_default=False),
    ] = None,
    json: Json = False,
) -> None:
    """Say how much recycling agent brings a blend down to a wanted high temperature."""
    from resile.interfaces.cli.quick_rules import run_agent

    run_agent(without, tested, dose=dose, wanted=wanted, keep=keep, as_json=json)


@blend.command("warm-mix")
def warm_mix(
    binder: Annotated[
        str, typer.Argument(help="Grade of the new binder, such as '58-28'.", show_default=False)
    ],
    hot: Annotated[float, typer.Argument(help="Usual temperature of the plant [°C].", show_default=False)],
    warm: Annotated[float, typer.Argument(help="That of the warm mix [°C].", show_default=False)],
    practice: Annotated[str, typer.Option(help="File of published practice.")] = "common",
    json: Json = False,
) -> None:
    """Say by how much a cooler plant improves the low grade of the new binder."""
    from resile.interfaces.cli.quick_rules import run_warm_mix

    run_warm_mix(binder, hot=hot, warm=warm, practice=practice, as_json=json)


@blend.command("storage")
def hot_storage(
    hours: Annotated[float, typer.Argument(help="Time of storage [h].", show_default=False)],
    temperature: Annotated[float, typer.Argument(help="Temperature of storage [°C].", show_default=False)],
    polymer: Annotated[str, typer.Option(help="File of the polymer.")] = "sbs",
    json: Json = False,
) -> None:
    """Say what hot storage leaves of the effect of polymer, as far as published."""
    from resile.interfaces.cli.quick_rules import run_storage

    run_storage(hours, temperature, polymer=polymer, as_json=json)
