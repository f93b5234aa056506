"""The commands and their options. Only typer is imported here; the work is imported where it is done.

Annotations are live objects here (no postponed evaluation): typer reads them at every start.
"""

from pathlib import Path
from typing import Annotated, Any

import typer

from resile.interfaces.cli.layout_options import with_layout_options
from resile.version import __version__

app = typer.Typer(
    name="resile",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)

Json = Annotated[bool, typer.Option("--json", help="Print JSON for machines.")]
Records = Annotated[
    list[Path],
    typer.Argument(help="Record files, or folders of them.", show_default=False, metavar="FILE..."),
]
Specification = Annotated[
    str,
    typer.Option(
        "--specification", "-s", help="Name of a specification, or a file of your own (see: resile rules)."
    ),
]
DecisionRule = Annotated[str, typer.Option(help="Decision rule, agreed before the test.")]
Basis = Annotated[
    str,
    typer.Option(
        help="What the uncertainty rests on: reproducibility, repeatability, replicates, budget or combined; "
        "several with commas, and the first that gives one is taken."
    ),
]
RetestRule = Annotated[str, typer.Option(help="Which determinations count, declared before the test.")]
PriceRule = Annotated[
    list[str] | None,
    typer.Option(
        help="Price rule of the contract, shown as a money view apart from the verdict: a name or a file "
        "(see: resile rules); may be repeated.",
        show_default=False,
    ),
]
PriceLimit = Annotated[
    float | None,
    typer.Option(
        help="Limit that a price rule counts from, where the specification has none.", show_default=False
    ),
]


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


@app.command()
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


@app.command()
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


@app.command()
@with_layout_options
def grade(
    table: Annotated[Path, typer.Argument(help="Table of results: one row a value or a specimen.")],
    how: dict[str, Any],
    specification: Specification = "m332-2014",
    decision_rule: DecisionRule = "simple",
    uncertainty_basis: Basis = "reproducibility",
    retest_rule: RetestRule = "mean-of-all",
    budget: Annotated[
        str, typer.Option(help="Uncertainty budget (name or file), for the bases 'budget' and 'combined'.")
    ] = "binder",
    correlation: Annotated[
        str,
        typer.Option(
            help="What errors share (name or file): laboratory-bias, independent, one-factor or common."
        ),
    ] = "laboratory-bias",
    claim: Annotated[
        str | None,
        typer.Option(
            help="A class or whole grade claimed, such as 64V, 64V-22 or 'PG 64-22': exit code 1 unless "
            "every sample satisfies it."
        ),
    ] = None,
    both_rules: Annotated[
        bool,
        typer.Option("--both-rules", help="Continuous temperatures by the other interpolation rule as well."),
    ] = False,
    allow_extrapolation: Annotated[
        bool,
        typer.Option(
            "--allow-extrapolation",
            help="Continuous temperatures up to one grade step outside the tests, marked as such.",
        ),
    ] = False,
    each: Annotated[
        bool,
        typer.Option("--each", help="Judge every determination on its own instead of the sample's mean."),
    ] = False,
    full: Annotated[
        bool | None,
        typer.Option("--full/--overview", help="The sheet of every sample, or one line a sample."),
    ] = None,
    price_rule: PriceRule = None,
    price_limit: PriceLimit = None,
    json: Json = False,
) -> None:
    """Judge a table of results against a specification: every class each sample satisfies, with margins."""
    from resile.interfaces.cli.judging import run_grade

    run_grade(
        table,
        specification=specification,
        decision_rule=decision_rule,
        uncertainty_basis=uncertainty_basis,
        retest_rule=retest_rule,
        budget=budget,
        correlation=correlation,
        each=each,
        claim=claim,
        both_rules=both_rules,
        allow_extrapolation=allow_extrapolation,
        full=full,
        price_rules=price_rule or (),
        price_limit=price_limit,
        how=how,
        as_json=json,
    )


@app.command()
@with_layout_options
def compare(
    tables: Annotated[
        list[Path],
        typer.Argument(
            help="Tables of results that belong together: conclusions may stand in another one than results.",
            show_default=False,
            metavar="TABLE...",
        ),
    ],
    how: dict[str, Any],
    specification: Annotated[
        list[str] | None,
        typer.Option(
            "--specification",
            "-s",
            help="Whose limits count, in this order; may be repeated. m332-2014, then m320, where not given.",
            show_default=False,
        ),
    ] = None,
    json: Json = False,
) -> None:
    """Compare reported conclusions (grades, critical temperatures, pass or fail) with reported results."""
    from resile.interfaces.cli.judging import run_compare

    run_compare(tables, specifications=specification or [], how=how, as_json=json)


@app.command()
def report(
    orders: Annotated[
        list[Path],
        typer.Argument(
            help="Test orders (TOML), or filled results forms (XLSX): sample, files, specification, rules. "
            "All are worked through before a page is written.",
            show_default=False,
            metavar="ORDER...",
        ),
    ],
    folder: Annotated[
        Path | None,
        typer.Option("--folder", "-f", help="Where the pages go; beside each order where not given."),
    ] = None,
    date: Annotated[
        str | None, typer.Option(help="Date of issue, YYYY-MM-DD; today where not given.", show_default=False)
    ] = None,
    laboratory: Annotated[
        Path | None,
        typer.Option(
            help="Settings file of the laboratory (TOML): name, address, accreditation, logo.",
            show_default=False,
        ),
    ] = None,
    key: Annotated[
        Path | None,
        typer.Option(
            help="Sign each PDF in the same run with this key file (.p12, .pfx), as resile sign does: only "
            "NUMBER-signed.pdf is left, and it is never overwritten.",
            show_default=False,
        ),
    ] = None,
    price_rule: PriceRule = None,
    price_limit: PriceLimit = None,
    full: Annotated[bool, typer.Option("--full", help="Show everything that stands on the page.")] = False,
    json: Json = False,
) -> None:
    """Work through test orders from raw records to verdict, and write the pages (HTML, PDF, XLSX).

    With --key the PDF of each is signed in the same run.
    """
    from resile.interfaces.cli.judging import run_report

    run_report(
        orders,
        folder=folder,
        date=date,
        laboratory=laboratory,
        key=key,
        price_rules=price_rule or (),
        price_limit=price_limit,
        full=full,
        as_json=json,
    )


@app.command()
def changes(
    before: Annotated[
        Path,
        typer.Argument(
            help="JSON of the older report, written beside its pages.",
            metavar="BEFORE.json",
            show_default=False,
        ),
    ],
    after: Annotated[
        Path, typer.Argument(help="JSON of the newer report.", metavar="AFTER.json", show_default=False)
    ],
    json: Json = False,
) -> None:
    """Name what two reports state differently: results, verdicts, identity, files, specification, program."""
    from resile.interfaces.cli.judging import run_changes

    run_changes(before, after, as_json=json)


@app.command()
def ageing(
    record: Annotated[
        Path, typer.Argument(help="Ageing record, short-term or long-term (TOML, CSV or XLSX).")
    ],
    json: Json = False,
) -> None:
    """Mass change and checks of an ageing record: rolling thin film (short-term) or pressure (long-term)."""
    from resile.interfaces.cli.judging import run_ageing

    run_ageing(record, as_json=json)


@app.command()
def plan(
    grade: Annotated[
        str | None,
        typer.Argument(
            help="Grade to be proven, e.g. 'PG 64V-22' or 'PG 76-22'; left out to search for it.",
            show_default=False,
        ),
    ] = None,
    specification: Annotated[
        str | None,
        typer.Option(
            "--specification",
            "-s",
            help="Name of a specification, or a file of your own; m332-2014 for a grade with a traffic "
            "letter, m320 for one without.",
            show_default=False,
        ),
    ] = None,
    order: Annotated[
        Path | None,
        typer.Option(help="Test order (TOML): tests it holds results for are ticked.", show_default=False),
    ] = None,
    table: Annotated[
        Path | None,
        typer.Option(help="Table of results of one sample: what it holds is ticked.", show_default=False),
    ] = None,
    book: Annotated[
        str, typer.Option(help="Bench book: methods, plates, tolerances, cautions; a name or a file.")
    ] = "binder",
    recovered: Annotated[
        bool, typer.Option("--recovered", help="The binder was recovered from a mix.")
    ] = False,
    folder: Annotated[
        Path | None,
        typer.Option(
            "--folder", "-f", help="Also write the bench sheet here (HTML, PDF).", show_default=False
        ),
    ] = None,
    date: Annotated[
        str | None,
        typer.Option(help="Date on the bench sheet, YYYY-MM-DD; today where not given.", show_default=False),
    ] = None,
    json: Json = False,
) -> None:
    """Plan the tests for a grade: residues, temperatures, plates, tolerances, cautions; a sheet to print."""
    from resile.interfaces.cli.planning import run_plan

    run_plan(
        grade,
        specification=specification,
        order=order,
        table=table,
        book=book,
        recovered=recovered,
        folder=folder,
        date=date,
        as_json=json,
    )


@app.command()
@with_layout_options
def certificate(
    file: Annotated[
        Path,
        typer.Argument(
            help="Supplier's certificate, typed or imported (CSV, XLSX, TOML).",
            metavar="CERTIFICATE",
            show_default=False,
        ),
    ],
    how: dict[str, Any],
    own: Annotated[
        Path | None,
        typer.Option(help="Own results: a test order (TOML) or a table of one sample.", show_default=False),
    ] = None,
    specification: Annotated[
        str | None,
        typer.Option(
            "--specification",
            "-s",
            help="In force: a name, or a file of your own; that of the order, or the one the grade is "
            "written by, where not given.",
            show_default=False,
        ),
    ] = None,
    claim: Annotated[
        str | None,
        typer.Option(
            help="Grade that has to be shown, e.g. 'PG 64V-22'; the one on the certificate where not given.",
            show_default=False,
        ),
    ] = None,
    decision_rule: Annotated[
        str | None, typer.Option(help="Decision rule, agreed before the test.", show_default=False)
    ] = None,
    uncertainty_basis: Annotated[
        str | None,
        typer.Option(
            help="What the uncertainty rests on: reproducibility, repeatability, replicates or budget.",
            show_default=False,
        ),
    ] = None,
    retest_rule: Annotated[
        str | None,
        typer.Option(help="Which determinations count, declared before the test.", show_default=False),
    ] = None,
    sample: Annotated[str, typer.Option(help="Which batch, where the certificate holds several.")] = "",
    batch: Annotated[str, typer.Option(help="Batch on the delivery note.")] = "",
    tank: Annotated[str, typer.Option(help="Tank on the delivery note.")] = "",
    delivered: Annotated[
        str | None, typer.Option(help="Date of delivery, YYYY-MM-DD.", show_default=False)
    ] = None,
    earlier: Annotated[
        list[Path] | None,
        typer.Option(
            help="Another certificate of this product: values repeated from it are told; may be repeated.",
            show_default=False,
        ),
    ] = None,
    price_rule: PriceRule = None,
    price_limit: PriceLimit = None,
    folder: Annotated[
        Path | None,
        typer.Option(
            "--folder", "-f", help="Also write the sheet here (HTML, PDF, XLSX).", show_default=False
        ),
    ] = None,
    date: Annotated[
        str | None,
        typer.Option(help="Date of the check, YYYY-MM-DD; today where not given.", show_default=False),
    ] = None,
    json: Json = False,
) -> None:
    """Check a supplier's certificate line by line, against the specification in force and own results."""
    from resile.interfaces.cli.checking import run_certificate

    run_certificate(
        file,
        own=own,
        specification=specification,
        claim=claim,
        decision_rule=decision_rule,
        uncertainty_basis=uncertainty_basis,
        retest_rule=retest_rule,
        sample=sample,
        batch=batch,
        tank=tank,
        delivered=delivered,
        earlier=earlier or (),
        price_rules=price_rule or (),
        price_limit=price_limit,
        folder=folder,
        date=date,
        how=how,
        as_json=json,
    )


@app.command()
def form(
    grade: Annotated[str, typer.Argument(help="Grade to be proven, e.g. 'PG 64V-22'.", show_default=False)],
    file: Annotated[
        Path, typer.Option("--file", "-f", help="Workbook to write (.xlsx); it must not exist.")
    ] = Path("results.xlsx"),
    specification: Annotated[
        str | None,
        typer.Option("--specification", "-s", help="As for: resile plan.", show_default=False),
    ] = None,
    book: Annotated[
        str, typer.Option(help="Bench book: specimens, tolerances, cautions; a name or a file.")
    ] = "binder",
) -> None:
    """Write a workbook to type results into; filled, it goes to: resile report."""
    from resile.interfaces.cli.planning import run_form

    run_form(grade, file=file, specification=specification, book=book)


@app.command()
def rules(
    name: Annotated[
        str | None,
        typer.Argument(help="Specification to show; all are listed where not given.", show_default=False),
    ] = None,
    template: Annotated[
        Path | None,
        typer.Option(help="Write a specification of your own to fill in to this file.", show_default=False),
    ] = None,
    schema: Annotated[
        str | None,
        typer.Option(
            help="Print the JSON Schema of a kind of file: specification, bench-book, laboratory, order, "
            "certificate, price-rule or ageing-record.",
            show_default=False,
        ),
    ] = None,
    json: Json = False,
) -> None:
    """List the specifications and rules, show one, check one of your own, or start one from the template."""
    from resile.interfaces.cli.judging import run_rules

    run_rules(name, template=template, schema=schema, as_json=json)


@app.command()
def sign(
    pdf: Annotated[Path, typer.Argument(help="Report in PDF.", metavar="FILE.pdf", show_default=False)],
    key: Annotated[
        Path,
        typer.Option(
            help="Key and certificate of the laboratory, a PKCS#12 file (.p12, .pfx). Its password is asked "
            "for, or taken from the variable RESILE_KEY_PASSWORD.",
            show_default=False,
        ),
    ],
    reason: Annotated[
        str, typer.Option(help="Why it is signed; stands in the signature.")
    ] = "Issue of the test report",
    output: Annotated[
        Path | None,
        typer.Option(
            help="File to write; FILE-signed.pdf where not given. It must not exist.", show_default=False
        ),
    ] = None,
    json: Json = False,
) -> None:
    """Sign a report with the laboratory's own certificate; the page stays as it was."""
    from resile.interfaces.cli.signing import run_sign

    run_sign(pdf, key=key, reason=reason, output=output, as_json=json)


@app.command()
def verify(
    pdf: Annotated[
        Path, typer.Argument(help="Signed report in PDF.", metavar="FILE.pdf", show_default=False)
    ],
    trust: Annotated[
        list[Path] | None,
        typer.Option(
            help="Certificate that you trust (PEM or DER): the laboratory's, or of whoever vouches for it; "
            "may be repeated.",
            show_default=False,
        ),
    ] = None,
    json: Json = False,
) -> None:
    """Say who signed a report and when, and whether it is unchanged since (exit code 1 where it is not)."""
    from resile.interfaces.cli.signing import run_verify

    run_verify(pdf, trusted=trust or [], as_json=json)


@app.command()
def demo(
    folder: Annotated[Path, typer.Argument(help="Folder for the demonstration; made if need be.")] = Path(
        "resile-demo"
    ),
) -> None:
    """A day in an invented laboratory, from record files to verdict, picture and signed page."""
    from resile.interfaces.cli.demonstration import run_demo

    run_demo(folder)
