"""The circuit with five glasses: pattern, word and alternative text agree, and nothing lies on anything."""

from __future__ import annotations

import functools
import itertools
import re

import picture_boxes as boxes
import pytest

from hvacr_lab.draw.sight_glasses import sight_glass_alt, sight_glass_picture
from hvacr_lab.errors import NotUsable, UnknownName

# a machine in good order (common practice): liquid up to the expansion device, bubbles behind it, vapour elsewhere
GOOD_ORDER = ("vapour", "liquid", "liquid", "bubbles", "vapour")
STATES = ("vapour", "bubbles", "liquid", "?")
PICTURES = {
    "good order": lambda: sight_glass_picture(GOOD_ORDER),
    "with title": lambda: sight_glass_picture(
        GOOD_ORDER, title="What does each glass of the refrigerator show this morning, and why?"
    ),
    "to be found": lambda: sight_glass_picture(["?"] * 5),
    "all bubbles": lambda: sight_glass_picture(["bubbles"] * 5),
    "without numbers": lambda: sight_glass_picture(["bubbles"] * 5, numbers=False),
}


@functools.cache
def drawn(name: str) -> str:
    return PICTURES[name]()


def windows(svg: str) -> list[str]:
    """What is drawn inside each glass of the circuit, without the three of the key."""
    return re.findall(r'r="24".*?/><g transform="translate\([^)]*\)">(.*?)</g></g>', svg)[-5:]


@pytest.fixture(params=PICTURES)
def picture(request: pytest.FixtureRequest) -> str:
    return drawn(request.param)


def test_alternative_text_names_each_glass_its_place_and_its_state() -> None:
    text = sight_glass_alt(GOOD_ORDER)
    assert "Glass 1, hot gas line after the compressor: vapour." in text
    assert "Glass 2, condenser outlet: liquid." in text
    assert "Glass 3, liquid line before the expansion device: liquid." in text
    assert "Glass 4, after the expansion device: bubbles." in text
    assert "Glass 5, suction line at the compressor: vapour." in text


def test_screen_reader_hears_title_and_states() -> None:
    tree = boxes.root(sight_glass_picture(GOOD_ORDER, title="Steady <now>"))
    assert tree.get("role") == "img"
    assert tree.findtext(f"{boxes.SVG}title") == "Steady <now>"
    assert tree.findtext(f"{boxes.SVG}desc") == sight_glass_alt(GOOD_ORDER)


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("place", range(5))
def test_each_glass_shows_its_state_by_word_and_pattern(place: int, state: str) -> None:
    states = ["vapour"] * 5
    states[place] = state
    svg = sight_glass_picture(states)
    number = str(place + 1)
    label = next(text for text in boxes.words(svg) if text.startswith(number))
    assert label.removeprefix(number).strip() == ("" if state == "?" else state)
    assert windows(svg)[place] == windows(sight_glass_picture([state] * 5))[place]


def test_patterns_differ_without_colour() -> None:
    drawn = [
        re.sub(r'fill="[^"]*"|stroke="[^"]*"', "", windows(sight_glass_picture([state] * 5))[0]) for state in STATES
    ]
    for one, other in itertools.combinations(drawn, 2):
        assert one != other


def test_numbers_can_be_left_out() -> None:
    assert not [text for text in boxes.words(drawn("without numbers")) if re.search(r"\d", text)]


def test_text_is_large_enough_and_inside(picture: str) -> None:
    width, height = boxes.size(picture)
    assert width == 700
    for text in boxes.text_boxes(picture):
        assert text.size_px >= 14, text
        assert text.inside(width, height), text


def test_nothing_is_drawn_outside(picture: str) -> None:
    width, height = boxes.size(picture)
    for shape in boxes.shape_boxes(picture):
        assert shape.inside(width, height), shape


def test_no_text_lies_on_another(picture: str) -> None:
    for one, other in itertools.combinations(boxes.text_boxes(picture), 2):
        assert not one.hits(other, gap_x=6, gap_y=0), (one, other)


def test_no_text_lies_on_a_symbol_or_a_pipe(picture: str) -> None:
    width, _ = boxes.size(picture)
    symbols = [shape for shape in boxes.shape_boxes(picture) if shape.right - shape.left < width]
    for text, symbol in itertools.product(boxes.text_boxes(picture), symbols):
        if text.what != "?":  # the question mark belongs inside its glass
            assert not text.hits(symbol, gap_x=3, gap_y=0), (text, symbol)


def test_looks_the_same_in_every_reader(picture: str) -> None:
    assert "var(" not in picture and "<style" not in picture
    assert " id=" not in picture, "two pictures in one page would clash"
    assert len(picture) < 12_000


def test_flow_runs_from_the_compressor_round_to_the_compressor() -> None:
    names = [text for text in boxes.words(drawn("good order")) if text[0].isupper()]
    assert names == ["Compressor", "Condenser: heat out", "Drier", "Expansion device", "Evaporator: heat in"]


@pytest.mark.parametrize("states", [GOOD_ORDER[:4], [*GOOD_ORDER, "vapour"], "vapour", []])
def test_asks_for_five_states(states: list[str]) -> None:
    with pytest.raises(NotUsable, match="five"):
        sight_glass_picture(states)


def test_names_the_known_states() -> None:
    with pytest.raises(UnknownName, match="vapour"):
        sight_glass_alt(["vapor", *GOOD_ORDER[1:]])
