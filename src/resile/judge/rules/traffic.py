"""Which traffic class, or how many grade steps, a rule gives a traffic: comparison only."""

from __future__ import annotations

from resile.judge.wording import number_words
from resile.records.site import Traffic
from resile.records.traffic_rule import TrafficAnswer, TrafficBand, TrafficRule

SPEED_WORDS = {"standing": "standing", "slow": "slow", "free": "free-flowing"}


def judge_traffic(traffic: Traffic, rule: TrafficRule) -> TrafficAnswer:
    """Hold a traffic against the bands of a rule.

    Parameters
    ----------
    traffic : Traffic
        Axle loads and speed of the design lane.
    rule : TrafficRule
        Bands by axle loads and speed.

    Returns
    -------
    TrafficAnswer
        Class or steps, with the band in words.
    """
    million = traffic.axle_loads / 1e6
    place = max(
        number
        for number, band in enumerate(rule.bands)
        if million > band.million or (million == band.million and not band.begins_above) or number == 0
    )
    band = rule.bands[place]
    speed = _speed(traffic.speed_kmh, rule)
    entry: str = getattr(band, speed)
    is_class = rule.gives == "class"
    return TrafficAnswer(
        service_class=entry if is_class else "",
        steps=0 if is_class else int(entry),
        consider_more=speed in band.consider,
        speed=speed,
        band=_band_words(band, rule.bands[place + 1] if place + 1 < len(rule.bands) else None),
    )


def _speed(speed_kmh: float, rule: TrafficRule) -> str:
    if speed_kmh < rule.standing_below_kmh:
        return "standing"
    return "slow" if speed_kmh <= rule.slow_up_to_kmh else "free"


def _band_words(band: TrafficBand, following: TrafficBand | None) -> str:
    start = number_words(band.million)
    if following is None:
        return f"{'more than' if band.begins_above else 'at least'} {start} million"
    end = number_words(following.million)
    if band.million == 0.0:
        return f"up to {end} million" if following.begins_above else f"below {end} million"
    return f"{start} to {end} million"
