"""Where each kind of noun stands: prefix of its keys, its current table, and what that holds.

A column of a current table takes the attribute of the noun with its name, unless `worked_out` gives it.
Columns named in `Shelf.followed` are set by other nouns (`consequences`).
"""

from __future__ import annotations

from resile.storage.shelves.control import CONTROL
from resile.storage.shelves.equipment import EQUIPMENT
from resile.storage.shelves.laboratories import LABORATORIES
from resile.storage.shelves.offer import OFFER
from resile.storage.shelves.people import PEOPLE
from resile.storage.shelves.results import RESULTS
from resile.storage.shelves.samples import SAMPLES
from resile.storage.shelves.shelf import Shelf

SHELVES: tuple[Shelf, ...] = (*SAMPLES, *RESULTS, *EQUIPMENT, *OFFER, *CONTROL, *LABORATORIES, *PEOPLE)

BY_KIND = {shelf.kind: shelf for shelf in SHELVES}
BY_NOUN = {shelf.noun: shelf for shelf in SHELVES}
BY_PREFIX = {shelf.prefix: shelf for shelf in SHELVES}
