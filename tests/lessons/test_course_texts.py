"""What students and instructors read: cards, glossary and the instructor's pages, held against the voice of the course.

The limits are our own: apprentices who read at about US grade 8, one idea a sentence. The grade is that of
J. P. Kincaid and others, "Derivation of New Readability Formulas", 1975 (formula from memory), with syllables counted
roughly; trade words of several syllables raise it, so the limit stands for a whole text, not for a sentence.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterable
from pathlib import Path

import pytest

from hvacr_lab.exercises.instruments import PLACES, READINGS, show
from hvacr_lab.exercises.plain_words import reading_grade
from hvacr_lab.exercises.steady_refrigerator import refrigerator
from hvacr_lab.refrigerants import refrigerant
from hvacr_lab.units import barometer_pa

ROOT = Path(__file__).resolve().parents[2]
COURSE = ROOT / "course"
NOTEBOOK_02 = ROOT / "source_notebooks" / "02-refrigerant-states" / "02-refrigerant-states.ipynb"
CARDS = tomllib.loads((COURSE / "safety_cards.toml").read_text(encoding="utf-8"))
GLOSSARY = tomllib.loads((COURSE / "glossary.toml").read_text(encoding="utf-8"))
MEANINGS = {word: meaning for lesson in GLOSSARY.values() for word, meaning in lesson.items()}
PAGES = sorted((COURSE / "instructor").glob("*.md"))
PAGE_02 = COURSE / "instructor" / "02-refrigerant-states.md"

LONGEST_SENTENCE_WORDS = 25
HIGHEST_GRADE = 8.0
LONGEST_MEANING_WORDS = 40

# words that sound like a manual, or like a marker's red pen
NOT_OUR_VOICE = re.compile(
    r"\b(utili[sz]e\w*|via|respectively|corresponding\w*|it can be seen|incorrect|in order to|prior to)\b|!",
    re.IGNORECASE,
)

# what a reader of lesson 02 may look up
WORDS_OF_LESSON_02 = """
absolute pressure, gauge pressure, barometer, saturation, boiling temperature, condensing temperature, blend, dew line,
bubble line, glide, refrigerant, vapour, liquid, bubbles, compressor, condenser, evaporator, expansion device, drier,
sight glass, high side, low side, suction pressure, head pressure, hot gas line, liquid line, suction line, superheat,
total superheat, subcooling, quality, flash gas, dry suction, wet suction, slugging
"""

# cards about work that the law or the maker keeps for trained people
FOR_TRAINED_PEOPLE = {
    "standing",
    "gauges",
    "lock-out",
    "capacitors",
    "recovery",
    "nitrogen",
    "flammable",
    "high-pressure",
}


def sentences(text: str) -> list[str]:
    return [part for part in re.split(r"(?<=[.?:;])\s+", text) if part]


def words(text: str) -> list[str]:
    return re.findall(r"[A-Za-z][A-Za-z'-]*", text)


def grade(texts: Iterable[str]) -> float:
    """Flesch-Kincaid grade of some texts taken together."""
    return reading_grade([sentence for text in texts for sentence in sentences(text)])


def card_texts(name: str) -> list[str]:
    card = CARDS[name]
    return [card["title"] + ".", card["when"], *card["text"], card["defers"]]


def prose(page: Path) -> str:
    """A page without its tables, code and marks."""
    text = re.sub(r"```.*?```", "", page.read_text(encoding="utf-8"), flags=re.DOTALL)
    lines = [line for line in text.splitlines() if not line.startswith(("|", "#"))]
    return re.sub(r"`[^`]*`|[*_>]", "", "\n".join(lines))


def test_grade_tells_easy_from_hard() -> None:
    # own sentences: the same thing said twice
    easy = "Hold a thermometer to the pipe. Is it warmer than the table says? Then all the liquid has boiled away."
    hard = "Complete evaporation is indicated whenever the measured temperature considerably exceeds saturation."
    assert grade([easy]) < 5 < HIGHEST_GRADE < grade([hard])


@pytest.mark.parametrize("name", CARDS)
def test_card_says_when_what_to_do_and_whose_rules_come_first(name: str) -> None:
    card = CARDS[name]
    assert set(card) == {"title", "when", "text", "defers", "lessons"}
    assert 3 <= len(card["text"]) <= 8, "a card is read in half a minute"
    assert all(lesson == "all" or re.fullmatch(r"0[1-9]|1[0-5]", lesson) for lesson in card["lessons"])
    assert "come first" in card["defers"] or "code" in card["defers"] or "law" in card["defers"]


def test_standing_card_says_everything_it_must() -> None:
    text = " ".join(card_texts("standing"))
    for needed in (
        "teaching material",
        "Local code",
        "maker's instructions",
        "licensed person come first",
        "licence that the law",
        "recovered, never",
        "eyes and hands",
        "Lock the power out before hands go in",
    ):
        assert needed in text
    assert CARDS["standing"]["lessons"] == ["all"]


@pytest.mark.parametrize("name", sorted(FOR_TRAINED_PEOPLE))
def test_work_for_trained_people_is_left_to_them(name: str) -> None:
    text = " ".join([*CARDS[name]["text"], CARDS[name]["defers"]])
    assert re.search(r"licensed person|qualified person|people trained", text)


def test_lesson_02_has_the_cards_it_needs() -> None:
    # lesson list of the course: glasses and gloves, gauges, and the standing card
    shown = {name for name, card in CARDS.items() if {"all", "02"} & set(card["lessons"])}
    assert shown == {"standing", "glasses-and-gloves", "gauges"}


@pytest.mark.parametrize("name", CARDS)
def test_card_can_be_read_by_an_apprentice(name: str) -> None:
    for text in card_texts(name):
        for sentence in sentences(text):
            assert len(words(sentence)) <= LONGEST_SENTENCE_WORDS, sentence
        assert not NOT_OUR_VOICE.search(text), text
    assert grade(card_texts(name)) <= HIGHEST_GRADE


def test_glossary_holds_every_trade_word_of_lesson_02_once() -> None:
    wanted = {word.strip() for word in WORDS_OF_LESSON_02.replace("\n", " ").split(",")}
    assert wanted <= set(MEANINGS)
    assert len(MEANINGS) == sum(len(lesson) for lesson in GLOSSARY.values()), "a word stands under one lesson only"


def test_every_word_that_the_lesson_explains_is_in_the_glossary() -> None:
    """A lesson prints a trade word in bold, in small letters, where it first appears."""
    cells = json.loads(NOTEBOOK_02.read_text(encoding="utf-8"))["cells"]
    text = "\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown")
    explained = set(re.findall(r"\*\*([a-z][a-z ]+)\*\*", text))
    assert {"superheat", "subcooling"} <= explained
    assert explained <= set(MEANINGS)


@pytest.mark.parametrize("word", MEANINGS)
def test_meaning_is_short_and_plain(word: str) -> None:
    meaning = MEANINGS[word]
    assert len(words(meaning)) <= LONGEST_MEANING_WORDS
    assert meaning.endswith(".") and meaning[0].isupper()
    assert not NOT_OUR_VOICE.search(meaning)
    for sentence in sentences(meaning):
        assert len(words(sentence)) <= LONGEST_SENTENCE_WORDS, sentence


def test_glossary_can_be_read_by_an_apprentice() -> None:
    assert grade(MEANINGS.values()) <= HIGHEST_GRADE


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_instructor_page_is_one_page_with_its_parts_in_order(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    heads = re.findall(r"^## (.+)$", text, flags=re.MULTILINE)
    assert heads == [
        "Aim",
        "Safety",
        "Before class",
        "Valves at the start",
        "Expected readings today",
        "Minutes",
        "Mistakes to expect, and what to ask",
        "Answers of any one student",
        "When the bench is down",
    ]
    assert len(words(text)) <= 900, "it is read standing, before class"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_instructor_page_keeps_the_voice(page: Path) -> None:
    text = prose(page)
    assert not NOT_OUR_VOICE.search(text)
    assert grade([text]) <= HIGHEST_GRADE


def table_after(heading: str, page: Path) -> list[list[str]]:
    """Rows of the table under a heading, without its head."""
    part = page.read_text(encoding="utf-8").split(f"## {heading}\n", 1)[1].split("\n## ", 1)[0]
    rows = [line.strip("|").split("|") for line in part.splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in row] for row in rows[2:]]


def machine_of_the_page() -> dict[str, float | str]:
    # the settings that the page itself states
    return refrigerator(refrigerant="R-134a", evaporating_c=-10, condensing_c=38)


def test_expected_readings_are_those_of_the_library() -> None:
    machine, air_pa = machine_of_the_page(), barometer_pa(430.0)
    expected = []
    for place, name in PLACES.items():
        gauge, pipe = READINGS[f"{place}_pressure"].instrument, READINGS[f"{place}_pipe"].instrument
        shown = [
            show(machine[f"{place}_{field}"], instrument, edition, air_pa).text
            for field, instrument in (("pressure_pa", gauge), ("pipe_k", pipe))
            for edition in ("SI", "US")
        ]
        expected.append([name, *shown, machine[f"{place}_glass"] if "glass" in name else "no glass"])
    assert table_after("Expected readings today", PAGE_02) == expected


def test_margins_and_the_slip_on_the_page_are_those_of_the_library() -> None:
    machine, air_pa = machine_of_the_page(), barometer_pa(430.0)
    text = " ".join(PAGE_02.read_text(encoding="utf-8").split())
    for words_, field in (
        ("Superheat at the evaporator outlet", "evaporator_outlet_superheat_k"),
        ("total superheat", "total_superheat_k"),
        ("subcooling at the condenser outlet", "condenser_outlet_subcooling_k"),
    ):
        assert f"{words_} {machine[field]:.1f} K ({1.8 * machine[field]:.1f} degF)" in text
    # the gauge reading taken as absolute: boiling looked up at a pressure that is too low by the barometer
    boiling_k = refrigerant("R-134a").dew_temperature(machine["suction_pressure_pa"] - air_pa)
    slip_k = machine["suction_pipe_k"] - boiling_k
    assert f"about {slip_k:.0f} K out of {machine['total_superheat_k']:.0f} K" in text
    assert f"barometer {air_pa / 1e5:.3f} bar" in text


def test_minutes_of_the_page_fill_the_lesson() -> None:
    aim = "".join(json.loads(NOTEBOOK_02.read_text(encoding="utf-8"))["cells"][0]["source"])
    assert "75 minutes" in aim
    assert sum(int(minutes) for _, minutes in table_after("Minutes", PAGE_02)) == 75


def test_page_names_the_cards_of_its_lesson() -> None:
    text = PAGE_02.read_text(encoding="utf-8").split("## Safety", 1)[1].split("## Before class", 1)[0]
    for card in CARDS.values():
        if {"all", "02"} & set(card["lessons"]):
            assert f"*{card['title']}*" in text
