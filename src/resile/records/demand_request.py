"""What a person gives of a site before anything is read or computed: options, or a row of a table."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    from resile.records.reading import HeldFile, SourceFile


@dataclass(frozen=True, slots=True)
class DemandRequest:
    """What a person gives of a site; everything but the latitude may be left out.

    Attributes
    ----------
    name : str
        Name of the site.
    latitude_deg, longitude_deg : float or None
        Place [°].
    weather : Path or HeldFile or None
        Daily weather record.
    station : str
        Station in it.
    high_mean_c, high_sd_c, low_mean_c, low_sd_c : float or None
        Typed extremes of the air [°C].
    n_years : int
        Years behind them.
    depth_mm, reliability_percent : float
        Depth of the layer [mm]; probability [%].
    high_reliability_percent, low_reliability_percent : float or None
        Another probability for one end [%].
    million_axle_loads, speed_kmh : float or None
        Traffic; speed in km/h.
    vehicles : Path or HeldFile or None
        Counts in place of axle loads.
    layer, remark : str
        Name of the layer; a sentence shown with it.
    grade : str
        Grade that is known already; empty where it is to be worked out.
    amount_t : float or None
        Binder it takes [t]; None where not stated.
    """

    name: str = ""
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    weather: Path | HeldFile | None = None
    station: str = ""
    high_mean_c: float | None = None
    high_sd_c: float | None = None
    low_mean_c: float | None = None
    low_sd_c: float | None = None
    n_years: int = 0
    depth_mm: float = 0.0
    reliability_percent: float = 98.0
    high_reliability_percent: float | None = None
    low_reliability_percent: float | None = None
    million_axle_loads: float | None = None
    speed_kmh: float | None = None
    vehicles: Path | HeldFile | None = None
    layer: str = ""
    remark: str = ""
    grade: str = ""
    amount_t: float | None = None


@dataclass(frozen=True, slots=True)
class SiteTable:
    """A table of sites as it was read.

    Attributes
    ----------
    requests : tuple of DemandRequest
        In the order of the table.
    source : SourceFile
        The file.
    unused : tuple of str
        Headings that are not known and were not used.
    """

    requests: tuple[DemandRequest, ...]
    source: SourceFile
    unused: tuple[str, ...] = ()
