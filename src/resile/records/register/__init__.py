"""The nouns that a laboratory keeps: each one an entry of its record, with a key of its own.

`samples` what came in and what was asked, `bench` what was done to it, `results` what was found and said of
it, `equipment` what it was measured with, `offer` what the laboratory knows of roads and binders, `control`
what is watched and delivered, `laboratories` how it stands beside others and itself, `people` who did it.
Dates are ISO 8601 days, times ISO 8601 in UTC; a key of another noun links to it; empty text means "not
given".
"""

from resile.records.register.bench import Can, Conditioning, Custody, Heating, Specimen
from resile.records.register.control import (
    ControlWatch,
    Delivery,
    ExcludedResult,
    SamplingInForce,
    SignalAnswer,
)
from resile.records.register.equipment import Instrument, Verification, VerificationState
from resile.records.register.kept import Entry, Kept
from resile.records.register.laboratories import CheckMaterial, CheckResult, OwnPrecision, RoundResult
from resile.records.register.offer import BlendBookRecord, RangeRecord, SavedLayout, SiteRecord
from resile.records.register.people import Actor, Customer, LaboratorySettings, Person
from resile.records.register.results import (
    TYPED_RESULTS,
    PrecisionUsed,
    Result,
    ResultLine,
    Run,
    Statement,
    StatementState,
    Verdict,
)
from resile.records.register.samples import Asked, Disposal, Product, Retention, Sample, SampleStage, Tank

__all__ = [
    "TYPED_RESULTS",
    "Actor",
    "Asked",
    "BlendBookRecord",
    "Can",
    "CheckMaterial",
    "CheckResult",
    "Conditioning",
    "ControlWatch",
    "Custody",
    "Customer",
    "Delivery",
    "Disposal",
    "Entry",
    "ExcludedResult",
    "Heating",
    "Instrument",
    "Kept",
    "LaboratorySettings",
    "OwnPrecision",
    "PrecisionUsed",
    "Person",
    "Product",
    "RangeRecord",
    "Result",
    "ResultLine",
    "Retention",
    "RoundResult",
    "Run",
    "Sample",
    "SampleStage",
    "SamplingInForce",
    "SavedLayout",
    "SignalAnswer",
    "SiteRecord",
    "Specimen",
    "Statement",
    "StatementState",
    "Tank",
    "Verdict",
    "Verification",
    "VerificationState",
]
