"""The group of commands that ask an archive."""

from pathlib import Path
from typing import Annotated

import typer

from resile.interfaces.cli.commands.options import Json, Record

archive = typer.Typer(
    name="archive",
    no_args_is_help=True,
    help="Ask an archive of many results; judge it anew under another edition or decision rule.",
)

Folder = Annotated[
    Path,
    typer.Argument(
        help="Folder of the archive (resile batch makes one).", metavar="ARCHIVE", show_default=False
    ),
]
Quantity = Annotated[
    str,
    typer.Argument(help="Property by its name in the glossary, for example jnr_3.2.", show_default=False),
]
Product = Annotated[str, typer.Option(help="Only this product.", show_default=False)]
Lot = Annotated[str, typer.Option(help="Only this lot.", show_default=False)]
Residue = Annotated[
    str, typer.Option(help="Only this state of the binder, for example short_term_aged.", show_default=False)
]
At = Annotated[
    float | None,
    typer.Option("--temperature", help="Only tests at this temperature [°C].", show_default=False),
]
Since = Annotated[str, typer.Option(help="First day of the tests, YYYY-MM-DD.", show_default=False)]
Until = Annotated[str, typer.Option(help="Last day of the tests, YYYY-MM-DD.", show_default=False)]
To = Annotated[
    Path | None,
    typer.Option(help="Also write the answer to a .csv, .parquet or .xlsx file.", show_default=False),
]
Label = Annotated[
    str, typer.Option("--class", help="Class whose line is meant, for example 64V.", show_default=False)
]
Rows = Annotated[int, typer.Option(min=1, help="Rows that are given.")]


@archive.command("show")
def show_contents(folder: Folder, json: Json = False) -> None:
    """Say what is in an archive: counts, span of days, products, properties and classes."""
    from resile.interfaces.cli.asking import told
    from resile.workflows.archive.questions import archive_contents

    told(archive_contents(folder), as_json=json)


@archive.command("trend")
def follow_trend(
    folder: Folder,
    quantity: Quantity,
    product: Product = "",
    lot: Lot = "",
    residue: Residue = "",
    temperature: At = None,
    label: Label = "",
    since: Since = "",
    until: Until = "",
    scale: Annotated[
        str,
        typer.Option(
            help="log or linear, for mean and picture; left out: as the property asks.", show_default=False
        ),
    ] = "",
    to: To = None,
    picture: Annotated[
        Path | None, typer.Option(help="Also write the picture to a .svg file.", show_default=False)
    ] = None,
    json: Json = False,
) -> None:
    """Follow a property month by month: count, mean, span, share that fails a class, nearest margin."""
    from resile.interfaces.cli.asking import run_trend
    from resile.records.archive_answers import ResultsWanted

    wanted = ResultsWanted(
        product=product,
        lot=lot,
        quantity=quantity,
        condition=residue,
        temperature_c=temperature,
        since=since,
        until=until,
    )
    run_trend(folder, wanted, label=label, scale=scale, to=to, picture=picture, as_json=json)


@archive.command("finding")
def list_findings(
    folder: Folder,
    code: Annotated[
        str,
        typer.Argument(help="Code of a finding; without it the findings are counted.", show_default=False),
    ] = "",
    severity: Annotated[
        str,
        typer.Option(help="Only runs whose gravest finding is invalid, caution or note.", show_default=False),
    ] = "",
    product: Product = "",
    since: Since = "",
    until: Until = "",
    rows: Rows = 1000,
    to: To = None,
    json: Json = False,
) -> None:
    """List the runs that carry a finding, or count all findings."""
    from resile.interfaces.cli.asking import told
    from resile.records.archive_answers import ResultsWanted
    from resile.workflows.archive.questions import findings_of, runs_of

    wanted = ResultsWanted(product=product, since=since, until=until)
    if code or severity:
        told(runs_of(folder, wanted, code=code, severity=severity, most=rows), to=to, as_json=json)
    else:
        told(findings_of(folder, wanted), to=to, as_json=json)


@archive.command("spread")
def show_spread(
    folder: Folder,
    quantity: Quantity,
    product: Product = "",
    residue: Residue = "",
    temperature: At = None,
    since: Since = "",
    until: Until = "",
    extremes: Annotated[
        int, typer.Option(min=0, help="List so many of the smallest and the largest values instead.")
    ] = 0,
    to: To = None,
    json: Json = False,
) -> None:
    """Give mean, scatter and quantiles of a property by product, or its extremes."""
    from resile.interfaces.cli.asking import told
    from resile.records.archive_answers import ResultsWanted
    from resile.workflows.archive.questions import distribution_of, extremes_of

    wanted = ResultsWanted(
        product=product,
        quantity=quantity,
        condition=residue,
        temperature_c=temperature,
        since=since,
        until=until,
    )
    found = extremes_of(folder, wanted, most=extremes) if extremes else distribution_of(folder, wanted)
    told(found, to=to, as_json=json)


@archive.command("failures")
def count_failures(
    folder: Folder,
    label: Label = "",
    product: Product = "",
    since: Since = "",
    until: Until = "",
    to: To = None,
    json: Json = False,
) -> None:
    """Count how often each line of the specification fails, class by class."""
    from resile.interfaces.cli.asking import told
    from resile.records.archive_answers import ResultsWanted
    from resile.workflows.archive.questions import failures_of

    wanted = ResultsWanted(product=product, since=since, until=until)
    told(failures_of(folder, wanted, label=label), to=to, as_json=json)


@archive.command("find")
def find_samples(
    folder: Folder,
    words: Annotated[str, typer.Argument(help="Part of a sample, lot or product.", show_default=False)],
    rows: Rows = 1000,
    to: To = None,
    json: Json = False,
) -> None:
    """Find samples by a part of their name, lot or product."""
    from resile.interfaces.cli.asking import told
    from resile.workflows.archive.questions import samples_named

    told(samples_named(folder, words, most=rows), to=to, as_json=json)


@archive.command("question")
def ask_freely(
    folder: Folder,
    question: Annotated[
        str,
        typer.Argument(help="One SELECT over the tables files, results and verdicts.", show_default=False),
    ],
    rows: Rows = 1000,
    to: To = None,
    json: Json = False,
) -> None:
    """Ask a question of one's own in SQL; it can read the archive and do nothing else."""
    from resile.interfaces.cli.asking import told
    from resile.workflows.archive.questions import free_answer

    told(free_answer(folder, question, most=rows), to=to, as_json=json)


@archive.command("rejudge")
def judge_anew(
    folder: Folder,
    before: Annotated[str, typer.Option(help="Specification the archive is judged by now.")] = "m332-2014",
    after: Annotated[str, typer.Option(help="Specification to judge it by instead.")] = "m332-2020",
    rule: Annotated[str, typer.Option(help="Decision rule before, agreed for these tests.")] = "simple",
    rule_after: Annotated[
        str, typer.Option(help="Decision rule after; the same where not given.", show_default=False)
    ] = "",
    basis: Annotated[
        str, typer.Option(help="What the uncertainty rests on, as for resile grade.")
    ] = "reproducibility",
    budget: Annotated[str, typer.Option(help="Uncertainty budget, where the basis asks for one.")] = "binder",
    precision: Annotated[
        str, typer.Option(help="File of own precision, for the basis own.", show_default=False)
    ] = "",
    retest_rule: Annotated[str, typer.Option(help="Which determinations of a sample count.")] = "mean-of-all",
    product: Product = "",
    lot: Lot = "",
    since: Since = "",
    until: Until = "",
    rows: Annotated[
        int, typer.Option(min=1, help="Samples listed that turn lower, and that turn higher.")
    ] = 1000,
    page: Annotated[
        list[Path] | None,
        typer.Option(
            help="Also write the report to a .html, .pdf or .svg file; may be repeated.", show_default=False
        ),
    ] = None,
    to: To = None,
    json: Json = False,
) -> None:
    """Tell what would change under another edition or decision rule: classes, lines, lots, years."""
    from resile.interfaces.cli.asking import run_rejudge
    from resile.records.archive_answers import ResultsWanted

    run_rejudge(
        folder,
        ResultsWanted(product=product, lot=lot, since=since, until=until),
        before=(before, rule),
        after=(after, rule_after or rule),
        by={
            "uncertainty_basis": basis,
            "budget": budget,
            "precision": precision,
            "retest_rule": retest_rule,
        },
        most=rows,
        to=to,
        pages=page or [],
        as_json=json,
    )


@archive.command("from-record")
def write_record(folder: Folder, record: Record = "", json: Json = False) -> None:
    """Write the results and verdicts of the laboratory's record as an archive, or bring one up to date."""
    from resile.interfaces.cli.asking import run_from_record

    run_from_record(folder, record, as_json=json)
