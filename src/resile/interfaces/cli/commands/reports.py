"""Commands that issue reports, compare, sign and verify them."""

from pathlib import Path
from typing import Annotated

import typer

from resile.interfaces.cli.commands.options import Json, PriceLimit, PriceRule


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


def demo(
    folder: Annotated[Path, typer.Argument(help="Folder for the demonstration; made if need be.")] = Path(
        "resile-demo"
    ),
    record: Annotated[
        str,
        typer.Option(
            help="Load the invented laboratory into this new record (file or address of a database) in place "
            "of writing a folder; then: resile serve --record RECORD.",
            show_default=False,
        ),
    ] = "",
) -> None:
    """A day in an invented laboratory, from record files to verdict, picture and signed page."""
    from resile.interfaces.cli.demonstration import run_demo, run_load

    run_load(record) if record else run_demo(folder)
