"""A doubt that many properties share is said once, with all of them."""

from resile.records.quantity import QUANTITIES
from resile.report.paper.statements.answer import told_together
from resile.report.paper.statements.results import results_table
from resile.workflows.judging.grading import agree, grade_sample
from verdict_bench import determination


def test_properties_without_published_precision_share_one_note() -> None:
    own = [determination("jnr_3.2", "0.05"), determination("jnr_0.1", "0.04")]
    told = [f for f in told_together(grade_sample("tank", own, agree()).results) if "precision" in f.code]
    assert len(told) == 1
    assert told[0].message.startswith(
        "tank, no published precision for Jnr3.2 of 0.05: outside the bands of "
    )
    assert "; no published precision for Jnr0.1 of 0.04: " in told[0].message


def test_a_specimen_left_out_of_every_property_is_named_once() -> None:
    from resile.records.finding import Finding, Severity

    fatal = (Finding("temperature-off", Severity.INVALID, "specimen 2: the temperature is 2 °C off."),)
    own = [
        one
        for quantity, text in (("jnr_3.2", "0.9"), ("percent_recovery_3.2", "30.1"))
        for one in (
            determination(quantity, text),
            determination(quantity, text, replicate="2", findings=fatal),
        )
    ]
    statement = grade_sample("tank", own, agree())
    told = [f.message for f in told_together(statement.results) if f.code == "determination-not-counted"]
    assert told == [
        "tank, Jnr3.2 and R3.2 at 64 °C: 1 of 2 determinations is left out as invalid (replicate 2)."
    ]
    assert [f.message for f in statement.findings if f.severity is Severity.INVALID] == [fatal[0].message]


def test_the_small_print_names_each_document_once_and_no_raw_name() -> None:
    own = [
        determination("jnr_3.2", "0.9"),
        determination("percent_recovery_3.2", "30.1"),
        determination("flash_point", "285", temperature_c=None),
        determination("jnr_difference_percent", "20"),
    ]
    note = results_table(grade_sample("tank", own, agree()).results).note
    assert note.count("AASHTO T 350-14") == 1
    assert note.count("o published precision") == 1
    assert not any(name in note for name in QUANTITIES if "_" in name)
