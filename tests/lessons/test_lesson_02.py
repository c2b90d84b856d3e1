"""Proofs of lesson 02: every question, both editions, checked by the machine.

Limits are our own unless a source stands beside them.
"""

from __future__ import annotations

import csv
import io
import itertools
import random
import re
import tomllib
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from lesson_02 import (
    EDITIONS,
    HIDDEN,
    ROOT,
    STUDENTS,
    code_cells,
    flags,
    instructors_answers,
    key_of,
    notebook,
    settings_of,
    text_of,
)

from hvacr_lab.exercises import Choice, Number, Order, Several, refrigerator
from hvacr_lab.exercises.cards import cards_in, cards_markdown, load_cards
from hvacr_lab.exercises.form import NotPlain
from hvacr_lab.exercises.plain_words import reading_report, sentences_of
from hvacr_lab.exercises.proofs import check_question
from hvacr_lab.grading.keys import AnswerKey, Asked
from hvacr_lab.refrigerants import refrigerant

QUESTIONS = (
    "q1-glasses",
    "q2-superheat",
    "q3-total-superheat",
    "q4-subcooling",
    "q5-flash-gas",
    "q6-blend",
    "q7-service-sheet",
    "q8-order",
)
PREDICTIONS = ("p1-drier", "p2-suction-line")
HEADINGS = (
    "Aim",
    "Safety",
    "Warm-up",
    "Predict",
    "Observe",
    "Explain",
    "Worked example and practice",
    "Graded questions",
)
_TABLE = (ROOT / "tests/reference/published_values.csv").read_text(encoding="utf-8")
PUBLISHED = {row["id"]: row for row in csv.DictReader(io.StringIO(_TABLE))}


@pytest.fixture(scope="module")
def keys(tmp_path_factory: pytest.TempPathFactory) -> dict[str, AnswerKey]:
    folder = tmp_path_factory.mktemp("keys")
    return {edition: key_of(edition, folder) for edition in EDITIONS}


@pytest.fixture(scope="module")
def sheets(keys: dict[str, AnswerKey]) -> dict[str, list[Mapping[str, Asked]]]:
    return {edition: [keys[edition].asked(student) for student in STUDENTS] for edition in EDITIONS}


# ---- 1 to 3: solution, untouched edition, slips ----------------------------------------------------------------------


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_solution_scores_full_marks_on_every_sheet(
    edition: str, sheets: dict[str, list[Mapping[str, Asked]]]
) -> None:
    for asked in sheets[edition]:
        answers = instructors_answers(edition, asked)
        marks = {name: asked[name].question.mark(answers, asked[name].readings) for name in QUESTIONS}
        lost = {name: (mark.given, mark.sentence) for name, mark in marks.items() if mark.outcome != "right"}
        assert not lost
        assert sum(mark.points for mark in marks.values()) == sum(mark.max_points for mark in marks.values())


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_untouched_edition_scores_nothing(edition: str, keys: dict[str, AnswerKey]) -> None:
    untouched = dict.fromkeys(itertools.chain.from_iterable(keys[edition].captures.values()), ...)
    for student in STUDENTS[:20]:
        marks = keys[edition].mark(student, dict.fromkeys(keys[edition].captures, untouched))
        assert {mark.outcome for mark in marks.values()} == {"not answered"}
        assert sum(mark.points for mark in marks.values()) == 0
        assert {mark.sentence for mark in marks.values()} == {"Not answered."}


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("name", QUESTIONS)
def test_each_slip_is_named_as_itself_and_never_counts_as_right(
    edition: str, name: str, sheets: dict[str, list[Mapping[str, Asked]]]
) -> None:
    check = check_question(sheets[edition][0][name].question, [asked[name].readings for asked in sheets[edition]])
    assert not check.problems, str(check)
    assert check.slips
    for slip, record in check.slips.items():
        assert record.named == record.made, slip


@pytest.mark.slow
@pytest.mark.parametrize("altitude_m", [0.0, 1600.0, 2600.0])
def test_slips_stay_apart_at_other_schools(altitude_m: float, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import lesson_02

    text = lesson_02.SOURCE.read_text(encoding="utf-8")
    moved = tmp_path / "source.ipynb"
    moved.write_text(text.replace("altitude_m=430.0", f"altitude_m={altitude_m}"), encoding="utf-8")
    monkeypatch.setattr(lesson_02, "SOURCE", moved)
    lesson_02.notebook.cache_clear()
    try:
        for edition in EDITIONS:
            key = key_of(edition, tmp_path)
            asked = [key.asked(student) for student in STUDENTS]
            for name in QUESTIONS:
                check = check_question(asked[0][name].question, [one[name].readings for one in asked])
                assert not check.problems, f"{edition}, {altitude_m:g} m: {check}"
    finally:
        lesson_02.notebook.cache_clear()


@pytest.mark.parametrize("edition", EDITIONS)
def test_predictions_are_recorded_with_what_happened(edition: str, keys: dict[str, AnswerKey]) -> None:
    truth = {
        "p1-drier": {"glass 3": "bubbles", "pipe temperature": "falls", "subcooling": "falls"},
        "p2-suction-line": {
            "superheat": "about the same",
            "total superheat": "rises",
            "suction pressure": "about the same",
        },
    }
    for student in STUDENTS[:20]:
        asked = keys[edition].asked(student)
        for name in PREDICTIONS:
            question, readings = asked[name].question, asked[name].readings
            mark = question.mark(question.right_answers(readings), readings)
            assert (mark.outcome, mark.points, mark.max_points) == ("recorded", 0.0, 0.0)
            assert mark.detail["truth"] == mark.detail["after"] == truth[name]


def test_the_marks_of_the_lesson(keys: dict[str, AnswerKey]) -> None:
    points = keys["SI"].points
    assert sum(points.values()) == 24
    assert {name: question.points for name, question in keys["SI"].manual.items()} == {"q9-explain": 3.0}
    kinds = {type(entry.question) for entry in keys["SI"].asked("a.one").values()}
    assert kinds >= {Number, Choice, Several, Order}
    assert points == keys["US"].points
    for cell in code_cells("SI"):
        if flags(cell).get("grade"):
            assert flags(cell)["points"] == points[flags(cell)["grade_id"]]


# ---- 4 and 9: two ways to the expected value, and published figures --------------------------------------------------


def test_both_editions_ask_the_same_machine(sheets: dict[str, list[Mapping[str, Asked]]]) -> None:
    """Right values in SI and in US units differ only by what each instrument rounds away."""
    for si, us in zip(sheets["SI"][:50], sheets["US"][:50], strict=True):
        for name in ("q2-superheat", "q3-total-superheat", "q4-subcooling", "q6-blend"):
            kelvin, fahrenheit = (entry.question.value(entry.readings) for entry in (si[name], us[name]))
            assert kelvin == pytest.approx(fahrenheit / 1.8, abs=0.4)


def test_superheat_against_an_independent_library(sheets: dict[str, list[Mapping[str, Asked]]]) -> None:
    """Saturation of R-134a in pyromat (multi-parameter equation of its own data files)."""
    pyromat = pytest.importorskip("pyromat")
    r134a = pyromat.get("mp.C2H2F4")
    for asked in sheets["SI"][:20]:
        question, readings = asked["q2-superheat"].question, asked["q2-superheat"].readings
        pressure_pa, pipe_k = readings.at("evaporator_outlet")
        boiling_k = float(r134a.Ts(p=pressure_pa / 1e5)[0])
        assert question.value(readings) == pytest.approx(pipe_k - boiling_k, abs=0.05)


def test_quality_against_an_energy_balance_by_an_independent_library(
    sheets: dict[str, list[Mapping[str, Asked]]],
) -> None:
    pyromat = pytest.importorskip("pyromat")
    r134a = pyromat.get("mp.C2H2F4")
    for asked in sheets["SI"][:20]:
        question, readings = asked["q5-flash-gas"].question, asked["q5-flash-gas"].readings
        pressure_pa, pipe_k = readings.at("liquid")
        before = float(r134a.h(T=pipe_k, p=pressure_pa / 1e5)[0])
        liquid, vapour = (float(value[0]) for value in r134a.hs(p=readings.evaporator_inlet_pressure_pa / 1e5))
        assert question.value(readings) == pytest.approx(100 * (before - liquid) / (vapour - liquid), abs=0.1)


def published(row: str) -> float:
    return float(PUBLISHED[row]["expected"])


def test_superheat_from_a_printed_table(keys: dict[str, AnswerKey]) -> None:
    """M. Kutz, Mechanical Engineers' Handbook, 2006, table 14: R-134a boils at -10.18 degC at 200 kPa (SAT-194)."""
    question = keys["SI"].asked("a.one")["q2-superheat"].question
    sheet = _Readings("R-134a", evaporator_outlet=(200_000.0, 272.15))
    assert question.value(sheet) == pytest.approx(-1.0 - published("SAT-194"), abs=0.25)


def test_subcooling_from_a_printed_table(keys: dict[str, AnswerKey]) -> None:
    """The same table: 39.41 degC at 1000 kPa (SAT-202)."""
    question = keys["SI"].asked("a.one")["q4-subcooling"].question
    sheet = _Readings("R-134a", condenser_outlet=(1_000_000.0, 307.15))
    assert question.value(sheet) == pytest.approx(published("SAT-202") - 34.0, abs=0.25)


def test_quality_from_a_printed_table(keys: dict[str, AnswerKey]) -> None:
    """The same table: liquid at 1000 kPa 106.9 kJ/kg (SAT-204, note), at 200 kPa 37.8 and 205.8 more (SAT-196)."""
    question = keys["SI"].asked("a.one")["q5-flash-gas"].question
    sheet = _Readings("R-134a", liquid=(1_000_000.0, 273.15 + 39.3), evaporator_inlet=(200_000.0, 263.0))
    assert question.value(sheet) == pytest.approx(100.0 * (106.9 - 37.8) / (published("SAT-196") / 1000.0), abs=0.5)


def test_the_slip_of_the_wrong_end_is_a_glide_away(keys: dict[str, AnswerKey]) -> None:
    """ASHRAE Fundamentals 2021, ch. 29, table 2: glide of R-407C at 1 atm 7.1 K (SAT-051)."""
    question = keys["SI"].asked("a.one")["q6-blend"].question
    sheet = _Readings("R-407C", evaporator_outlet=(101_325.0, 245.0))
    slips = {slip.id: value for slip, value in question.slip_values(sheet)}
    glide = published("SAT-051")
    assert slips["bubble-for-dew"] - question.value(sheet) == pytest.approx(glide, abs=0.25)
    assert slips["mean-for-end"] - question.value(sheet) == pytest.approx(glide / 2, abs=0.25)


class _Readings:
    """Readings that stand in a printed table, under the names that formulas use."""

    units, barometer_pa = "SI", 96_300.0

    def __init__(self, name: str, **places: tuple[float, float]) -> None:
        self.refrigerant = refrigerant(name)
        self._places = places
        for place, (pressure_pa, pipe_k) in places.items():
            setattr(self, f"{place}_pressure_pa", pressure_pa)
            setattr(self, f"{place}_gauge_pa", pressure_pa - self.barometer_pa)
            setattr(self, f"{place}_pipe_k", pipe_k)

    def at(self, place: str) -> tuple[float, float]:
        return self._places[place]

    def gauge_at(self, place: str) -> tuple[float, float]:
        pressure_pa, pipe_k = self._places[place]
        return pressure_pa - self.barometer_pa, pipe_k


# ---- 5: guessing ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["q2-superheat", "q3-total-superheat", "q4-subcooling", "q5-flash-gas", "q6-blend"])
def test_a_random_number_hardly_ever_passes(name: str, sheets: dict[str, list[Mapping[str, Asked]]]) -> None:
    dice = random.Random(name)
    share = 0.0
    for asked in sheets["SI"]:
        question, readings = asked[name].question, asked[name].readings
        low, high = (0.0, 100.0) if question.unit == "%" else (-10.0, 50.0)
        marks = [question.mark({question.answer: dice.uniform(low, high)}, readings) for _ in range(20)]
        share += sum(mark.outcome == "right" for mark in marks) / len(marks)
    assert share / len(sheets["SI"]) < 0.05


def test_guessed_words_letters_and_orders_are_worth_little(sheets: dict[str, list[Mapping[str, Asked]]]) -> None:
    dice = random.Random("guess")
    guesses = {
        "q1-glasses": lambda: {f"glass_{n}": dice.choice(("vapour", "bubbles", "liquid")) for n in range(1, 6)},
        "q7-service-sheet": lambda: {"true_sentences": " ".join(x for x in "abcdef" if dice.random() < 0.5)},
        "q8-order": lambda: {"order": "".join(dice.sample("abcdef", 6))},
    }
    for name, guess in guesses.items():
        marks = [asked[name].question.mark(guess(), asked[name].readings) for asked in sheets["SI"] for _ in range(10)]
        assert sum(mark.points for mark in marks) / sum(mark.max_points for mark in marks) < 0.3


@pytest.mark.parametrize("name", QUESTIONS)
def test_own_numbers_lead_to_own_answers(name: str, sheets: dict[str, list[Mapping[str, Asked]]]) -> None:
    """A class of 24: most have an answer that nobody else has, or that few share where there are few to choose from."""
    answers = Counter(repr(asked[name].question.right_answers(asked[name].readings)) for asked in sheets["SI"][:24])
    assert len(answers) >= (4 if name == "q1-glasses" else 6)
    assert answers.most_common(1)[0][1] <= 12


# ---- 6: operating points -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("question", ["p1", "p2", "q1", "q2", "q3", "q4", "q5", "q6", "q7"])
def test_every_corner_of_the_ranges_is_a_sound_machine(question: str) -> None:
    settings = settings_of(question)
    change = settings.pop("change", {})
    ranges = {name: value for name, value in settings.items() if isinstance(value, tuple)}
    for corner in itertools.product(*((low, high) for low, high, _ in ranges.values())):
        drawn = settings | dict(zip(ranges, corner, strict=True))
        for machine in (refrigerator(**drawn), refrigerator(**{**drawn, **change})):
            _assert_sound(machine)


def _assert_sound(machine: Mapping[str, Any]) -> None:
    head_pa, suction_pa = machine["hot_gas_pressure_pa"], machine["suction_pressure_pa"]
    assert 1.5 <= head_pa / suction_pa <= 12.0
    assert suction_pa > 101_325.0  # no vacuum: the sheets of this lesson show plain gauge pressures
    assert head_pa < 25e5  # common gauges and hoses of these refrigerants go further (common practice)
    falling = ["hot_gas", "condenser_outlet", "liquid", "evaporator_inlet", "evaporator_outlet", "suction"]
    pressures = [machine[f"{place}_pressure_pa"] for place in falling]
    assert pressures == sorted(pressures, reverse=True)
    assert machine["hot_gas_glass"] == "vapour"
    assert machine["condenser_outlet_glass"] == "liquid"
    assert machine["evaporator_inlet_glass"] == "bubbles"
    assert machine["hot_gas_pipe_k"] < 273.15 + 120.0  # oil is safe below (common practice)
    assert 0.0 <= machine["evaporator_outlet_superheat_k"] <= 15.0
    assert 0.0 <= machine["total_superheat_k"] <= 35.0
    assert 3.0 <= machine["condenser_outlet_subcooling_k"] <= 12.0


def test_no_glass_is_doubtful(sheets: dict[str, list[Mapping[str, Asked]]]) -> None:
    """What a glass shows is never closer than 0.3 K to the limit between boiling and not boiling."""
    for asked in sheets["SI"]:
        for name, places in (
            ("q1-glasses", ("hot_gas", "condenser_outlet", "liquid", "evaporator_inlet", "suction")),
            ("q7-service-sheet", ("liquid", "suction")),
        ):
            readings = asked[name].readings
            for place in places:
                away = abs(readings.refrigerant.superheat(*readings.at(place)))
                assert away < 0.2 or away > 0.8, (name, place)


# ---- what students see ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_pattern_of_a_lesson(edition: str) -> None:
    headings = [
        heading
        for cell in notebook(edition)["cells"]
        if cell["cell_type"] == "markdown"
        for heading in re.findall(r"^## (.+)$", text_of(cell), flags=re.MULTILINE)
    ]
    assert tuple(headings) == HEADINGS


def test_every_graded_question_stands_in_three_cells() -> None:
    names = [flags(cell).get("grade_id", "") for cell in notebook("SI")["cells"]]
    for question in QUESTIONS:
        place = names.index(question)
        assert names[place - 2 : place] == [f"{question}-readings", f"{question}-answer"]


def test_hidden_blocks_do_not_get_in_each_others_way() -> None:
    """A helper that two hidden blocks define under one name would be the later one for both."""
    defined = Counter(
        name
        for cell in code_cells("SI")
        for hidden in HIDDEN.findall(text_of(cell))
        for name in set(re.findall(r"^(?:def )?(\w+)(?:\(.*\):| = )", hidden, flags=re.MULTILINE))
    )
    assert defined
    assert max(defined.values()) == 1, defined


def test_canaries_are_all_different() -> None:
    canaries = [word for cell in code_cells("SI") for word in re.findall(r"key-canary: ([0-9a-f]{8})", text_of(cell))]
    assert len(canaries) == len(set(canaries)) == len(QUESTIONS) + len(PREDICTIONS)


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_lesson_can_be_read(edition: str) -> None:
    report = reading_report(notebook(edition), longest_sentence=25)
    assert report.words <= 2000
    assert report.grade <= 8.0
    assert not report.long_sentences
    assert report.cells <= 45
    assert report.longest_code_cell <= 12


def test_no_word_that_the_course_avoids() -> None:
    avoided = re.compile(
        r"\b(utili[sz]e\w*|via|respectively|corresponding\w*|it can be seen|incorrect|in order to|defined as)\b|!", re.I
    )
    assert [sentence for sentence in sentences_of(notebook("SI")) if avoided.search(sentence)] == []


def test_trade_words_stand_in_the_glossary_and_in_bold_where_they_first_appear() -> None:
    glossary = tomllib.loads((ROOT / "course/glossary.toml").read_text(encoding="utf-8"))
    ours, before = set(glossary["02-refrigerant-states"]), set(glossary["01-pressure-temperature"])
    markdown = "\n".join(text_of(cell) for cell in notebook("SI")["cells"] if cell["cell_type"] == "markdown")
    bold = {word.lower() for word in re.findall(r"\*\*([A-Za-z ]+)\*\*", markdown)}
    used = {word for word in ours if re.search(rf"\b{word}\b", markdown, flags=re.I)}
    assert used - bold - {"refrigerant"} == set()  # lesson 01 has used that word
    later = {word for lesson, words in glossary.items() if lesson > "02-refrigerant-states" for word in words}
    assert [word for word in later - ours - before if re.search(rf"\b{word}\b", markdown, flags=re.I)] == []


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_safety_cards_are_those_of_the_card_file(edition: str) -> None:
    cards = load_cards(ROOT / "course" / "safety_cards.toml")
    cells = notebook(edition)["cells"]
    place = next(number for number, cell in enumerate(cells) if "## Safety" in text_of(cell))
    shown = cards_in(text_of(cells[place]))
    assert shown == {names: cards_markdown(cards, names) for names in [("standing", "glasses-and-gloves", "gauges")]}
    assert place == 1  # before the first step


@pytest.mark.parametrize("edition", EDITIONS)
def test_pressures_say_gauge_or_absolute_and_units_fit_the_edition(edition: str) -> None:
    other = {"SI": r"psi|degF|Btu|\bpound\b", "US": r"\bbar\b|degC|kJ|kilogram|\d K\b|in K\b|_k = |_c\("}[edition]
    bare = re.compile(r"\d (?:bar|psi)\b(?!\(|,| plus)")  # the warm-up's choices are the question
    for cell in notebook(edition)["cells"]:
        text = HIDDEN.sub("", text_of(cell))
        assert not re.search(other, text), re.search(other, text)
        assert not bare.search(text), text


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_worked_example_is_what_its_own_calls_give(edition: str) -> None:
    """Each look-up printed in the example is called; the printed value follows it."""
    from hvacr_lab.exercises import look_ups

    text = next(text_of(cell) for cell in notebook(edition)["cells"] if "## Worked example" in text_of(cell))
    calls = re.findall(r"`((\w+)\([^`]+\))`(?:: | gives )(-?\d+\.\d)", text)
    assert len(calls) == 5
    for call, _, printed in calls:
        assert float(printed) == pytest.approx(eval(call, vars(look_ups).copy()), abs=0.051)
    superheat, subcooling = re.findall(r"= (\d+\.\d) (?:K|degF)\.", text)
    sums = re.findall(r"(-?\d+\.\d) deg[CF] - \(?(-?\d+\.\d) deg[CF]\)?", text)
    assert [float(first) - float(second) for first, second in sums] == pytest.approx(
        [float(superheat), float(subcooling)], abs=0.01
    )
    (a, b, c, d, share, percent) = map(
        float,
        re.findall(r"\((\d+\.\d) - (\d+\.\d)\) / \((\d+\.\d) - (\d+\.\d)\) = (0\.\d+)\. That is (\d+\.\d)", text)[0],
    )
    assert share == pytest.approx((a - b) / (c - d), abs=0.0006)
    assert percent == pytest.approx(100 * share)


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_tolerance_in_the_prompt_is_the_tolerance_of_the_key(
    edition: str, sheets: dict[str, list[Mapping[str, Asked]]]
) -> None:
    for name in ("q2-superheat", "q3-total-superheat", "q4-subcooling", "q6-blend"):
        entry = sheets[edition][0][name]
        assert f"Counted as right: within {entry.question.tolerance_words}" in entry.readings.ask
    assert sheets[edition][0]["q5-flash-gas"].question.within == 1


@pytest.mark.parametrize(
    "answer", ["8,3", (8, 3), True, None, "", [8.3], NotPlain("function", "<f>"), float("nan"), 10**400]
)
def test_what_is_no_number_gets_a_sentence_and_no_points(answer: object, keys: dict[str, AnswerKey]) -> None:
    mark = keys["SI"].mark("a.one", {"q2-superheat": {"superheat_k": answer}})["q2-superheat"]
    assert mark.points == 0
    assert mark.outcome == ("not answered" if answer in (None, "") else "form")
    assert mark.sentence
