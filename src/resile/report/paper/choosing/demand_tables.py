"""Tables of a site's demand: the same on the page and in the terminal."""

from __future__ import annotations

from resile.records.climate import ClimateYear
from resile.records.site import EndDemand, SiteDemand, StepChance
from resile.report.numbers import NOT_KNOWN, fixed, shown_probability, shown_step, shown_temperature
from resile.report.paper.models.model import RIGHT, Column, Table

END_WORDS = {"high": "hot", "low": "cold"}


def chances_table(demand: SiteDemand) -> Table:
    """Give the probability that each grade step near the demand is enough in one year."""
    rows: list[tuple[str, ...]] = []
    strong: list[int] = []
    named = {"high": None if demand.raised_by else demand.grade_high_c, "low": demand.grade_low_c}
    for end in (demand.high, demand.low):
        for chance in end.chances:
            word = _step_word(chance, end, named[end.end])
            if word:
                strong.append(len(rows))
            rows.append((*_chance_row(end, chance), word))
    columns = (
        Column("End", share=1.0),
        Column("Grade step (°C)", RIGHT, 1.0),
        Column("Enough in a year", RIGHT, 1.2),
        Column("One year in … is beyond", RIGHT, 1.4),
        Column("With the few years", RIGHT, 1.3),
        Column("", share=1.4),
    )
    note = (
        "Normal distribution of the yearly extreme, model and weather together. 'With the few "
        "years': Student's "
        "predictive distribution, which knows how few years stand behind mean and deviation."
    )
    return Table("How probable each grade step is to be enough", columns, tuple(rows), note, tuple(strong))


def _chance_row(end: EndDemand, chance: StepChance) -> tuple[str, ...]:
    beyond = 1.0 - chance.probability
    return (
        END_WORDS[end.end],
        shown_step(chance.step_c),
        shown_probability(chance.probability),
        one_year_in(beyond),
        shown_probability(chance.probability_few_years),
    )


def _step_word(chance: StepChance, end: EndDemand, named_c: float | None) -> str:
    """Say what a step is: the mildest that covers this end, or the one of the grade that was named."""
    if chance.step_c == named_c:
        return "in the grade"
    return "needed here" if chance.step_c == end.step_c else ""


def one_year_in(probability: float) -> str:
    """Give a yearly probability as the number of years in which it happens once."""
    if probability <= 0.001:
        return "over 1000"
    years = 1.0 / probability
    return fixed(years, 0 if years >= 10.0 else 1)


def models_table(demand: SiteDemand) -> Table:
    """Give every model beside the chosen one."""
    names = list(dict.fromkeys(end.model for end in (demand.high, demand.low, *demand.others)))
    rows = []
    chosen = {demand.high.model, demand.low.model}
    for name in names:
        ends = {end.end: end for end in (demand.high, demand.low, *demand.others) if end.model == name}
        rows.append((name, *_model_cells(ends.get("high")), *_model_cells(ends.get("low"))))
    columns = (
        Column("Model", share=1.6),
        Column("Hot: mean (°C)", RIGHT, 1.0),
        Column("design (°C)", RIGHT, 1.0),
        Column("step", RIGHT, 0.7),
        Column("Cold: mean (°C)", RIGHT, 1.0),
        Column("design (°C)", RIGHT, 1.0),
        Column("step", RIGHT, 0.7),
    )
    strong = tuple(place for place, name in enumerate(names) if name in chosen)
    note = (
        f"Chosen in bold. Design: reliability {demand.site.reliability_words}. The steps are "
        "those of the climate, before traffic; a dash where a model has no such end or lacks its input. "
        "The damage from degree-days is from memory, with an unverified input."
    )
    return Table("Pavement models side by side", columns, tuple(rows), note, strong)


def _model_cells(end: EndDemand | None) -> tuple[str, str, str]:
    if end is None:
        return NOT_KNOWN, NOT_KNOWN, NOT_KNOWN
    step = "none reaches" if end.step_c is None else shown_step(end.step_c)
    return fixed(end.mean_c, 1), fixed(end.design_c, 2), step


def sensitivity_table(demand: SiteDemand) -> Table:
    """Give what would change the grade."""
    rows = tuple(
        (one.change, one.grade or "no grade reaches", "another grade" if one.differs else "the same")
        for one in demand.sensitivities
    )
    strong = tuple(place for place, one in enumerate(demand.sensitivities) if one.differs)
    columns = (Column("Were it …", share=3.0), Column("Grade then", share=1.4), Column("", share=1.2))
    return Table("What would change the grade", columns, rows, strong=strong)


def layers_table(demand: SiteDemand) -> Table | None:
    """Give the demand of each layer asked about; None where none was."""
    if not demand.layers:
        return None
    rows = tuple(
        (
            one.layer,
            f"{one.depth_mm:g}",
            fixed(one.high.design_c, 1),
            fixed(one.low.design_c, 1),
            one.grade or "no grade reaches",
        )
        for one in demand.layers
    )
    columns = (
        Column("Layer", share=1.8),
        Column("Top at (mm)", RIGHT, 0.9),
        Column("Hot design (°C)", RIGHT, 1.1),
        Column("Cold design (°C)", RIGHT, 1.1),
        Column("Grade", share=1.4),
    )
    note = "Each layer is graded at the temperature at its top; traffic counts as for the surface."
    return Table("Layers below", columns, rows, note)


def years_table(demand: SiteDemand) -> Table | None:
    """Give every year of the record down to the day; None where values were typed."""
    if not demand.climate.years:
        return None
    rows = tuple(_year_row(year) for year in demand.climate.years)
    columns = (
        Column("Year", share=0.9),
        Column("Days", RIGHT, 0.8),
        Column("Hottest week (°C)", RIGHT, 1.1),
        Column("from", share=1.2),
        Column("Coldest day (°C)", RIGHT, 1.1),
        Column("on", share=1.2),
        Column("", share=1.2),
    )
    note = (
        f"A year begins on {demand.climate.year_begins}. Hottest week: mean of the daily maxima over "
        "seven days "
        "without a gap, from the day named. Days: with both values. A year left out does not enter "
        "mean and deviation."
    )
    return Table("Every year, down to the day", columns, rows, note)


def _year_row(year: ClimateYear) -> tuple[str, ...]:
    counts = {
        (True, True): "",
        (True, False): "cold end left out",
        (False, True): "hot end left out",
        (False, False): "left out",
    }
    return (
        year.label,
        str(min(year.days_with_maximum, year.days_with_minimum)),
        fixed(year.high_c, 1) if year.high_c is not None else NOT_KNOWN,
        year.high_from or NOT_KNOWN,
        fixed(year.low_c, 1) if year.low_c is not None else NOT_KNOWN,
        year.low_on or NOT_KNOWN,
        counts[year.high_counts, year.low_counts],
    )


def air_table(demand: SiteDemand) -> Table:
    """Give mean, scatter and drift of both extremes of the air."""
    rows = []
    for words, one in (
        ("hottest week", demand.climate.high),
        ("coldest day", demand.climate.low),
    ):
        if one is None:
            continue
        span, drift = one.confidence_c, one.trend_confidence
        rows.append(
            (
                words,
                str(one.n_years) if one.n_years else "typed",
                shown_temperature(one.mean_c),
                f"{fixed(span[0], 1)} to {fixed(span[1], 1)}" if span else NOT_KNOWN,
                shown_temperature(one.sd_c),
                NOT_KNOWN
                if one.trend_c_per_decade is None or drift is None
                else f"{fixed(one.trend_c_per_decade, 2, signed=True)} "
                f"({fixed(drift[0], 2, signed=True)} to {fixed(drift[1], 2, signed=True)})",
            )
        )
    columns = (
        Column("Air", share=1.2),
        Column("Years", RIGHT, 0.6),
        Column("Mean", RIGHT, 0.9),
        Column("95 % interval (°C)", RIGHT, 1.4),
        Column("Deviation", RIGHT, 0.9),
        Column("Drift in ten years (°C)", RIGHT, 1.8),
    )
    note = "Student's intervals over independent years; a drift over few years is mostly weather."
    return Table("Air temperature, from year to year", columns, tuple(rows), note)
