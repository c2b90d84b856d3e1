"""Question kinds: what is right, what is a slip, what earns part of the points. Values are our own unless said."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from IPython.lib.pretty import pretty

from hvacr_lab.errors import NotUsable, OutOfRange, UnknownName
from hvacr_lab.exercises.comparison import Comparison, Row
from hvacr_lab.exercises.questions import Choice, Mark, Number, Order, Prediction, Question, Several, Slip
from hvacr_lab.exercises.sheet import Shown

STATES = ("vapour", "bubbles", "liquid")


@dataclass(frozen=True)
class Pipe:
    """A pipe 8 K above its boiling temperature of -10 degC."""

    units: str = "SI"
    barometer_pa: float = 96_300.0
    pipe_k: float = 271.15
    boils_k: float = 263.15


def superheat(unit: str = "K", within: float = 0.5, **more: Any) -> Number:
    slips = (
        Slip("sign", lambda r: r.boils_k - r.pipe_k, credit=0.5),
        Slip("saturation-itself", lambda r: r.boils_k, quantity="temperature"),
        Slip("gauge-as-absolute", lambda r: r.pipe_k - r.boils_k + 17.0, credit=0.25),
        Slip("wrong-side", lambda r: r.no_such_reading, when=lambda r: False),
        Slip("wrong-point", _out_of_range),
    )
    defaults: dict[str, Any] = {"quantity": "temperature difference", "points": 2, "slips": slips}
    return Number(
        "x", title="Superheat", unit=unit, within=within, expected=lambda r: r.pipe_k - r.boils_k, **defaults | more
    )


def _out_of_range(r: Any) -> float:
    raise OutOfRange("pressure", 1, "Pa", low=2)


def mark(question: Question, value: object, readings: Any = None, name: str = "x") -> Mark:
    return question.mark({name: value}, readings or Pipe())


# ---- Number ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "outcome", "points"),
    [
        (8.0, "right", 2), (8.5, "right", 2), (7.5, "right", 2), (8, "right", 2),
        (8.6, "close", 0), (6.5, "close", 0), (9.6, "unknown", 0),
        (-8.0, "slip", 1), (-8.2, "slip", 1), (-8.4, "unknown", 0),
        (25.0, "slip", 0.5), (-10.0, "slip", 0),
        ("8,0", "form", 0), (True, "form", 0), (..., "not answered", 0),
    ],
)  # fmt: skip
def test_what_a_number_earns(value: object, outcome: str, points: float) -> None:
    marked = mark(superheat(), value)
    assert (marked.outcome, marked.points, marked.max_points) == (outcome, points, 2)


def test_the_same_question_in_us_units() -> None:
    question = superheat("degF", 0.9)
    sheet = Pipe(units="US")
    assert mark(question, 14.4, sheet).outcome == "right"
    assert mark(question, 15.2, sheet).outcome == "right"
    assert mark(question, -14.4, sheet).slip == "sign"
    assert mark(question, 14.0, sheet).outcome == "right"
    # the boiling temperature itself would be written as 14.0 degF: too near to the right answer, which always wins
    assert question.slip_answers(sheet)["saturation-itself"] == {"x": 14.0}


def test_sentences_say_what_to_look_at_and_never_the_number() -> None:
    question = superheat(if_right="The last drop is gone.", look_again="Step 1 again.")
    assert mark(question, 8.0).sentence == "Right. The last drop is gone."
    assert mark(question, 9.0).sentence.startswith("Near, but more than 0.5 K off.")
    assert mark(question, 99.0).sentence == "Not recognised. Step 1 again."
    assert "direction" in mark(question, -8.0).sentence
    assert mark(question, ...).sentence == "Not answered."
    for value in (9.0, 99.0, -8.0, 25.0, "8,3", ...):
        assert "8.0" not in mark(question, value).sentence


def test_the_worked_way_is_numbered_and_kept_apart() -> None:
    marked = mark(superheat(worked=lambda r: ("add", "subtract")), 99.0)
    assert marked.worked == "1. add\n2. subtract"
    assert marked.given == "99.0"


def test_the_nearest_of_two_slips_is_named() -> None:
    slips = (Slip("sign", lambda r: 20.0), Slip("wrong-side", lambda r: 20.3))
    question = superheat(slips=slips)
    assert mark(question, 20.1).slip == "sign"
    assert mark(question, 20.2).slip == "wrong-side"


def test_a_slip_may_have_a_narrower_band_and_words_of_its_own() -> None:
    slip = Slip("tenth", lambda r: 0.8, within=0.01, sentence="A tenth of it.")
    question = superheat(slips=(slip,))
    assert mark(question, 0.8).sentence == "A tenth of it."
    assert mark(question, 0.9).outcome == "unknown"


def test_tolerance_in_percent_follows_the_value() -> None:
    question = superheat(within=None, within_percent=5.0)
    assert mark(question, 8.4).outcome == "right"
    assert mark(question, 8.41).outcome == "close"
    assert "more than 5 percent off" in mark(question, 8.41).sentence


@settings(max_examples=100, deadline=None)
@given(boils_c=st.floats(-40, 20), above_k=st.floats(2, 30), off=st.floats(-0.5, 0.5))
def test_whoever_is_within_the_tolerance_is_right_whatever_the_slips(
    boils_c: float, above_k: float, off: float
) -> None:
    sheet = Pipe(boils_k=boils_c + 273.15, pipe_k=boils_c + 273.15 + above_k)
    question = superheat()
    assert mark(question, question.value(sheet) + off, sheet).outcome == "right"
    assert mark(question, question.right_answers(sheet)["x"], sheet).outcome == "right"


def test_a_pressure_may_be_asked_for_as_a_gauge_shows_it() -> None:
    question = Number("x", title="Gauge", unit="bar(g)", points=1, expected=lambda r: 196_300.0, within=0.02)
    assert mark(question, 1.0).outcome == "right"


@pytest.mark.parametrize(
    "change", [{"within": None}, {"within_percent": 1.0}, {"unit": "degF", "quantity": ""}, {"unit": "bar"}]
)
def test_a_question_that_cannot_be_marked_is_refused(change: dict[str, Any]) -> None:
    with pytest.raises((NotUsable, UnknownName)):
        superheat(**change)


def test_a_slip_that_cannot_be_explained_or_pays_in_full_is_refused() -> None:
    with pytest.raises(UnknownName):
        Slip("no-such-slip", lambda r: 1.0)
    with pytest.raises(NotUsable, match="share of the points"):
        Slip("sign", lambda r: 1.0, credit=1.0)


def test_stock_nbgrader_finds_the_points_and_nothing_else() -> None:
    assert pretty(mark(superheat(), -8.0)) == str(mark(superheat(), -8.0)) == "1"
    assert pretty(mark(superheat(), 25.0)) == "0.5"


# ---- Choice ----------------------------------------------------------------------------------------------------------


def one_glass() -> Choice:
    return Choice(
        "x", title="Glass 3", points=1, options=STATES, expected=lambda r: "bubbles",
        slips=(
            Slip("gauge-as-absolute", lambda r: "vapour"),
            Slip("sign", lambda r: "bubbles"),
            Slip("wrong-point", lambda r: None),
        ),
    )  # fmt: skip


def three_glasses() -> Choice:
    return Choice(
        ("g1", "g2", "g3"), title="Glasses", points=3, options=STATES,
        expected=lambda r: ("vapour", "liquid", "bubbles"),
        slips=(Slip("gauge-as-absolute", lambda r: ("vapour", "vapour", "vapour"), credit=0.5),),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("word", "outcome", "points"),
    [
        ("bubbles", "right", 1),
        ("Bubbles", "right", 1),
        ("vapour", "slip", 0),
        ("liquid", "unknown", 0),
        ("foam", "form", 0),
        (..., "not answered", 0),
    ],
)
def test_one_word(word: object, outcome: str, points: float) -> None:
    marked = mark(one_glass(), word)
    assert (marked.outcome, marked.points) == (outcome, points)


def test_a_slip_that_leads_to_the_right_word_is_no_slip() -> None:
    assert list(one_glass().slip_answers(Pipe())) == ["gauge-as-absolute"]


@pytest.mark.parametrize(
    ("words", "outcome", "points"),
    [
        (("vapour", "liquid", "bubbles"), "right", 3),
        (("vapour", "liquid", "liquid"), "partly", 1.5),  # two hits less half a miss
        (("vapour", "liquid", ...), "partly", 2),  # nothing is taken back for what is left open
        (("vapour", "liquid", "foam"), "partly", 2),
        (("vapour", "vapour", "vapour"), "slip", 1.5),
        (("vapour", "bubbles", "liquid"), "partly", 0),
        (("liquid", "bubbles", "liquid"), "unknown", 0),
        ((..., ..., ...), "not answered", 0),
        (("foam", ..., ...), "form", 0),
    ],
)
def test_several_words_earn_parts(words: tuple[object, ...], outcome: str, points: float) -> None:
    marked = three_glasses().mark(dict(zip(("g1", "g2", "g3"), words, strict=True)), Pipe())
    assert (marked.outcome, marked.points) == (outcome, points)


def test_guessing_words_is_worth_nothing_before_the_floor() -> None:
    question = three_glasses()
    shares = [hits - misses / 2 for hits, misses in ((3, 0), (2, 1), (1, 2), (0, 3))]
    chances = [1 / 27, 6 / 27, 12 / 27, 8 / 27]  # binomial, one in three
    assert sum(share * chance for share, chance in zip(shares, chances, strict=True)) == pytest.approx(0.0)
    assert question._share(3, 0) == 1.0


# ---- Several and Order -----------------------------------------------------------------------------------------------


def lettered(**items: str) -> Shown:
    return Shown("q", "a.one", "SI", 96_300.0, items=items)


SENTENCES = lettered(cold="It is cold.", wet="It is wet.", warm="It is warm.", empty="It is empty.")


def true_ones() -> Several:
    return Several(
        "x", title="True", points=2, expected=lambda r: ("cold", "wet"),
        slips=(Slip("gauge-as-absolute", lambda r: ("warm",), credit=0.25), Slip("sign", lambda r: ("wet", "cold"))),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("letters", "outcome", "points"),
    [
        ("a b", "right", 2), ("b, a", "right", 2), ("a", "partly", 1), ("a b c", "partly", 1),
        ("a c", "unknown", 0), ("d", "unknown", 0), ("a b c d", "unknown", 0),
        ("c", "slip", 0.5), ("a x", "form", 0), (..., "not answered", 0),
    ],
)  # fmt: skip
def test_letters_that_are_true(letters: object, outcome: str, points: float) -> None:
    marked = mark(true_ones(), letters, SENTENCES)
    assert (marked.outcome, marked.points) == (outcome, points)


def test_feedback_on_letters_counts_only_what_was_chosen() -> None:
    assert mark(true_ones(), "a c", SENTENCES).sentence.startswith(
        "Letters of yours that belong there: 1; that do not: 1."
    )
    assert list(true_ones().slip_answers(SENTENCES)) == ["gauge-as-absolute"]


def in_order() -> Order:
    return Order(
        "x", title="Order", points=2, expected=("cold", "wet", "warm", "empty"),
        slips=(Slip("against-the-flow", lambda r: ("empty", "warm", "wet", "cold")),),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("letters", "outcome", "points"),
    [
        ("a b c d", "right", 2), ("abcd", "right", 2),
        ("b a c d", "partly", 1.33),  # 5 of 6 pairs in order; a guess has 3
        ("a b d c", "partly", 1.33), ("d c b a", "slip", 0), ("c d a b", "unknown", 0),
        ("a b c", "form", 0), (..., "not answered", 0),
    ],
)  # fmt: skip
def test_letters_in_order(letters: object, outcome: str, points: float) -> None:
    marked = mark(in_order(), letters, SENTENCES)
    assert (marked.outcome, marked.points) == (outcome, points)


@pytest.mark.parametrize("question", [true_ones(), in_order()])
def test_right_letters_follow_the_students_own_list(question: Question) -> None:
    other = lettered(empty="It is empty.", warm="It is warm.", wet="It is wet.", cold="It is cold.")
    for readings in (SENTENCES, other):
        assert question.mark(question.right_answers(readings), readings).outcome == "right"
    assert question.right_answers(SENTENCES) != question.right_answers(other)


# ---- Prediction ------------------------------------------------------------------------------------------------------

DIRECTIONS = ("rises", "falls", "about the same")
CLOGGED = Comparison(
    {
        "liquid_glass": Row("glass 3: shows", "liquid", "bubbles", "bubbles", STATES),
        "liquid_pipe": Row("glass 3: pipe", "33.5 degC", "26.0 degC", "falls", DIRECTIONS),
    }
)
DRIER = Prediction({"glass_3": "liquid_glass", "pipe": "liquid_pipe"}, title="A drier clogs")


def test_a_prediction_is_recorded_beside_what_happened() -> None:
    words = {"before_glass_3": "liquid", "before_pipe": "Falls", "after_glass_3": "bubbles", "after_pipe": "rises"}
    marked = DRIER.mark(words, CLOGGED)
    assert (marked.outcome, marked.points, marked.max_points) == ("recorded", 0.0, 0.0)
    assert marked.detail == {
        "before": {"glass 3": "liquid", "pipe": "falls"},
        "after": {"glass 3": "bubbles", "pipe": "rises"},
        "truth": {"glass 3": "bubbles", "pipe": "falls"},
    }
    assert marked.sentence == "Recorded. After measuring, 1 of your 2 words agree with the table."


def test_a_prediction_without_the_measurement() -> None:
    marked = DRIER.mark({"before_glass_3": "liquid"}, CLOGGED)
    assert marked.outcome == "recorded"
    assert marked.sentence == "Recorded. What you saw after measuring is missing."
    assert DRIER.mark({}, CLOGGED).outcome == "not answered"


def test_a_prediction_in_other_words_is_told_which_words_there_are() -> None:
    assert '"vapour" or "bubbles" or "liquid"' in DRIER.mark({"before_glass_3": "foam"}, CLOGGED).sentence
    assert DRIER.mark({"before_glass_3": "foam"}, CLOGGED).outcome == "form"
    assert DRIER.right_answers(CLOGGED)["after_pipe"] == "falls"
    assert DRIER.slip_answers(CLOGGED) == {}
