"""A design of a blend with numbers put down by hand: three components, three limits, one of them untested."""

from resile.records.blending.book import BlendAim, BlendBook, Component, TrialBlend
from resile.records.blending.design import (
    BlendDesign,
    DoseCurve,
    DoseStep,
    DosingEffect,
    DosingSensitivity,
    ParetoPoint,
)
from resile.records.blending.limit import BlendLimit, Response
from resile.records.blending.picture import TernaryContour, TernaryMark, TernaryPicture
from resile.records.blending.portfolio import (
    GradeDemand,
    LabelOfTank,
    PayingPrice,
    PlanCost,
    Portfolio,
    PortfolioTank,
)
from resile.records.blending.recipe import BatchLine, DoseWindow, NextTrial, Recipe, RecipeLine
from resile.records.blending.surface import Surface, SurfaceQuality
from resile.records.determination import Condition
from resile.records.finding import Finding, Severity

JNR = Response("jnr_3.2", Condition.SHORT_TERM_AGED, 64.0)
M_VALUE = Response("m_value", Condition.LONG_TERM_AGED, -18.0)
FLASH = Response("flash_point", Condition.ORIGINAL)
LIMITS = (
    BlendLimit(JNR, "maximum", 2.0, "compliance at 3.2 kPa, 64 °C", "Table 1", "high"),
    BlendLimit(M_VALUE, "minimum", 0.3, "m-value, −18 °C", "Table 1", "low"),
    BlendLimit(FLASH, "minimum", 230.0, "flash point", "Table 1"),
)
NAMES = ("Soft", "Hard", "Concentrate")


def example_book(*, invented: bool = True) -> BlendBook:
    return BlendBook(
        title="Blends of a test",
        currency="EUR",
        components=(
            Component("Soft", price_per_tonne=430.0),
            Component("Hard", price_per_tonne=460.0, highest_percent=60.0),
            Component(
                "Concentrate",
                "polymer_concentrate",
                1100.0,
                highest_percent=40.0,
                polymer_percent=12.0,
                highest_handling_c=175.0,
            ),
        ),
        trials=(
            TrialBlend("B1", {"Soft": 60.0, "Hard": 40.0}),
            TrialBlend("B2", {"Soft": 70.0, "Concentrate": 30.0}),
        ),
        aim=BlendAim(specification="m332-2014", grade="PG 64H-28", tank_kg=20000.0),
        remarks=("shares.csv: shares printed as ratios were multiplied by 100: B1",),
        invented=invented,
    )


def example_recipe(name: str = "cheapest with probability") -> Recipe:
    return Recipe(
        name=name,
        percent={"Soft": 50.0, "Hard": 28.0, "Concentrate": 22.0},
        lines=(
            RecipeLine(LIMITS[0], 1.7, 1.55, 1.86, 0.957, 2.2),
            RecipeLine(LIMITS[1], 0.315, 0.309, 0.321, 0.9999, 6.4, True),
            RecipeLine(LIMITS[2]),
        ),
        cost_per_tonne=585.8,
        probability=0.957,
        untested=("flash point",),
        windows=(
            DoseWindow(
                "Concentrate",
                18.0,
                40.0,
                ("compliance at 3.2 kPa, 64 °C", "dosage bound"),
                21.5,
                38.0,
                ("compliance at 3.2 kPa, 64 °C", "m-value, −18 °C"),
            ),
        ),
        batch=(
            BatchLine("Soft", 10000.0, 50.0),
            BatchLine("Hard", 5600.0, 28.0),
            BatchLine("Concentrate", 4400.0, 22.0),
        ),
        batch_probability=0.956,
        limiting=("compliance at 3.2 kPa, 64 °C", "m-value, −18 °C"),
        findings=(
            Finding(
                "component-handling-limit", Severity.CAUTION, "Concentrate must not be heated above 175 °C."
            ),
        ),
    )


def example_surface() -> Surface:
    return Surface(
        response=JNR,
        components=NAMES,
        scale="logarithm",
        form="linear",
        rule="",
        terms=((0,), (1,), (2,)),
        coefficients=(2.3, 0.8, -1.2),
        covariance=((1e-4, 0.0, 0.0), (0.0, 1e-4, 0.0), (0.0, 0.0, 1e-4)),
        points=((0.6, 0.4, 0.0), (0.7, 0.0, 0.3), (0.4, 0.3, 0.3), (0.5, 0.5, 0.0)),
        observed=(1.7, 1.2, 0.8, 1.5),
        quality=SurfaceQuality(4, 1.0, 0.04, 0.06, (0.05, -0.08, 0.02, 0.06)),
    )


def example_design(*, found: bool = True) -> BlendDesign:
    recipe = example_recipe() if found else None
    return BlendDesign(
        book=example_book(),
        grade="PG 64H-28",
        limits=LIMITS,
        surfaces=(example_surface(),),
        expected=example_recipe("cheapest as expected"),
        chosen=recipe,
        nearest=None if found else example_recipe("nearest miss"),
        alternatives=() if recipe is None else (recipe, example_recipe("alternative 1")),
        pareto=(
            ParetoPoint(0.5, 570.0, {"Soft": 54.0, "Hard": 28.0, "Concentrate": 18.0}),
            ParetoPoint(0.95, 585.8, {"Soft": 50.0, "Hard": 28.0, "Concentrate": 22.0}),
            ParetoPoint(0.99, 601.2, {"Soft": 46.0, "Hard": 28.0, "Concentrate": 26.0}),
        ),
        dosing=DosingSensitivity(
            0.957, 0.956, 2000, (DosingEffect("Concentrate", 5.8, 0.956, 0.951, 0.961),)
        ),
        cost_tolerance_percent=3.0,
        seed=7,
        answer="The cheapest recipe for PG 64H-28: 50.0 % Soft, 28.0 % Hard, 22.0 % Concentrate, "
        "at 585.80 EUR/t.",
        findings=(
            Finding(
                "limits-not-tested", Severity.CAUTION, "No trial tells of flash point: not counted as kept."
            ),
        ),
    )


def example_curve() -> DoseCurve:
    steps = tuple(
        DoseStep(
            dose_percent=float(dose),
            probability=min(0.999, max(0.0, (dose - 14.0) / 9.0)),
            values=(3.4 - 0.08 * dose, 0.32 - 0.0002 * dose),
            lower=(3.2 - 0.08 * dose, 0.315 - 0.0002 * dose),
            upper=(3.6 - 0.08 * dose, 0.325 - 0.0002 * dose),
            margins_standards=((0.08 * dose - 1.4) / 0.1, 4.0),
            extrapolated=dose > 35,
        )
        for dose in range(0, 41, 2)
    )
    return DoseCurve("Concentrate", LIMITS[:2], steps)


def example_ternary() -> TernaryPicture:
    """A lattice of ten divisions on which the probability rises with the first share, from 0 to 1."""
    n = 10
    rows = [row for row in range(n + 1) for _ in range(n + 1 - row)]
    return TernaryPicture(
        corners=("Concentrate", "Soft", "Hard"),
        floor_percent=(0.0, 0.0, 0.0),
        span_percent=100.0,
        divisions=n,
        probability=tuple(row / n for row in rows),
        allowed=tuple(row <= 6 for row in rows),
        contours=(TernaryContour(LIMITS[0], (((20.0, 80.0, 0.0), (20.0, 40.0, 40.0), (20.0, 0.0, 80.0)),)),),
        marks=(
            TernaryMark("trial", "B1", (0.0, 60.0, 40.0)),
            TernaryMark("trial", "B1 again", (0.0, 60.0, 40.0)),
            TernaryMark("recipe", "recipe", (22.0, 50.0, 28.0)),
        ),
        required_probability=0.5,
    )


def example_trials() -> tuple[NextTrial, ...]:
    return (
        NextTrial(
            {"Soft": 40.0, "Hard": 40.0, "Concentrate": 20.0},
            0.9,
            "EUR/t",
            ("flash point", "compliance at 3.2 kPa, 64 °C"),
            "It is expected to save 0.90 EUR/t by less doubt.",
        ),
    )


def example_portfolio() -> Portfolio:
    demand = GradeDemand("PG 64H-28", 1200.0)
    return Portfolio(
        title="Blends of a test",
        currency="EUR",
        probability=0.95,
        tanks=(
            PortfolioTank(
                example_recipe(),
                (
                    LabelOfTank("PG 64H-28", 0.957, 2.2, "compliance at 3.2 kPa, 64 °C", (), True),
                    LabelOfTank("PG 58H-28", 0.999, 5.0, "m-value, −18 °C", (), True),
                ),
                (demand,),
                1200.0,
            ),
        ),
        unserved=(GradeDemand("PG 70E-34", 50.0),),
        blend_cost=702960.0,
        total_cost=703960.0,
        tank_changes=0,
        proven=True,
        by_number=(PlanCost(1, 702960.0, 703960.0, 0),),
        paying_prices=(PayingPrice("Concentrate", 1100.0, 1312.0, "used in the best plan"),),
        seed=7,
    )
