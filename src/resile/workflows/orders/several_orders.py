"""Several test orders at once: all are worked through before a page is written, and signed where asked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from resile.errors import InputError
from resile.readers.order import read_order
from resile.workflows.orders.ordering import OrderReport, report_order
from resile.workflows.orders.pages import SIGNED, Seal, file_stem, write_file


@dataclass(frozen=True, slots=True)
class IssuedOrder:
    """A test order and the files it became.

    Attributes
    ----------
    report : OrderReport
        What it gave.
    files : tuple of Path
        Written.
    removed : tuple of Path
        Unsigned pages of an earlier run that a signed one has taken the place of.
    """

    report: OrderReport
    files: tuple[Path, ...]
    removed: tuple[Path, ...] = ()

    @property
    def signed_pdf(self) -> Path | None:
        """The signed page; None where it was not signed."""
        return next((path for path in self.files if path.name.endswith(SIGNED)), None)


def issue_orders(
    paths: Sequence[str | Path],
    *,
    date: str,
    laboratory: str | Path | None = None,
    folder: str | Path | None = None,
    seal: Seal | None = None,
    price_rules: Sequence[str | Path] = (),
    price_limit: float | None = None,
    replace_signed: bool = False,
) -> list[IssuedOrder]:
    """Work through test orders and write their pages.

    Parameters
    ----------
    paths : sequence of str or Path
        Orders (TOML).
    date : str
        Date of issue, YYYY-MM-DD.
    laboratory : str or Path or None
        Settings file of the laboratory that issues the reports.
    folder : str or Path or None
        Where the pages go; beside each order where not given.
    seal : callable or None
        Signs each page, see `resile.workflows.orders.signing.seal_with`; the signed PDF is then the only one.
    price_rules, price_limit
        Price rules of the contract and the limit they count from, as in `agree`.
    replace_signed : bool
        Write over a signed page of an earlier run; only for what is worth nothing.

    Returns
    -------
    list of IssuedOrder
        In the order given.

    Raises
    ------
    ResileError
        Where an order or one of its files cannot be used, two orders would write the same file, or a signed
        page stands there already. Nothing is written then.
    """
    targets = list(_targets(paths, folder))
    _may_be_written(targets, signing=seal is not None, replace_signed=replace_signed)
    reports = [
        report_order(path, date=date, laboratory=laboratory, price_rules=price_rules, price_limit=price_limit)
        for path in paths
    ]
    made = [report.files(target.parent, seal=seal) for report, target in zip(reports, targets, strict=True)]
    issued = []
    for report, target, files in zip(reports, targets, made, strict=True):
        written = tuple(write_file(path, content) for path, content in files.items())
        issued.append(IssuedOrder(report, written, _without_draft(target) if seal else ()))
    return issued


def orders_json(reports: Sequence[OrderReport]) -> dict[str, Any]:
    """Give one order as itself, several as a list under ``reports``.

    Parameters
    ----------
    reports : sequence of OrderReport
        What the orders gave.

    Returns
    -------
    dict
        As ``resile report --json`` prints it.
    """
    if len(reports) == 1:
        return reports[0].to_json()
    return {"complies": all(r.complies for r in reports), "reports": [r.to_json() for r in reports]}


def _targets(paths: Sequence[str | Path], folder: str | Path | None) -> Iterator[Path]:
    """Give the page of each order, without its ending."""
    for path in map(Path, paths):
        order = read_order(path)
        yield (Path(folder) if folder is not None else path.parent) / file_stem(
            order.number or order.sample.name
        )


def _may_be_written(targets: Sequence[Path], *, signing: bool, replace_signed: bool) -> None:
    places = [target.resolve() for target in targets]
    twice = [str(target) for target, place in zip(targets, places, strict=True) if places.count(place) > 1]
    if twice:
        raise InputError(
            f"two orders would both write {twice[0]}.pdf; give each its own 'number', "
            "or report them into folders of their own"
        )
    for target in targets if signing and not replace_signed else ():
        signed = target.with_name(f"{target.name}{SIGNED}")
        if signed.exists():
            raise InputError(
                f"{signed}: a signed report stands there and is not overwritten; a correction is a report "
                "with a number of its own that names this one in 'replaces' (or choose another --folder)"
            )


def _without_draft(target: Path) -> tuple[Path, ...]:
    """Remove the plain page of an earlier run, lest two PDF of one report lie there; never a signed one."""
    draft = target.with_name(f"{target.name}.pdf")
    if not draft.is_file() or b"/ByteRange" in draft.read_bytes():
        return ()
    draft.unlink()
    return (draft,)
