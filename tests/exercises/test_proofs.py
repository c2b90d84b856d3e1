"""The author's check finds what is wrong with a question and says it in plain words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pytest

from hvacr_lab.exercises.proofs import check_question
from hvacr_lab.exercises.questions import Number, Order, Several, Slip
from hvacr_lab.exercises.sheet import Shown


@dataclass(frozen=True)
class Pipe:
    above_k: float
    units: str = "SI"
    barometer_pa: float = 96_300.0


SHEETS = [Pipe(4.0 + 0.1 * n) for n in range(40)]


def question(*slips: Slip, **more: Any) -> Number:
    expected = more.pop("expected", lambda r: r.above_k)
    return Number("x", title="Superheat", unit="K", points=2, expected=expected, within=0.5, slips=slips, **more)


def problems(*slips: Slip, **more: Any) -> str:
    return str(check_question(question(*slips, **more), SHEETS))


def test_a_sound_question_has_no_problems() -> None:
    check = check_question(question(Slip("sign", lambda r: -r.above_k)), SHEETS)
    assert check.problems == ()
    assert (check.slips["sign"].made, check.slips["sign"].named, check.slips["sign"].taken_for) == (40, 40, {})
    assert str(check) == "Superheat: nothing wrong on 40 sheets"


@pytest.mark.parametrize(
    ("slip", "words"),
    [
        (Slip("wrong-point", lambda r: r.above_k + 0.3), "counts as right on 40 of 40 sheets: draw other"),
        (Slip("wrong-point", lambda r: 5.0), "counts as right on 11 of 40 sheets"),
        (Slip("sign", lambda r: 1 / (r.above_k - r.above_k)), "slip sign can be made on 0 of 40 sheets only"),
        (Slip("sign", lambda r: r.no_such), "a formula stops with AttributeError"),
        (Slip("sign", lambda r: -r.above_k, when=lambda r: r.above_k < 4.5), "can be made on 5 of 40 sheets only"),
        (Slip("sign", lambda r: -r.above_k, sentence="Incorrect!"), 'says "incorrect"'),
    ],
)  # fmt: skip
def test_a_slip_that_does_no_good_is_named(slip: Slip, words: str) -> None:
    assert words in problems(slip)


def test_two_slips_that_cannot_be_told_apart_are_named() -> None:
    found = problems(Slip("sign", lambda r: -r.above_k), Slip("wrong-side", lambda r: -r.above_k))
    assert "slip wrong-side is recognised on 0 of 40 sheets only; else taken for sign 40 times" in found


def test_feedback_that_tells_the_number_is_named() -> None:
    assert "tells the right answer" in problems(Slip("sign", lambda r: -r.above_k), if_right="It is 4.0 K")


def test_a_question_that_nobody_can_answer_is_named() -> None:
    nothing = Several("x", title="True", points=1, expected=lambda r: ())
    sheet = Shown("q", "a.one", "SI", 96_300.0, items={"a": "A.", "b": "B."})
    assert "the right answer  gets 0 of 1 points (1 of 1 sheets)" in str(check_question(nothing, [sheet]))


def test_an_order_is_checked_like_the_others() -> None:
    order = Order("x", title="Order", points=1, expected=("a", "b"), slips=(Slip("sign", lambda r: ("b", "a")),))
    sheet = Shown("q", "a.one", "SI", 96_300.0, items={"b": "B.", "a": "A."})
    assert check_question(order, [sheet]).problems == ()
