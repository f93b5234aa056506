"""Binders under traffic and the damage of a run in the browser, without script."""

from pathlib import Path

from starlette.testclient import TestClient

from interfaces.web.test_road_pages import add_range, add_roads, shown
from kept_runs import creep_files
from resile.compute.rheology.damage.damage_simulation import simulate_integrity
from resile.records.determination import Condition
from resile.records.register import Run, Sample
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.offer.sites_seen import list_sites

AT = "2026-01-05T08:00:00Z"


def sweep_file() -> bytes:
    lines = [
        "Temperature: 25 °C",
        "",
        "Time (s);Frequency (Hz);Strain (%);Complex modulus (kPa);Phase angle (°)",
    ]
    lines += [
        f"{12 * i};{f};0.1;{3000.0 * f**0.55:.4f};47" for i, f in enumerate((0.2, 1.0, 4.0, 10.0, 20.0, 30.0))
    ]
    for second in range(150):
        whole = float(
            simulate_integrity(second, exponent=1 / 0.55, loss_coefficient=0.075, loss_exponent=0.48)
        )
        strain = 0.1 + 29.9 * second / 310.0
        lines.append(f"{second + 200};10;{strain:.4f};{10000 * whole:.4f};{47 + 20 * (1 - whole):.3f}")
    return "\n".join(lines).encode()


def keep_sweep(record: LaboratoryRecord, content: bytes, number: str) -> str:
    with record.writing(by="P-LOCAL", at=AT) as book:
        sample = book.keep(Sample(number=number)).key
        run = Run(
            test="oscillation",
            file=book.keep_file(content),
            file_name="sweep.csv",
            sample=sample,
            condition=Condition.SHORT_TERM_AGED,
        )
        return book.keep(run).key


def test_the_binders_of_a_range_are_compared_on_a_road_and_what_is_wrong_is_said(client: TestClient) -> None:
    assert "This needs a range" in shown(client.get("/traffic").text)
    add_roads(client)
    place = add_range(client)
    record = client.app.state.record  # type: ignore[attr-defined]
    site = list_sites(record, one_person())[0]
    address = f"/traffic?range={place.rpartition('/')[2]}&site={site.key}"
    page = client.get(address)
    words = shown(page.text)
    assert page.status_code == 200
    assert "times the permanent shear strain of" in words
    assert "not the depth of a rut" in words
    assert "Its weakness" in words
    assert f'href="/traffic?site={site.key}"' in client.get(f"/sites/{site.key}").text
    assert 'href="/traffic?range=' in client.get(place).text
    refused = client.get(f"{address}&stress=9")
    assert refused.status_code == 422
    assert "needed is 0.1 to 3.2 kPa" in shown(refused.text)
    assert 'value="9"' in refused.text, "what was typed stays"


def test_samples_with_creep_runs_are_followed_by_their_models(client: TestClient, tmp_path: Path) -> None:
    add_roads(client)
    place = add_range(client)
    record = client.app.state.record  # type: ignore[attr-defined]
    file = creep_files(tmp_path)[0]
    with record.writing(by="P-LOCAL", at=AT) as book:
        sample = book.keep(Sample(number="2026-401")).key
        run = Run(
            test="creep_recovery",
            file=book.keep_file(file.content),
            file_name=file.name,
            sample=sample,
            condition=Condition.SHORT_TERM_AGED,
        )
        book.keep(run)
    site = list_sites(record, one_person())[0]
    address = f"/traffic?range={place.rpartition('/')[2]}&site={site.key}"
    assert "2026-401" in client.get(address).text
    page = client.get(f"{address}&samples={sample}&reference=2026-401")
    words = shown(page.text)
    assert page.status_code == 200
    assert "of the delayed strain of the wheel before still in 2026-401" in words
    assert "2026-401 (reference)" in words


def test_an_amplitude_sweep_leads_to_its_damage_and_another_run_does_not(
    client: TestClient, tmp_path: Path
) -> None:
    record = client.app.state.record  # type: ignore[attr-defined]
    key = keep_sweep(record, sweep_file(), "2026-301")
    assert f"/runs/{key}/damage" in client.get(f"/runs/{key}").text
    words = shown(client.get(f"/runs/{key}/damage?strains=1+5").text)
    assert "cycles to failure" in words
    assert "at 1 %" in words
    assert "α = 1 + 1/m" in words
    refused = client.get(f"/runs/{key}/damage?strains=much")
    assert refused.status_code == 422
    assert 'value="much"' in refused.text
    plain = b"temperature: 64 C\nFrequency (rad/s),Complex modulus (kPa),Phase angle (deg)\n"
    plain += b"10,2.1,84\n10,2.2,84\n"
    other = keep_sweep(record, plain, "2026-302")
    assert "/damage" not in client.get(f"/runs/{other}").text
    assert "states no strain" in shown(client.get(f"/runs/{other}/damage").text)
