"""A small invented blend book, as files in hand."""

import math

from resile.records.reading import HeldFile

BOOK = """
title = "Northern blends"
invented = true
currency = "EUR"
shares = "shares.csv"
results = ["results.csv"]

[[component]]
name = "Soft base"
kind = "base"
price_per_tonne = 430

[[component]]
name = "Hard base"
kind = "base"
price_per_tonne = 455
stock_t = 300
highest_percent = 60

[[component.result]]
quantity = "flash_point"
value = 291

[[component]]
name = "Concentrate"
kind = "SBS concentrate"
price_per_tonne = 1100
polymer_percent = 12
highest_percent = 45
highest_handling_c = 180

[aim]
specification = "m332-2014"
grade = "PG 64H-22"

[[limit]]
quantity = "rotational_viscosity"
condition = "original"
temperature_c = 135
maximum = 2.0

[plant]
tank_kg = 24000
increment_kg = 20
"""

SHARES = """blend,Soft base [%],Hard base [%],Concentrate [%]
B1,70,30,0
B2,50,20,30
"""

RESULTS = """sample,condition,temperature_c,quantity,value,unit
B1,RTFO,64,jnr_3.2,3.1,1/kPa
B2,RTFO,64,jnr_3.2,0.9,1/kPa
"""


def blend_book(*, tables: bool = True) -> HeldFile:
    """The book, with its tables beside it."""
    beside = (HeldFile("shares.csv", SHARES.encode()), HeldFile("results.csv", RESULTS.encode()))
    return HeldFile("northern.toml", BOOK.encode(), beside if tables else ())


SMALL = """
title = "Small blends"
invented = true
currency = "EUR"
shares = "trials.csv"
results = "results.csv"

[[component]]
name = "Soft base"
kind = "base"
price_per_tonne = 430

[[component]]
name = "Hard base"
kind = "base"
price_per_tonne = 470

[[component]]
name = "Concentrate"
kind = "SBS concentrate"
price_per_tonne = 1100
polymer_percent = 12
highest_percent = 40

[[limit]]
quantity = "jnr_3.2"
condition = "short_term_aged"
temperature_c = 64
maximum = 2.0

[[limit]]
quantity = "rotational_viscosity"
temperature_c = 135
maximum = 1.0
"""
_ENDS = {
    "jnr_3.2": ("RTFO", "64", "1/kPa", (4.5, 1.6, 0.5)),
    "rotational_viscosity": ("original", "135", "Pa·s", (0.25, 0.5, 2.2)),
}
_SMALL_TRIALS = (
    (90, 10, 0),
    (60, 40, 0),
    (30, 70, 0),
    (70, 15, 15),
    (45, 40, 15),
    (60, 10, 30),
    (40, 30, 30),
)
_SCATTER = (0.02, -0.03, 0.01, 0.03, -0.02, -0.01, 0.0)


def small_tables(separator: str = ",") -> tuple[str, str]:
    """Shares and results of seven blends of a log-linear truth, off by up to 3 %."""
    shares = ["blend|Soft base|Hard base|Concentrate"]
    results = ["sample|condition|temperature_c|quantity|value|unit"]
    for number, (percent, off) in enumerate(zip(_SMALL_TRIALS, _SCATTER, strict=True), 1):
        shares.append("|".join([f"T{number}", *(str(share) for share in percent)]))
        for quantity, (condition, celsius, unit, ends) in _ENDS.items():
            mean = sum(share / 100 * math.log(end) for share, end in zip(percent, ends, strict=True))
            value = f"{math.exp(mean + off):.4g}"
            results.append("|".join([f"T{number}", condition, celsius, quantity, value, unit]))
    told = ("\n".join(lines).replace("|", separator) + "\n" for lines in (shares, results))
    return next(told), next(told)


def small_book() -> HeldFile:
    """Three components, seven trials, two limits of one's own: designed in a moment."""
    shares, results = small_tables(";")
    beside = (HeldFile("trials.csv", shares.encode()), HeldFile("results.csv", results.encode()))
    return HeldFile("small.toml", SMALL.encode(), beside)
