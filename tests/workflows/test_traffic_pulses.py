"""Binders of a list under traffic on a site of a table: from files to a page."""

import datetime
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from compute.rheology.models.creep_runs import run_of
from resile.compute.rheology.models.viscoelastic_models import BurgersModel, KelvinElement
from resile.errors import InputError
from resile.records.reading import ReadingAccount, SourceFile
from resile.records.signal import Signal
from resile.report.terminal.grids import plain_text
from resile.workflows.modelling.recorded_binders import RecordedBinder, read_recorded_binders
from resile.workflows.modelling.traffic import TrafficQuestion, compare_under_traffic

RESULTS = {"Soft": {58: 2.0, 64: 4.0}, "Half": {58: 1.0, 64: 2.0}, "Single": {58: 1.0}, "Untested": {}}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("traffic")
    first = datetime.date(2001, 1, 1)
    lines = ["date,maximum (°C),minimum (°C)"]
    for day in range(3 * 365):
        mean = 20.0 + 12.0 * np.cos(2 * np.pi * (day % 365 - 200) / 365)
        lines.append(f"{first + datetime.timedelta(days=day)},{mean + 7:.1f},{mean - 7:.1f}")
    (place / "weather.csv").write_text("\n".join(lines), encoding="utf-8")
    sites = ["site,latitude,weather,traffic (million ESAL),speed (km/h)"]
    sites += ["Long road,40,weather.csv,20,60", "Bus stop,40,weather.csv,20,0", "Typed,40,,20,60"]
    (place / "sites.csv").write_text("\n".join(sites), encoding="utf-8")
    rows = ["sample,condition,temperature_c,quantity,value,unit"]
    rows += [
        f"{name},short_term_aged,{at},jnr_3.2,{value},1/kPa"
        for name, by in RESULTS.items()
        for at, value in by.items()
    ]
    rows += ["Untested,original,64,rutting_parameter,1.5,kPa"]
    (place / "results.csv").write_text("\n".join(rows), encoding="utf-8")
    binders = ["binder,kind,results", *(f"{name},unmodified,results.csv" for name in RESULTS)]
    (place / "range.csv").write_text("\n".join(binders), encoding="utf-8")
    return place


def test_half_the_jnr_at_every_temperature_is_half_the_index(folder: Path) -> None:
    found = compare_under_traffic(folder / "sites.csv", folder / "range.csv", site="long road").comparison
    by_name = {one.name: one for one in found.binders}
    half, soft = by_name["Half"], by_name["Soft"]
    assert half.index is not None and half.at_mean_high is not None and soft.index is not None
    assert half.index.value == pytest.approx(0.5, rel=1e-9)
    assert half.at_mean_high.value == pytest.approx(0.5, rel=1e-9)
    assert half.index.low < 0.5 < half.index.high
    assert (soft.index.value, soft.index.low, soft.index.high) == (1.0, 1.0, 1.0)
    assert found.reference == "Soft"
    assert sum(band.strain_percent_share for band in found.bands) == pytest.approx(100.0)
    assert found.train.speed_kmh == 60.0


def test_a_binder_without_jnr_stands_last_with_the_reason(folder: Path) -> None:
    found = compare_under_traffic(folder / "sites.csv", folder / "range.csv", site="Long road").comparison
    last = found.binders[-1]
    assert last.name == "Untested"
    assert last.index is None
    assert "no Jnr at 3.2 kPa" in last.reason


def test_one_temperature_takes_the_slope_of_the_kind_and_a_wider_interval(folder: Path) -> None:
    found = compare_under_traffic(folder / "sites.csv", folder / "range.csv", site="Long road").comparison
    assert "slope-from-kind" in {finding.code for finding in found.findings}


def recorded(name: str, factor: float, *, at_c: tuple[float, ...], kind: str = "") -> RecordedBinder:
    """Records of a binder `factor` times as stiff, whose every part halves its viscosity by 6 °C."""
    runs = []
    for place in at_c:
        shift = 2.0 ** ((place - 58.0) / 6.0)
        levels = {
            stress: BurgersModel(
                factor * eta / shift, 400.0, (KelvinElement(factor * 3.0, factor * 3.0 * late / shift),)
            )
            for stress, eta, late in ((0.1, 1.0, 3.0), (3.2, 0.5, 3.0))
        }
        run, columns = run_of(levels, interval_s=0.1)
        signal = Signal(
            columns=dict(zip(("time_s", "stress_kpa", "strain"), columns, strict=True)),
            source=SourceFile(f"{name}-{place}.csv", f"{name}-{place}", 0),
            account=ReadingAccount("simulated"),
        )
        runs.append(replace(run, temperature_c=place, signal=signal, source=signal.source))
    return RecordedBinder(name, tuple(runs), kind)


def test_records_of_a_binder_are_followed_by_their_flow_and_what_is_late_is_told(folder: Path) -> None:
    once, twice = recorded("Once", 1.0, at_c=(52.0, 58.0)), recorded("Twice", 2.0, at_c=(52.0, 58.0))
    report = compare_under_traffic(
        folder / "sites.csv", site="Long road", recorded=[once, twice, replace(once, name="Again")]
    )
    by_name = {one.name: one for one in report.comparison.binders}
    half, same = by_name["Twice"], by_name["Again"]
    assert report.comparison.reference == "Once"
    assert half.route == "creep-model"
    assert half.index is not None
    assert same.index is not None
    assert half.by_jnr is not None
    assert half.index.value == pytest.approx(0.5, rel=1e-3), "constructed: every part twice as stiff"
    assert half.index.low < 0.5 < half.index.high
    assert (same.index.value, same.index.low, same.index.high) == (1.0, 1.0, 1.0)
    assert half.slope_from == "records"
    assert half.slope_per_c == pytest.approx(np.log(2.0) / 6.0, rel=1e-3)
    told = half.recovery
    assert told is not None
    assert 0.0 < told.still_percent < 100.0
    sheet = " ".join(plain_text(report.to_terminal()).split())
    assert "of the delayed strain of the wheel before still in" in sheet
    assert "compliances fitted at 3.2 kPa" in sheet
    assert "rut depth" not in sheet


def test_a_record_at_one_temperature_takes_the_slope_of_results_or_of_its_kind(folder: Path) -> None:
    known = recorded("Half", 1.0, at_c=(58.0,))
    single = recorded("Spare", 1.0, at_c=(58.0,), kind="unmodified")
    found = compare_under_traffic(
        folder / "sites.csv",
        folder / "range.csv",
        site="Long road",
        recorded=[known, single],
        question=TrafficQuestion(stress_kpa=3.2),
    ).comparison
    by_name = {one.name: one for one in found.binders}
    assert by_name["Half"].slope_from == "results"
    assert by_name["Half"].slope_per_c == pytest.approx(np.log(2.0) / 6.0, rel=1e-6)
    assert by_name["Spare"].slope_from == "kind"
    assert by_name["Soft"].route == "jnr-line", "without a record, by the Jnr of both"
    between = compare_under_traffic(
        folder / "sites.csv", site="Long road", recorded=[known], question=TrafficQuestion(stress_kpa=1.0)
    )
    assert "between those fitted at 0.1 and 3.2 kPa" in " ".join(plain_text(between.to_terminal()).split())
    by_results = compare_under_traffic(
        folder / "sites.csv",
        folder / "range.csv",
        site="Long road",
        recorded=[known],
        question=TrafficQuestion(reference="Soft"),
    ).comparison
    assert "records-by-jnr-alone" in {finding.code for finding in by_results.findings}


def test_records_are_refused_with_what_is_needed(folder: Path) -> None:
    single = recorded("Spare", 1.0, at_c=(58.0,))
    unknown = replace(single, runs=(replace(single.runs[0], temperature_c=None),))
    with pytest.raises(InputError, match="states no temperature"):
        compare_under_traffic(folder / "sites.csv", site="Long road", recorded=[unknown])
    with pytest.raises(InputError, match="RANGE"):
        compare_under_traffic(folder / "sites.csv", site="Long road")
    with pytest.raises(InputError, match="NAME=FILE"):
        read_recorded_binders(["=run.csv"])
    with pytest.raises(InputError, match="headings"):
        read_recorded_binders([f"Plain={folder / 'weather.csv'}"])


def test_no_page_sheet_or_number_names_a_length_of_a_rut(folder: Path, tmp_path: Path) -> None:
    report = compare_under_traffic(folder / "sites.csv", folder / "range.csv", site="Long road")
    html, pdf, svg = report.write(
        [tmp_path / f"page.{kind}" for kind in ("html", "pdf", "svg")], date="2026-01-01"
    )
    text = html.read_text(encoding="utf-8")
    assert "no depth of a rut" in text
    assert "Its weakness" in text
    assert pdf.read_bytes().startswith(b"%PDF")
    assert svg.read_text(encoding="utf-8").startswith("<svg")
    sheet = plain_text(report.to_terminal())
    assert "rut depth" not in sheet
    assert " mm rut" not in sheet
    evidence = report.to_json()["evidence"]
    assert all(one["weakness"] and one["evidence"] for one in evidence)
    assert not any(" mm" in one["statement"] + one["weakness"] for one in evidence)


@pytest.mark.parametrize(
    ("site", "asked", "needed"),
    [
        ("", {}, "name one"),
        ("Nowhere", {}, "no site is called"),
        ("Typed", {}, "a daily weather record is needed"),
        ("Bus stop", {}, "a standing wheel has no pulse"),
        ("Long road", {"reference": "Gold"}, "no such binder"),
        ("Long road", {"reference": "Untested"}, "choose another"),
        ("Long road", {"stress_kpa": 10.0}, "0.1 to 3.2 kPa"),
        ("Long road", {"stress_kpa": 1.0}, "no Jnr at 3.2 kPa"),
        ("Long road", {"axles_per_hour": 3600, "rest_s": 2.0}, "do not fit"),
        ("Long road", {"model": "weather"}, "ltpp or shrp"),
        ("Long road", {"loaded_length_m": 0.0}, "loaded length"),
        ("Long road", {"within_c": -1.0}, "reach of hot days"),
    ],
)
def test_what_is_missing_or_out_of_range_is_said(
    folder: Path, site: str, asked: dict[str, object], needed: str
) -> None:
    with pytest.raises(InputError, match=needed):
        compare_under_traffic(
            folder / "sites.csv",
            folder / "range.csv",
            site=site,
            question=TrafficQuestion(**asked),  # type: ignore[arg-type]
        )
