"""Drawings: the same bytes each time, our own font, no address opened."""

import re

import pytest

from resile.records.creep_recovery import CreepRecoveryRun
from resile.report.figures import figure_compliance, figure_run
from resile.report.render import FONT_FOLDER, render_svg


def test_the_same_chart_gives_the_same_text_whatever_was_drawn_before(burgers_run: CreepRecoveryRun) -> None:
    first = render_svg(figure_run(burgers_run))
    render_svg(figure_compliance(burgers_run))
    assert render_svg(figure_run(burgers_run)) == first


def test_names_inside_a_drawing_are_defined_and_carry_the_prefix(burgers_run: CreepRecoveryRun) -> None:
    svg = render_svg(figure_run(burgers_run), prefix="run-1")
    defined = set(re.findall(r'id="([^"]+)"', svg))
    used = set(re.findall(r"url\(#([^)]+)\)", svg))
    assert used
    assert used <= defined
    assert all(name.startswith("run-1-") for name in defined)


def test_words_stay_words_in_the_drawing(burgers_run: CreepRecoveryRun) -> None:
    svg = render_svg(figure_run(burgers_run))
    assert "conditioning: cycles 1 to 10" in svg
    assert "'Source Sans 3'" in svg or "&#39;Source Sans 3&#39;" in svg


def test_a_chart_that_asks_for_an_address_is_refused() -> None:
    spec = {
        "$schema": "https://vega.github.io/schema/vega-lite/v6.json",
        "data": {"url": "https://example.invalid/a.csv"},
        "mark": "point",
        "encoding": {"x": {"field": "a", "type": "quantitative"}},
    }
    with pytest.raises(ValueError, match=r"example\.invalid"):
        render_svg(spec)


def test_the_fonts_ship_with_their_licence_and_stay_small() -> None:
    fonts = sorted(FONT_FOLDER.glob("*.ttf"))
    assert len(fonts) == 3
    assert sum(font.stat().st_size for font in fonts) < 2_000_000
    assert "SIL Open Font License" in (FONT_FOLDER / "OFL.txt").read_text(encoding="utf-8")
    assert (FONT_FOLDER / "NOTICE.md").exists()
