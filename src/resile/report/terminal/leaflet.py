"""What people outside the laboratory are told, on the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from resile.report.explaining.page import OutsidersPage


def render_leaflet(page: OutsidersPage) -> Any:
    """Give the sentences as a readable sheet.

    Parameters
    ----------
    page : OutsidersPage
        What the page shows.

    Returns
    -------
    rich renderable
        Five sentences of a result; without one, what the invented binder did and how grades are read.
    """
    from rich.console import Group
    from rich.text import Text

    told = page.explanation
    if told is not None:
        title = f"Sample {told.sample}" if told.sample else "Your result"
        lines = [f"{n}. {sentence}" for n, sentence in enumerate(told.sentences, start=1)]
        return Group(
            Text(title, style="bold"),
            "",
            *(Text(x) for x in lines),
            "",
            Text(" ".join(told.cautions), style="dim"),
        )
    grade = [f"{part.text:>4}  {part.words}" for part in page.parts]
    return Group(
        Text("One push of an invented binder", style="bold"),
        *(Text(sentence) for sentence in (*page.sentences[:3], page.sentences[4])),
        "",
        Text(f"What {page.words.example_grade} says", style="bold"),
        *(Text(line) for line in grade),
        "",
        Text(page.words.cautions[0], style="dim"),
    )
