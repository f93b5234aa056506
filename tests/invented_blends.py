"""A small invented blend book, as files in hand."""

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
