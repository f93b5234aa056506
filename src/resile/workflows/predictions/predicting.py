"""Predictions for other temperatures from a file: a table, a test order or a filled form."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from resile.errors import InputError, MeasurementError
from resile.readers.forms.results_form import is_form
from resile.readers.layout import Layout
from resile.readers.source_file import read_source
from resile.readers.summary_table import read_summary_table
from resile.readers.workbooks.workbook import read_workbook
from resile.records.determination import Determination
from resile.records.finding import Finding, Severity
from resile.records.prediction import SamplePrediction
from resile.records.reading import ReadingAccount, SourceFile
from resile.specifications.slopes import list_binder_kinds, load_binder_kind
from resile.workflows.judging.agreement import Yardstick, agree
from resile.workflows.predictions.expected_values import REACH_C
from resile.workflows.predictions.prediction import REQUIRED_PROBABILITY, predict_sample

if TYPE_CHECKING:
    pass
from resile.workflows.predictions.shown import Prediction

_MAX_FORM_BYTES = 50_000_000

_SPECIFICATION = "m332-2014"


def predict(
    path: str | Path,
    at_c: Sequence[float],
    *,
    specification: str | Path | None = None,
    kind: str | Path | None = None,
    scatter: str | float = "precision",
    required_probability: float = REQUIRED_PROBABILITY,
    reach_c: float = REACH_C,
    layout: Layout | None = None,
) -> Prediction:
    """Predict what binders would show at other temperatures, and which classes they would carry there.

    Parameters
    ----------
    path : str or Path
        Table of results, test order (TOML), or filled results form (XLSX).
    at_c : sequence of float
        Temperatures asked for [°C].
    specification : str or Path or None
        Name of a specification, or a file of one's own; that of the order, else ``m332-2014``, where not
        given.
    kind : str or Path or None
        Kind of binder whose published slope stands in where one temperature was tested.
    scatter : str or float
        ``"precision"``, ``"replicates"``, or a coefficient of variation of one's own [%].
    required_probability : float
        What counts as sure, above 0.5 and below 1.
    reach_c : float
        Furthest a line is extended outside the tests [°C].
    layout : Layout or None
        How a table is to be understood, where that is not left to the reader.

    Returns
    -------
    Prediction
        One a sample.

    Raises
    ------
    InputError
        Where nothing can be said of any sample, with what is needed.
    """
    given = _given(Path(path), layout)
    found = predict_results(
        given.determinations,
        at_c,
        specification=specification or given.specification or _SPECIFICATION,
        kind=kind,
        scatter=scatter,
        required_probability=required_probability,
        reach_c=reach_c,
        where=str(path),
    )
    return Prediction(found.samples, given.source, given.account, given.findings, given.invented)


def predict_results(
    determinations: Sequence[Determination],
    at_c: Sequence[float],
    *,
    specification: str | Path = _SPECIFICATION,
    kind: str | Path | None = None,
    scatter: str | float = "precision",
    required_probability: float = REQUIRED_PROBABILITY,
    reach_c: float = REACH_C,
    where: str = "these results",
) -> Prediction:
    """Predict from results in hand, as `predict` does from a file.

    Parameters
    ----------
    determinations : sequence of Determination
        Of one sample or several.
    at_c, specification, kind, scatter, required_probability, reach_c
        As in `predict`.
    where : str
        What a refusal names.

    Returns
    -------
    Prediction
        One a sample, in the order of their first result.

    Raises
    ------
    InputError
        Where nothing can be said of any sample, with what is needed.
    """
    chosen = None if kind is None else load_binder_kind(kind)
    agreed = agree(specification)

    def one(sample: str, determinations: Sequence[Determination]) -> SamplePrediction:
        return predict_sample(
            sample,
            determinations,
            agreed,
            at_c=at_c,
            kind=chosen,
            scatter=scatter,
            required_probability=required_probability,
            reach_c=reach_c,
        )

    names = dict.fromkeys(d.sample for d in determinations)
    samples = tuple(one(name, [d for d in determinations if d.sample == name]) for name in names)
    _refuse_nothing(samples, where, agreed)
    return Prediction(samples)


@dataclass(frozen=True, slots=True)
class _Given:
    determinations: tuple[Determination, ...]
    source: SourceFile | None = None
    account: ReadingAccount | None = None
    findings: tuple[Finding, ...] = ()
    invented: bool = False
    specification: str = ""


def _given(path: Path, layout: Layout | None) -> _Given:
    if path.suffix.lower() == ".toml" or _is_filled_form(path):
        from resile.workflows.orders.ordering import report_order

        report = report_order(path, date="1970-01-01")  # the date is for paper only
        made = tuple(d for result in report.statement.results for d in result.determinations)
        return _Given(
            made,
            report.order.source,
            invented=report.order.invented,
            specification=report.order.specification,
        )
    table = read_summary_table(path, layout=layout)
    return _Given(table.determinations, table.source, table.account, table.findings)


def _is_filled_form(path: Path) -> bool:
    if path.suffix.lower() != ".xlsx" or not path.is_file():
        return False
    data, _ = read_source(path, "workbook", _MAX_FORM_BYTES)
    return is_form(read_workbook(data, str(path)))


def _refuse_nothing(samples: Sequence[SamplePrediction], path: str, agreed: Yardstick) -> None:
    """Say what is needed where nothing can be told at any temperature asked for."""
    if any(value.value is not None for s in samples for one in s.temperatures for value in one.values):
        return
    reasons = dict.fromkeys(
        value.reason for s in samples for one in s.temperatures for value in one.values if value.reason
    )
    if not reasons:
        raise InputError(
            f"{path}: needed are results of Jnr3.2, recovery at 3.2 kPa or |G*|/sin δ with their temperature "
            f"to predict by {agreed.specification.identifier}; none was found"
        )
    kinds = ", ".join(entry.identifier for entry in list_binder_kinds())
    asked = f" (kinds: {kinds})" if any("kind of binder" in reason for reason in reasons) else ""
    invalid = [f.message.rstrip(".") for s in samples for f in s.findings if f.severity is Severity.INVALID]
    reasons = dict.fromkeys((*invalid, *reasons))
    raise MeasurementError(
        f"{path}: nothing can be said at the temperatures asked for: {'; '.join(reasons)}{asked}"
    )
