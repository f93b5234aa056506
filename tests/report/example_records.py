"""Example records for the report room, built from the definitions (creep-recovery.md, section 8.2).

A Burgers model answers in closed form, so strains, recovery and Jnr are known before any code of ours runs.
The sample, the laboratory and all its numbers are invented.
"""

import numpy as np

from resile.records.ageing import AgeingRecord, Bottle
from resile.records.creep_recovery import CreepRecoveryProgramme, CreepRecoveryRun, Cycle, StressLevel
from resile.records.determination import Condition, Determination, Result, Uncertainty
from resile.records.finding import Finding, Measure, Severity
from resile.records.reading import ColumnReading, ReadingAccount, RefusedRow, SourceFile
from resile.records.signal import Signal
from resile.records.specification import DecisionRule, Requirement, RetestRule, ServiceClass, Specification
from resile.records.verdict import ClassVerdict, GradeStatement, Outcome, Verdict

PROGRAMME = CreepRecoveryProgramme("AASHTO T 350-14", 1.0, 9.0, (0.1, 3.2), 10, 5.0, 0.05, 0.30)
TABLE_8_2 = {"spring": 50.0, "dashpot": 0.5, "kelvin_spring": 2.0, "kelvin_dashpot": 4.0}
ELASTIC = {"spring": 25.0, "dashpot": 1.88, "kelvin_spring": 1.4, "kelvin_dashpot": 2.4}
SHA = "3f7a9c0d5e1b48267c90ab3de45f6172839405a6b7c8d9e0f1a2b3c4d5e6f708"


def burgers_strain(model: dict[str, float], times: np.ndarray) -> np.ndarray:
    """Strain under 20 cycles at 0.1 kPa and 10 at 3.2 kPa, 1 s on and 9 s off."""
    retardation = model["kelvin_dashpot"] / model["kelvin_spring"]

    def compliance(t: np.ndarray) -> np.ndarray:
        late = np.maximum(t, 0.0)
        value = 1 / model["spring"] + late / model["dashpot"]
        value = value + (1 - np.exp(-late / retardation)) / model["kelvin_spring"]
        return np.where(t >= 0.0, value, 0.0)

    strain = np.zeros_like(times)
    for number in range(30):
        stress = 0.1 if number < 20 else 3.2
        strain += stress * (compliance(times - 10.0 * number) - compliance(times - 10.0 * number - 1.0))
    return strain


def strain_at(model: dict[str, float], number: int) -> tuple[float, float, float]:
    """Strain before the push, at the end of creep and at the end of recovery of cycle `number` (from 1)."""
    start = 10.0 * (number - 1)
    hair = 1e-9
    ends = burgers_strain(model, np.array([start - hair, start + 1.0 - hair, start + 10.0 - hair]))
    return float(ends[0]), float(ends[1]), float(ends[2])


def cycle_of(model: dict[str, float], place: int) -> Cycle:
    e0, ec, er = strain_at(model, place)
    stress = 0.1 if place <= 20 else 3.2
    number = place if place <= 20 else place - 20
    return Cycle(
        number, e0, ec, er, 100 * (ec - er) / (ec - e0), (er - e0) / stress, start_s=10.0 * (place - 1)
    )


def level_of(model: dict[str, float], stress: float, first: int) -> StressLevel:
    cycles = tuple(cycle_of(model, place) for place in range(first, first + 10))
    recovery = [c.percent_recovery for c in cycles]
    jnr = [c.jnr for c in cycles]
    return StressLevel(
        stress,
        stress,
        float(np.mean(recovery)),
        float(np.mean(jnr)),
        float(np.std(recovery, ddof=1)),
        float(np.std(jnr, ddof=1)),
        0.0,
        0.0,
        cycles,
    )


def signal_of(model: dict[str, float], source: SourceFile, account: ReadingAccount) -> Signal:
    steps = np.concatenate([np.linspace(0.0, 1.0, 51)[:-1], np.linspace(1.0, 10.0, 51)[:-1]])
    times = np.concatenate([10.0 * number + steps for number in range(30)])
    loaded = np.tile(steps < 1.0, 30)
    stress = np.where(loaded, np.where(times < 200.0, 0.1, 3.2), 0.0)
    columns = {"time_s": times, "stress_kpa": stress, "strain": burgers_strain(model, times)}
    return Signal(columns, source, account)


def example_account() -> ReadingAccount:
    return ReadingAccount(
        form="delimited text",
        encoding="cp1252",
        separator="semicolon",
        decimal_mark=",",
        heading_rows=(3, 4),
        first_data_row=5,
        columns=(
            ColumnReading(1, "Zeit", "time_s", "s", 1.0, "s", "time in s, as printed"),
            ColumnReading(
                2, "Schubspannung", "stress_kpa", "Pa", 0.001, "kPa", "stress in Pa, divided by 1000"
            ),
            ColumnReading(3, "Scherdeformation", "strain", "%", 0.01, "ratio", "strain in %, divided by 100"),
            ColumnReading(4, "Bemerkung", None, remark="not used"),
        ),
        rows_kept=3000,
        rows_converted=3000,
        rows_refused=(RefusedRow("line 3006", "Ende der Messung", "not a number in column 'Zeit'"),),
        rows_refused_count=1,
        remarks=("Decimal comma taken: every number has one comma and no point.",),
    )


def example_run(model: dict[str, float] | None = None, *, keep_signal: bool = True) -> CreepRecoveryRun:
    model = model or ELASTIC
    source = SourceFile("runs/linden-07.csv", SHA, 184_220)
    account = example_account()
    low, high = level_of(model, 0.1, 11), level_of(model, 3.2, 21)
    return CreepRecoveryRun(
        levels=(low, high),
        conditioning=tuple(cycle_of(model, place) for place in range(1, 11)),
        jnr_difference_percent=100 * (high.jnr - low.jnr) / low.jnr,
        recovery_difference_percent=100
        * (low.percent_recovery - high.percent_recovery)
        / low.percent_recovery,
        jnr_slope_percent=100 * (high.jnr - low.jnr) / 3.1,
        elastic_response_minimum_percent=29.371 * high.jnr**-0.2633,
        temperature_c=64.03,
        measures=(Measure("temperature_deviation_c", 0.03, "°C"),),
        findings=(
            Finding(
                "sampling-coarse",
                Severity.NOTE,
                "runs/linden-07.csv: recovery is sampled every 0.18 s, the end of creep is interpolated.",
                "recovery sampled at least every 0.45 s",
                0.18,
                0.45,
                "s",
                "T 350, from memory (medium)",
                "",
            ),
            Finding(
                "temperature-off",
                Severity.CAUTION,
                "Cycle 14 at 0.1 kPa was run at 64.16 °C, 0.16 °C from the set temperature.",
                "temperature within ±0.1 °C",
                0.16,
                0.1,
                "°C",
                "T 350, from memory (high)",
                "Check the temperature log and repeat the run if the deviation lasts.",
            ),
        ),
        source=source,
        account=account,
        sample="Linden 50/70 M",
        programme=PROGRAMME,
        signal=signal_of(model, source, account) if keep_signal else None,
    )


CLASSES = (
    ServiceClass("S", "standard", 1),
    ServiceClass("H", "heavy", 2),
    ServiceClass("V", "very heavy", 3),
    ServiceClass("E", "extremely heavy", 4),
)
JNR = Requirement(
    "jnr_3.2_maximum",
    "Non-recoverable creep compliance at 3.2 kPa",
    "Table 1, row 7",
    Condition.SHORT_TERM_AGED,
    "jnr_3.2",
    "maximum",
    "1/kPa",
    {"S": 4.5, "H": 2.0, "V": 1.0, "E": 0.5},
    temperature="high",
    decides_class=True,
    evidence="recalled",
)
DIFFERENCE = Requirement(
    "jnr_difference_maximum",
    "Difference in compliance",
    "Table 1, row 8",
    Condition.SHORT_TERM_AGED,
    "jnr_difference_percent",
    "maximum",
    "%",
    {"*": 75.0},
    temperature="high",
    evidence="recalled",
)
FLASH = Requirement(
    "flash_point_minimum",
    "Flash point",
    "Table 1, row 1",
    Condition.ORIGINAL,
    "flash_point",
    "minimum",
    "°C",
    {"*": 230.0},
    evidence="recalled",
)
MASS = Requirement(
    "mass_change_maximum",
    "Mass change in short-term ageing",
    "Table 1, row 6",
    Condition.SHORT_TERM_AGED,
    "mass_change_percent",
    "maximum",
    "%",
    {"*": 1.0},
    absolute=True,
    evidence="recalled",
)
SPECIFICATION = Specification(
    "m332-2014",
    "Performance-graded binder by multiple-stress creep and recovery",
    "AASHTO M 332",
    "2014",
    "{temperature}{service_class}",
    (52.0, 58.0, 64.0, 70.0),
    CLASSES,
    (JNR, DIFFERENCE, FLASH, MASS),
    transcribed="from memory, March 2025",
    sha256="9b1d" * 16,
    notes=("Editions after 2014 waive the difference for class E.",),
)
RULE = DecisionRule(
    "guard-band",
    1.645,
    "reproducibility",
    "A value passes where it lies inside the limit by at least 1.645 standard uncertainties: "
    "the risk of accepting a binder that does not conform is at most 5 %.",
    "JCGM 106:2012, section 8.3",
)
RETEST = RetestRule("mean-of-all", "The mean of all determinations is reported; none is left out.")


def example_results(jnr: float, difference: float) -> tuple[Result, ...]:
    source = SourceFile("results/linden.csv", "c4" * 32, 812)

    def determination(quantity: str, value: float, unit: str, replicate: str) -> Determination:
        return Determination(
            "Linden 50/70 M",
            Condition.SHORT_TERM_AGED,
            64.0,
            quantity,
            value,
            unit,
            f"{value:.4g}",
            replicate,
            True,
            source,
            "line 7",
        )

    caution = Finding(
        "repeatability-exceeded",
        Severity.CAUTION,
        "Jnr3.2 at 64 °C: two determinations differ by 17.2 % of their mean, repeatability limit 15.3 %.",
        "two results differ by at most d2s",
        17.2,
        15.3,
        "%",
        "DNIT 423/2020-ME, Annex A, Table 1 (second-hand)",
        "Make a third determination on a fresh specimen.",
    )
    return (
        Result(
            "Linden 50/70 M",
            Condition.SHORT_TERM_AGED,
            64.0,
            "jnr_3.2",
            "1/kPa",
            jnr,
            (
                determination("jnr_3.2", jnr * 0.914, "1/kPa", "A"),
                determination("jnr_3.2", jnr * 1.086, "1/kPa", "B"),
            ),
            (True, True),
            jnr * 0.1216,
            jnr * 0.055,
            jnr * 0.139,
            "band 0.26 to 1.00 1/kPa",
            Uncertainty(jnr * 0.139, "reproducibility", "log-normal", None, "multilaboratory CV 13.9 %"),
            (caution,),
        ),
        Result(
            "Linden 50/70 M",
            Condition.SHORT_TERM_AGED,
            64.0,
            "percent_recovery_3.2",
            "%",
            38.4,
            (determination("percent_recovery_3.2", 38.4, "%", "A"),),
            (True,),
            None,
            1.15,
            2.5,
            "",
            Uncertainty(2.5, "reproducibility"),
        ),
        Result(
            "Linden 50/70 M",
            Condition.SHORT_TERM_AGED,
            64.0,
            "jnr_difference_percent",
            "%",
            difference,
            (determination("jnr_difference_percent", difference, "%", "A"),),
            (True,),
            precision_note="no published precision",
        ),
    )


def _verdicts(letter: str, results: tuple[Result, ...]) -> tuple[Verdict, ...]:
    jnr, _, difference = results
    limit = JNR.limits[letter]
    margin = limit - jnr.value
    outcomes = {"S": Outcome.PASS, "H": Outcome.PASS, "V": Outcome.PASS, "E": Outcome.FAIL}
    probabilities = {"S": 1.0, "H": 1.0, "V": 0.9999, "E": 0.31}
    return (
        Verdict(
            JNR,
            limit,
            64.0,
            jnr,
            jnr.value,
            outcomes[letter],
            margin,
            margin / (2.8 * jnr.repeatability),
            probabilities[letter],
            "",
        ),
        Verdict(DIFFERENCE, 75.0, 64.0, difference, difference.value, Outcome.PASS, 75.0 - difference.value),
        Verdict(FLASH, 230.0, None, None, None, Outcome.NOT_TESTED, reason="no flash point in the table"),
        Verdict(MASS, 1.0, None, None, None, Outcome.NOT_TESTED, reason="no ageing record with this result"),
    )


def example_statement(jnr: float = 0.5324, difference: float = 12.4) -> GradeStatement:
    results = example_results(jnr, difference)
    classes = tuple(
        ClassVerdict(
            f"64{letter.name}",
            64.0,
            letter,
            _verdicts(letter.name, results),
            satisfied=letter.name != "E",
            complete=False,
            limiting="jnr_3.2_maximum",
        )
        for letter in reversed(CLASSES)
    )
    return GradeStatement(
        "Linden 50/70 M",
        SPECIFICATION,
        RULE,
        RETEST,
        results,
        classes,
        ("64V", "64H", "64S"),
        results[0].findings,
        (
            "Flash point on the original binder (limit at least 230 °C).",
            "Creep recovery at 58 °C would show whether 58E is satisfied.",
        ),
        "V",
    )


def example_ageing() -> AgeingRecord:
    bottles = tuple(
        Bottle(str(n), 172.104, 207.131, after, 100 * (after - 207.131) / (207.131 - 172.104), note)
        for n, after, note in ((1, 207.012, ""), (2, 207.020, "creeping to the mouth"))
    )
    return AgeingRecord(
        "Linden 50/70 M",
        "t240",
        163.2,
        85.0,
        4000.0,
        15.0,
        8.5,
        "2025-03-12",
        bottles,
        sum(b.mass_change_percent for b in bottles) / 2,
        findings=(
            Finding(
                "bottle-creep",
                Severity.CAUTION,
                "Bottle 2: 'creeping to the mouth' was noted; the moving film is doubtful.",
                advice="Inspect the residue; the binder may be under-aged.",
                source="Jia and Zhang, modification of the rolling thin film oven test",
            ),
        ),
        source=SourceFile("ageing/linden.csv", "ab" * 32, 410),
    )


def elastic_curve() -> tuple[tuple[float, float], ...]:
    """R3.2,min = 29.371 Jnr^-0.2633 from 0.1 to 2.0, 55 % below 0.1 (DNIT 423/2020-ME, second-hand)."""
    falling = tuple((float(j), float(29.371 * j**-0.2633)) for j in np.geomspace(0.1, 2.0, 40))
    return ((0.0, 55.0), (0.1, 55.0), *falling)


def example_document(**changes):
    from resile.report.document import ReportDocument

    fields = {
        "number": "LK-2025-0317",
        "date": "2025-03-14",
        "sample": "Linden 50/70 M",
        "runs": (example_run(),),
        "statement": example_statement(),
        "ageing": example_ageing(),
        "elastic_curve": elastic_curve(),
        "elastic_curve_source": "DNIT 423/2020-ME (second-hand)",
        "invented": True,
        "package_version": "0.1.0",
        "sample_description": "polymer-modified binder, tank 4, 1 L can, sealed",
        "laboratory": "Laboratory of the Kaltbach works (invented)",
        "laboratory_address": "Hafenweg 3, Kaltbach, region Oberried (invented)",
        "customer": "Oberried road works (invented)",
        "method_edition": "AASHTO T 350-14",
        "received": "2025-03-11",
        "tested_on": "2025-03-13",
    }
    return ReportDocument(**{**fields, **changes})
