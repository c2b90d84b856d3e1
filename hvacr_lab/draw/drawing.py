"""A finished picture that can be shown in a notebook, or written to a file as SVG or PNG."""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from hvacr_lab.draw.svg import house_style, svg_text
from hvacr_lab.errors import FileProblem

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_PNG_DOTS_PER_INCH = 144.0  # two dots for each pixel of the picture: sharp on paper too


@dataclass(frozen=True, slots=True)
class Drawing:
    """A matplotlib figure with its title, and the description for those who cannot see it."""

    figure: Figure
    title: str
    description: str

    def svg(self) -> str:
        """The picture as SVG text, the same bytes every time."""
        with house_style():
            return svg_text(self.figure, title=self.title, description=self.description)

    def png(self) -> bytes:
        """The picture as PNG."""
        buffer = io.BytesIO()
        with house_style():
            self.figure.savefig(buffer, format="png", dpi=_PNG_DOTS_PER_INCH, metadata={"Title": self.title})
        return buffer.getvalue()

    def _repr_svg_(self) -> str:
        return self.svg()


def finished(figure: Figure, title: str, description: str) -> Drawing:
    """Settle where everything lies, once, so that every copy of the picture is the same.

    Parameters
    ----------
    figure : matplotlib figure made by ``blank_axes``, within ``house_style()``
    title : str, its name in a few words
    description : str, what a reader who cannot see it has to know

    Returns
    -------
    Drawing
    """
    figure.draw_without_rendering()
    figure.set_layout_engine("none")
    return Drawing(figure, title, description)


def save(drawing: Drawing, path: Path) -> None:
    """Write a picture to a file whose name says which kind.

    Parameters
    ----------
    drawing : Drawing
    path : Path, ending in .svg or .png

    Raises
    ------
    FileProblem : another ending; a place that cannot be written to
    """
    kinds = {".svg": lambda: drawing.svg().encode("utf-8"), ".png": drawing.png}
    ending = path.suffix.lower()
    if ending not in kinds:
        raise FileProblem(path, "a picture can be written as .svg or .png. Give the file one of these endings.")
    try:
        path.write_bytes(kinds[ending]())
    except OSError as problem:
        raise FileProblem(path, f"it cannot be written: {problem.strerror}.") from None
