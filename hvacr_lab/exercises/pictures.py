"""Pictures of a lesson as a notebook shows them: an image with a text that says the same."""

from __future__ import annotations

import base64
import html
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from hvacr_lab.draw.sight_glasses import sight_glass_alt, sight_glass_picture


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing with its text for those who cannot see it; it shows itself in a notebook.

    Parameters
    ----------
    svg : str
    alt : str
    """

    svg: str
    alt: str

    def __str__(self) -> str:
        """The text."""
        return self.alt

    def _repr_pretty_(self, printer: Any, cycle: bool) -> None:
        printer.text(self.alt)

    def _repr_html_(self) -> str:
        # an <img> also shows in a notebook that is not trusted, and in a static page
        data = base64.b64encode(self.svg.encode()).decode()
        return f'<img alt="{html.escape(self.alt)}" src="data:image/svg+xml;base64,{data}" style="max-width:100%">'


def glasses_picture(states: Sequence[str] = ("?",) * 5, title: str = "") -> Picture:
    """Draw the circuit of a refrigerator with what its five glasses show.

    Parameters
    ----------
    states : five of "vapour", "bubbles", "liquid" or "?", in the order of the flow
    title : str

    Returns
    -------
    Picture
    """
    return Picture(sight_glass_picture(states, title=title), sight_glass_alt(states))
