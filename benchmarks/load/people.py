"""People at work: each looks at pages, thinks, and now and then keeps a record; their waits are timed."""

from __future__ import annotations

import asyncio
import random
import time
from collections import defaultdict
from dataclasses import dataclass, field

import httpx

THINKING_S = 4.0
"""Mean time between two deeds of one person, drawn exponentially."""

VISITS: tuple[tuple[str, str, int], ...] = (
    ("Today", "/", 15),
    ("list of samples", "/samples", 10),
    ("list of samples, searched", "/samples?words={number}", 8),
    ("list of samples, far page", "/samples?stage=stated&page=400", 3),
    ("sample", "/samples/{sample}", 20),
    ("list of runs", "/runs?worst=caution", 8),
    ("run", "/runs/{run}", 15),
    ("list of statements", "/statements", 6),
    ("retention", "/retention", 3),
    ("instruments", "/instruments", 3),
    ("log", "/audit", 2),
    ("program: run", "/api/v1/runs/{run}", 7),
)
"""What is looked at, where, and how often among a hundred deeds."""


@dataclass
class Day:
    """What a day of work needs, and what came of it.

    Attributes
    ----------
    address : str
        Where the workbench listens.
    samples, runs : int
        How many the record holds: keys are drawn among them.
    record_file : bytes
        A record of 3,000 rows; each drop changes its header, so that it is a file of its own.
    waited : dict of str to list of float
        Seconds from asking to having the whole answer, by page.
    faults : list of str
        Answers that were none.
    dropped : int
        Record files that were said to be kept.
    """

    address: str
    samples: int
    runs: int
    record_file: bytes
    cookies: list[dict[str, str]] = field(default_factory=list)
    waited: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    faults: list[str] = field(default_factory=list)
    dropped: int = 0


async def work(day: Day, *, people: int, seconds: float, drops_a_minute: float) -> None:
    """Let people work for a while, side by side."""
    end = time.perf_counter() + seconds
    share = drops_a_minute / 60 * THINKING_S / people
    await asyncio.gather(*(_person(day, number, end, share) for number in range(people)))


async def _person(day: Day, number: int, end: float, share: float) -> None:
    draw = random.Random(number)
    cookies = day.cookies[number] if day.cookies else {}
    async with httpx.AsyncClient(base_url=day.address, timeout=60, cookies=cookies) as browser:
        await asyncio.sleep(draw.uniform(0, THINKING_S))
        while time.perf_counter() < end:
            try:
                await (_drop(day, browser, draw) if draw.random() < share else _look(day, browser, draw))
            except httpx.HTTPError as error:
                day.faults.append(f"{type(error).__name__}: {error}")
            await asyncio.sleep(draw.expovariate(1 / THINKING_S))


async def _look(day: Day, browser: httpx.AsyncClient, draw: random.Random) -> None:
    name, address, _ = draw.choices(VISITS, [visit[2] for visit in VISITS])[0]
    sample = draw.randint(1, day.samples)
    told = address.format(
        sample=f"S-{sample:06d}", run=f"R-{draw.randint(1, day.runs):06d}", number=f"-{sample:06d}"
    )
    began = time.perf_counter()
    answer = await browser.get(told)
    day.waited[name].append(time.perf_counter() - began)
    if answer.status_code != 200:
        day.faults.append(f"{answer.status_code} {told}")


async def _drop(day: Day, browser: httpx.AsyncClient, draw: random.Random) -> None:
    stamp = f"# load {draw.getrandbits(64):016x}\n".encode()
    sent = {"file": (f"load-{stamp[7:15].decode()}.csv", stamp + day.record_file)}
    told = {"sample": f"S-{draw.randint(1, day.samples):06d}", "condition": "short_term_aged"}
    began = time.perf_counter()
    answer = await browser.post("/api/v1/records", files=sent, data=told)
    day.waited["keep a record of 3,000 rows"].append(time.perf_counter() - began)
    if answer.status_code != 201 or answer.json()["refusal"]:
        day.faults.append(f"{answer.status_code} POST record: {answer.text[:200]}")
    else:
        day.dropped += 1
