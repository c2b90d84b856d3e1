"""What can be read as an answer, and what a student hears when it cannot. Sentences are our own."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hvacr_lab.exercises.form import NotPlain, Unread, check_form, read_letters, read_number, read_word, shown
from hvacr_lab.exercises.form import given as given_answer

STATES = ("vapour", "bubbles", "liquid")


def sentence(read: object) -> str:
    assert isinstance(read, Unread)
    return read.sentence


@pytest.mark.parametrize(("value", "number"), [(8, 8.0), (-8.3, -8.3), (np.float64(8.3), 8.3), (0, 0.0)])
def test_plain_numbers_are_read(value: object, number: float) -> None:
    assert read_number("superheat_k", value) == number


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("8,3", 'it is the text "8,3". Write 8.3 with a point.'),
        ("8,3 K", "Write 8.3 with a point."),
        ("8.3 K", "Write 8.3 without quote marks and without the unit."),
        ("about eight", "Write a number without quote marks."),
        ((8, 3), "holds two numbers, 8 and 3. Write 8.3 with a point, not a comma."),
        ([1, 2, 3], "should be one number, but it holds 3 values."),
        (True, "it is True. Give a plain number."),
        (NotPlain("function", "<function f>"), "it is function <function f>. Give a plain number."),
        (math.nan, "no finite number"),
        (math.inf, "no finite number"),
        (10**400, "no finite number"),
        (8 + 3j, "Give a plain number."),
    ],
)
def test_everything_else_gets_a_sentence(value: object, words: str) -> None:
    read = read_number("superheat_k", value)
    assert isinstance(read, Unread)
    assert read.outcome == "form"
    assert "`superheat_k`" in read.sentence
    assert words in read.sentence


@settings(max_examples=100, deadline=None)
@given(st.one_of(st.text(), st.binary(), st.lists(st.integers()), st.dictionaries(st.text(), st.integers()), st.none()))
def test_whatever_is_written_is_read_or_answered_with_a_short_sentence(value: Any) -> None:
    for read in (
        read_number("x", given_answer({"x": value}, "x")),
        read_word("x", given_answer({"x": value}, "x"), STATES),
        read_letters("x", given_answer({"x": value}, "x"), "abcdef"),
    ):
        if isinstance(read, Unread):
            assert 0 < len(read.sentence) < 200


@pytest.mark.parametrize("value", [..., None, "", "  "])
def test_nothing_written_is_not_answered(value: object) -> None:
    assert read_number("x", given_answer({"x": value}, "x")) == Unread("not answered", "Not answered.")
    assert read_number("x", given_answer({}, "x")) == Unread("not answered", "Not answered.")


@pytest.mark.parametrize("word", ["bubbles", " Bubbles ", '"bubbles"', "BUBBLES."])
def test_a_word_may_be_written_carelessly(word: str) -> None:
    assert read_word("glass_3", word, STATES) == "bubbles"


def test_both_spellings_of_vapour_are_known() -> None:
    assert read_word("glass_1", "vapor", STATES) == "vapour"


def test_a_wrong_word_is_told_the_choice() -> None:
    assert sentence(read_word("glass_3", "foam", STATES)) == (
        '`glass_3` should be "vapour" or "bubbles" or "liquid", but it is the text "foam".'
    )


@pytest.mark.parametrize("value", ["c a d", "cad", "c, a, d", "C-A-D", "c > a > d", ["c", "a", "d"], ("c", "a", "d")])
def test_letters_may_be_written_in_many_ways(value: object) -> None:
    assert read_letters("order", value, "abcdef") == "cad"


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("a z", 'holds "z". The letters go from a to f.'),
        ("a a", 'holds the letter "a" more than once.'),
        ("a b c", '"d" is missing'),
        (7, 'letters between quote marks, like "a b c", but it is 7'),
    ],
)
def test_letters_that_do_not_fit_get_a_sentence(value: object, words: str) -> None:
    assert words in sentence(read_letters("order", value, "abcdef", each_once=True))


def test_the_visible_check_says_nothing_about_right_or_wrong() -> None:
    names = {"a_k": 8.3, "b_k": ..., "c_k": "8,3", "d_k": 1e6}
    assert str(check_form(names, "a_k", "b_k", "c_k", "d_k", unit="K")) == (
        '`c_k` should be a number, but it is the text "8,3". Write 8.3 with a point.\n'
        "a_k = 8.3 K, d_k = 1e+06 K can be read. Whether it is right, your feedback page will say.\n"
        "b_k: not answered yet. Write your answer in place of the three dots."
    )


def test_the_visible_check_names_what_is_missing_only_where_something_is_there() -> None:
    assert str(check_form({}, "a_k", unit="K")).startswith("a_k: not answered yet.")
    assert str(check_form({}, "a", "b", words=STATES)) == (
        "Not answered yet. Write your answer in place of the three dots."
    )


def test_the_visible_check_of_an_order_asks_for_all_letters() -> None:
    assert '"c" is missing' in str(check_form({"order": "a b"}, "order", letters="abc", each_once=True))


def test_the_visible_check_reads_words_and_letters() -> None:
    assert 'glass_1 = "liquid" can be read' in str(check_form({"glass_1": "Liquid"}, "glass_1", words=STATES))
    assert 'order = "ba" can be read' in str(check_form({"order": "b a"}, "order", letters="abc"))


@pytest.mark.parametrize(
    ("value", "text"),
    [("8,3", '"8,3"'), (8.3, "8.3"), (..., ""), (NotPlain("array", "[1 2]"), "[1 2]"), (NotPlain("set", ""), "set")],
)
def test_answers_are_shown_as_they_were_written(value: object, text: str) -> None:
    assert shown(value) == text


def test_long_answers_are_cut() -> None:
    assert len(shown("x" * 10_000)) == 40
    assert shown(10**5000) == "a very long number"
