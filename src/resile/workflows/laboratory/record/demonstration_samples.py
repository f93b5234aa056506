"""The samples of the invented day: received, and their record files kept, as their test orders say."""

from __future__ import annotations

from pathlib import Path

from resile.records.determination import Condition
from resile.records.order import OrderedRecord, TestOrder
from resile.records.register import Actor, Asked
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.files.ingesting import KeptRecord, RecordTold, keep_record
from resile.workflows.laboratory.files.reattaching import correct_run
from resile.workflows.laboratory.samples.receiving import Arrival, receive_sample


def receive_ordered(record: LaboratoryRecord, actor: Actor, at: str, order: TestOrder) -> str:
    """Receive the sample of an order and give its key."""
    sample = order.sample
    arrival = Arrival(
        number=sample.name,
        product=sample.product,
        customer=order.customer,
        claimed_grade=sample.claimed_grade,
        received=sample.received,
        container=sample.container,
        taken_at=sample.taken,
        state=sample.state,
        note=" ".join(order.notes),
        cans=("A", "B") if order.records else (),
        modified="elastomer" in sample.product,
        handed_by="driver of the terminal (invented)",
        place="receiving bench",
        invented=True,
        asked=Asked(
            specification=order.specification,
            decision_rule=order.decision_rule,
            uncertainty_basis=order.uncertainty_basis,
            retest_rule=order.retest_rule,
            service_class=order.service_class,
            high_temperature_c=order.high_temperature_c,
        ),
    )
    return receive_sample(record, actor, at, arrival).key


def keep_tests(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    order: TestOrder,
    sample: str,
    instruments: dict[str, str],
) -> None:
    """Keep the ageing records, the raw records and the typed results of an order."""
    day = order.tested[:10]
    for ageing, condition in (
        (order.ageing, Condition.SHORT_TERM_AGED),
        (order.long_term_ageing, Condition.LONG_TERM_AGED),
    ):
        if isinstance(ageing, Path):
            told = RecordTold(sample=sample, condition=condition, operator=order.operator, tested=day)
            keep_record(record, actor, at, ageing.read_bytes(), ageing.name, told)
    by_file: dict[Path, list[OrderedRecord]] = {}
    for ordered in order.records:
        assert isinstance(ordered.path, Path)
        by_file.setdefault(ordered.path, []).append(ordered)
    for path, parts in by_file.items():
        _keep_file(record, actor, at, order, sample, path, parts, instruments)
    for table in order.tables:
        assert isinstance(table, Path)
        keep_record(record, actor, at, table.read_bytes(), table.name, RecordTold(sample=sample, tested=day))


def keep_sweeps(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    order: TestOrder,
    folder: Path,
    instruments: dict[str, str],
) -> dict[str, str]:
    """Receive the sample that is there for its models, and keep its sweeps; give its number and key."""
    arrival = Arrival(
        number="301",
        product=order.sample.product,
        customer=order.customer,
        received=order.sample.received,
        container="1 L can, seal 0431",
        cans=("A",),
        modified=True,
        note="Invented for demonstration: for its models, by sweeps on two plates.",
        invented=True,
    )
    sample = receive_sample(record, actor, at, arrival).key
    for path in sorted(folder.glob("*.csv")):
        told = RecordTold(
            sample=sample,
            condition=Condition.LONG_TERM_AGED,
            instrument=_instrument_for(order, path.name, instruments),
            operator=order.operator,
            tested=order.tested[:10],
        )
        keep_record(record, actor, at, path.read_bytes(), path.name, told)
    return {arrival.number: sample}


def _keep_file(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    order: TestOrder,
    sample: str,
    path: Path,
    parts: list[OrderedRecord],
    instruments: dict[str, str],
) -> None:
    """Keep a file; the sheets of a workbook are each attached as the order says."""
    instrument = _instrument_for(order, path.name + parts[0].sheet, instruments)

    def told(part: OrderedRecord, sheet: str = "") -> RecordTold:
        return RecordTold(
            sample=sample,
            specimen=part.specimen,
            condition=part.condition,
            instrument=instrument,
            operator=order.operator,
            tested=order.tested[:10],
            sheet=sheet,
            temperature_c=part.temperature_c,
            plate_diameter_mm=part.plate_diameter_mm,
            gap_mm=part.gap_mm,
        )

    data = path.read_bytes()
    if len(parts) == 1:
        keep_record(record, actor, at, data, path.name, told(parts[0], parts[0].sheet))
        return
    kept = keep_record(record, actor, at, data, path.name)
    for part in parts:
        run = _run_of(kept, part.sheet)
        correct_run(record, actor, at, run, told(part), reason="attached to its sample")


def _run_of(kept: KeptRecord, sheet: str) -> str:
    return next(one.run.key for one in kept.runs if sheet in one.run.value.part)


def _instrument_for(order: TestOrder, name: str, instruments: dict[str, str]) -> str:
    test = next((test for word, test in _TESTS if word in name), "creep_recovery")
    fitting = [one.name for one in order.instruments if not one.tests or test in one.tests]
    return instruments.get(fitting[0], "") if fitting else ""


_TESTS = (
    ("beam", "bending_beam"),
    ("viscosity", "rotational_viscosity"),
    ("sweep", "oscillation"),
    ("oscillation", "oscillation"),
)
"""What the name of a file of the demonstration says of its test."""
