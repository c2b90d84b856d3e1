"""Safety cards in a lesson are the cards of the card file, word for word."""

from __future__ import annotations

from pathlib import Path

import pytest

from hvacr_lab.errors import FileProblem, UnknownName
from hvacr_lab.exercises.cards import card_markdown, cards_in, cards_markdown, load_cards

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def cards() -> dict[str, object]:
    return load_cards(ROOT / "course" / "safety_cards.toml")  # type: ignore[return-value]


def test_a_card_shows_title_occasion_steps_and_whose_rules_come_first(cards: dict[str, object]) -> None:
    for card in cards.values():
        text = card_markdown(card)  # type: ignore[arg-type]
        for part in (card["title"], card["when"], card["defers"], *card["text"]):  # type: ignore[index]
            assert part in text


def test_what_is_rendered_is_found_again(cards: dict[str, object]) -> None:
    rendered = cards_markdown(cards, ("standing", "gauges"))  # type: ignore[arg-type]
    assert cards_in(f"## Safety\n\n{rendered}\n\nmore") == {("standing", "gauges"): rendered}
    changed = rendered.replace("Protect your eyes and hands.", "Protect your eyes.")
    assert cards_in(changed) != {("standing", "gauges"): rendered}


def test_an_unknown_card_and_a_broken_file_are_named(cards: dict[str, object], tmp_path: Path) -> None:
    with pytest.raises(UnknownName, match="gauges"):
        cards_markdown(cards, ("gauge",))  # type: ignore[arg-type]
    broken = tmp_path / "safety_cards.toml"
    broken.write_text("[standing\n", encoding="utf-8")
    with pytest.raises(FileProblem, match="safety_cards"):
        load_cards(broken)
