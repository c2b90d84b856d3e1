"""Safety cards: one file for all lessons, rendered into a lesson's safety cell between marks."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from hvacr_lab.errors import FileProblem, UnknownName

_BEGIN = "<!-- safety cards: {names}. Made from safety_cards.toml; edit them there. -->"
_END = "<!-- end of safety cards -->"
_CELL = re.compile(r"<!-- safety cards: (?P<names>[^.]*)\..*?-->.*?<!-- end of safety cards -->", flags=re.DOTALL)


def load_cards(path: Path) -> dict[str, Mapping[str, Any]]:
    """Read the file of safety cards.

    Parameters
    ----------
    path : Path of safety_cards.toml

    Returns
    -------
    dict, name -> title, when, text, defers, lessons

    Raises
    ------
    FileProblem : it cannot be read
    """
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, tomllib.TOMLDecodeError) as problem:
        raise FileProblem(path, f"the safety cards cannot be read ({problem})") from None


def card_markdown(card: Mapping[str, Any]) -> str:
    """Render one card.

    Parameters
    ----------
    card : title, when, text and defers

    Returns
    -------
    str, Markdown
    """
    steps = "\n".join(f"- {step}" for step in card["text"])
    return f"**{card['title']}.** {card['when']}\n\n{steps}\n\n*{card['defers']}*"


def cards_markdown(cards: Mapping[str, Mapping[str, Any]], names: Sequence[str]) -> str:
    """Render the cards of a lesson with the marks around them.

    Parameters
    ----------
    cards : as `load_cards` gives them
    names : sequence of str, the cards that the lesson needs

    Returns
    -------
    str, Markdown

    Raises
    ------
    UnknownName : there is no such card
    """
    for name in names:
        if name not in cards:
            raise UnknownName("safety card", name, cards)
    body = "\n\n".join(card_markdown(cards[name]) for name in names)
    return f"{_BEGIN.format(names=', '.join(names))}\n{body}\n{_END}"


def cards_in(text: str) -> dict[tuple[str, ...], str]:
    """Find rendered cards in a cell.

    Parameters
    ----------
    text : str, source of a Markdown cell

    Returns
    -------
    dict, names of the cards -> the rendered text with its marks
    """
    return {tuple(found["names"].split(", ")): found[0] for found in _CELL.finditer(text)}
