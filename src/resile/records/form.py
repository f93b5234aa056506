"""A workbook to type results into: the same layout, empty to fill in and filled to be read."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Condition

Cell = str | float | None

FORM_MARK = "Results form, layout 1"
"""Begins cell A1 of every sheet of the form: by it a form, and each sheet of it, is known again."""

RESULT_HEADINGS = (
    "Test",
    "Property",
    "Temperature (°C)",
    "Specimen",
    "Value",
    "Unit",
    "Limit",
    "Other laboratory",
    "Remark",
    "Name",
)
BOTTLE_HEADINGS = ("Bottle", "Empty mass (g)", "Mass before (g)", "Mass after (g)", "Note")
PAN_HEADINGS = ("Pan", "Binder mass (g)", "Note")
NUMBER_HINTS = ("°C", "min", "h", "mL/min", "r/min", "%", "MPa", "kPa", "mm", "how many")
"""Hints of the fields that take a number; all but the last are its unit."""


@dataclass(frozen=True, slots=True)
class FormField:
    """One line to fill in.

    Attributes
    ----------
    key : str
        Key of the test order or ageing record; a dot leads into its tables.
    label : str
        Words beside the cell.
    hint : str
        Unit, or how it is written.
    """

    key: str
    label: str
    hint: str = ""


ORDER_FIELDS = (
    FormField("number", "Report number", "unique; a revision has a number of its own"),
    FormField("sample.name", "Sample", "needed: name or number in the laboratory"),
    FormField("sample.product", "Product", "as the sender declares it"),
    FormField("sample.claimed_grade", "Claimed grade", "as the specification writes it"),
    FormField("sample.container", "Container", "with seal"),
    FormField("sample.taken", "Sampled", "where, when, by whom"),
    FormField("sample.received", "Received", "YYYY-MM-DD"),
    FormField("sample.state", "State on arrival", "what was seen"),
    FormField("customer", "Customer"),
    FormField("customer_contact", "Contact of the customer"),
    FormField("operator", "Tested by"),
    FormField("reviewed_by", "Reviewed and authorised by"),
    FormField("tested", "Dates of the tests", "YYYY-MM-DD"),
    FormField("place_of_work", "Place of work", "empty: as the laboratory"),
    FormField("instrument.name", "Instrument"),
    FormField("instrument.verified", "Temperature verified", "YYYY-MM-DD"),
    FormField("external_results", "Results of others", "in words; the laboratory stands in each row"),
    FormField("notes", "Deviations and notes"),
    FormField("specification", "Specification", "agreed before the test"),
    FormField("decision_rule", "Decision rule", "agreed before the test"),
    FormField("uncertainty_basis", "Basis of the uncertainty", "agreed before the test"),
    FormField("retest_rule", "Retest rule", "declared before the test"),
    FormField("replaces.number", "Replaces report", "only for a revision: its number"),
    FormField("replaces.reason", "Reason", "only for a revision: why"),
    FormField("replaces.report", "JSON of that report", "file beside this one; what changed is then listed"),
    FormField("invented", "Invented data", "yes where sample and numbers are made up"),
)

AGEING_FIELDS = (
    FormField("method", "Method"),
    FormField("aged_on", "Aged on", "YYYY-MM-DD"),
    FormField("temperature_c", "Oven temperature", "°C"),
    FormField("duration_min", "Time in oven", "min"),
    FormField("air_flow_ml_min", "Air flow", "mL/min"),
    FormField("rotation_r_min", "Rotation", "r/min"),
    FormField("recovery_min", "Return to temperature", "min"),
    FormField("mass_change_percent", "Mean mass change", "%"),
)

LONG_TERM_FIELDS = (
    FormField("method", "Method"),
    FormField("aged_on", "Aged on", "YYYY-MM-DD"),
    FormField("temperature_c", "Chamber temperature", "°C"),
    FormField("pressure_mpa", "Air pressure", "MPa"),
    FormField("duration_h", "Time under pressure", "h"),
    FormField("pan_count", "Number of pans", "how many"),
    FormField("pan_diameter_mm", "Pan diameter", "mm"),
    FormField("release_min", "Pressure release", "min"),
    FormField("pan_heating_temperature_c", "Pan heating temperature", "°C"),
    FormField("pan_heating_min", "Pan heating time", "min"),
    FormField("degassing_temperature_c", "Degassing temperature", "°C"),
    FormField("degassing_pressure_kpa", "Degassing pressure", "kPa"),
    FormField("degassing_min", "Degassing time", "min"),
    FormField("feed", "Feed residue", "what was put into the pans"),
    FormField("short_term_record", "Short-term ageing record", "file beside this one; empty: the sheet here"),
    FormField("departure", "Departure from the method", "as the laboratory declares it"),
    FormField("note", "Remark", "what was seen"),
)

ORDER_SHEET = "Order and sample"
AGEING_SHEET = "Short-term ageing"
LONG_TERM_SHEET = "Long-term ageing"
SHEET_NAMES = {
    Condition.ORIGINAL: "Original binder",
    Condition.SHORT_TERM_AGED: "Short-term aged",
    Condition.LONG_TERM_AGED: "Long-term aged",
    Condition.RECOVERED: "Recovered binder",
}


@dataclass(frozen=True, slots=True)
class FormRow:
    """One value to type, or typed.

    Attributes
    ----------
    test, property_name : str
        Words for a person.
    quantity : str
        Name from the glossary; empty in a row left free.
    temperature_c, value : float, str or None
        As typed.
    specimen, unit, limit, laboratory, remark : str
        What else the row says.
    """

    test: str = ""
    property_name: str = ""
    quantity: str = ""
    temperature_c: Cell = None
    specimen: str = ""
    value: Cell = None
    unit: str = ""
    limit: str = ""
    laboratory: str = ""
    remark: str = ""


@dataclass(frozen=True, slots=True)
class FormSheet:
    """The values of one residue.

    Attributes
    ----------
    condition : Condition
        Residue.
    rows : tuple of FormRow
        In working order.
    """

    condition: Condition
    rows: tuple[FormRow, ...]


@dataclass(frozen=True, slots=True)
class ResultsForm:
    """The whole form.

    Attributes
    ----------
    order_values, ageing_values, long_term_values : tuple of (str, str)
        Key of the field and what stands in its cell.
    sheets : tuple of FormSheet
        One a residue.
    bottles : tuple of tuple
        Name, three masses, note, as typed.
    pans : tuple of tuple
        Name, mass of binder, note, as typed; empty where the form asks for no long-term ageing.
    told : tuple of (str, str)
        What to keep to and to beware of: subject and sentence.
    choices : tuple of (str, tuple of str)
        Key of a field and the words that may stand there; ``long_term_ageing.`` before those of that sheet.
    """

    order_values: tuple[tuple[str, str], ...]
    sheets: tuple[FormSheet, ...]
    ageing_values: tuple[tuple[str, str], ...] = ()
    bottles: tuple[tuple[Cell, ...], ...] = ()
    long_term_values: tuple[tuple[str, str], ...] = ()
    pans: tuple[tuple[Cell, ...], ...] = ()
    told: tuple[tuple[str, str], ...] = ()
    choices: tuple[tuple[str, tuple[str, ...]], ...] = ()
