"""The page a student gets back: says what counted and why, holds no key before the due date, and nothing in it acts.

Lesson, answers and names are invented (own values).
"""

from __future__ import annotations

import base64
import dataclasses
import re
from html.parser import HTMLParser
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hvacr_lab.grading.feedback import LONGEST_TEXT, feedback_page
from hvacr_lab.grading.records import QuestionResult, SubmissionResult

PNG = base64.b64encode(b"\x89PNG\r\n\x1a\n" + bytes(16)).decode()
SUPERHEAT = QuestionResult(
    "q3-superheat",
    "Superheat at the evaporator outlet",
    0.5,
    2.0,
    "slip",
    slip="gauge-as-absolute",
    sentence="It looks as if the gauge reading went into the table as it stood. Add the barometer first.",
    worked="1. Absolute: 1.10 bar + 0.962 bar = 2.062 bar.\n2. It boils at -9.4 degC.\n3. 0.4 - (-9.4) = 9.8 K.",
    given="25.3",
)
SUBCOOLING = QuestionResult("q5-subcooling", "Subcooling in the liquid line", 2.0, 2.0, "right", sentence="Right.")
ORDER = QuestionResult("q8-order", "Order of the steps", 0.0, 2.0, "not answered", sentence="Not answered.")
EXPLAIN = QuestionResult("q9-explain", "Why the pipe is warmer", None, 4.0, "by hand")
FAN = QuestionResult(
    "p1-fan",
    "Condenser fan at half speed",
    0.0,
    0.0,
    "recorded",
    sentence="Recorded. After measuring, 1 of your 2 words agree with the table.",
    detail={
        "before": {"head_pressure": "falls", "superheat": "rises"},
        "after": {"head_pressure": "rises", "superheat": ""},
        "truth": {"head_pressure": "rises", "superheat": "about the same"},
    },
)
RESULT = SubmissionResult(
    "s03",
    "02-refrigerant-states",
    "graded",
    reasons=("The check of question 3 had been edited; it was put back.",),
    suspicions=("Three answers fit the numbers of Lene Bergum.",),
    questions=(FAN, SUPERHEAT, SUBCOOLING, ORDER, EXPLAIN),
    submitted_at="2031-03-07T14:05:00",
)


def markdown(source: object, **more: object) -> dict[str, Any]:
    return {"cell_type": "markdown", "metadata": {}, "source": source, **more}


def code(source: object, *outputs: dict[str, Any], **nbgrader: object) -> dict[str, Any]:
    return {"cell_type": "code", "metadata": {"nbgrader": nbgrader}, "source": source, "outputs": list(outputs)}


def shown(**data: object) -> dict[str, Any]:
    kinds = {"plain": "text/plain", "html": "text/html", "svg": "image/svg+xml", "png": "image/png"}
    return {"output_type": "display_data", "metadata": {}, "data": {kinds[kind]: value for kind, value in data.items()}}


NOTEBOOK = {
    "cells": [
        markdown("# States of the refrigerant\n\nWatch the **glass** in the suction pipe: `vapour` or bubbles?"),
        code(
            "q3 = sheet.readings('q3', refrigerator)\nq3",
            shown(plain="Low-side gauge    1.10 bar(g)\nSuction pipe      0.4 degC"),
        ),
        code("superheat_k = 25.3  # K", solution=True, grade_id="q3-superheat-answer"),
        code(["check_form(globals(), 'superheat_k', unit='K')\n"], shown(plain="superheat_k is a number: 25.3 K")),
        markdown("My reason:\n\n- the last drop has boiled away\n- so the pipe gets warmer"),
    ]
}


def page(result: SubmissionResult = RESULT, notebook: dict[str, Any] = NOTEBOOK, *, late: bool = False) -> str:
    return feedback_page(
        result, notebook, lesson_title="States of the refrigerant", student_name="Ines Calder", after_due_date=late
    )


class Reader(HTMLParser):
    """The page as a reader has it: text in order, elements with their attributes, each opened and closed in turn."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in {"br", "hr", "img", "meta"}:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.words.append(data)


def read(html: str) -> Reader:
    """Read a page and insist that it is whole, fetches nothing and runs nothing."""
    html.encode("utf-8")
    reader = Reader()
    reader.feed(html)
    reader.close()
    assert reader.open == []
    assert [tag for tag, _ in reader.elements].count("h1") == 1
    for tag, attributes in reader.elements:
        assert tag not in {"script", "iframe", "object", "embed", "link", "base", "form", "svg", "input", "details"}
        assert not [name for name in attributes if name.startswith("on")]
        assert str(attributes.get("src", "data:image/png;base64,")).startswith("data:image/png;base64,")
        assert str(attributes.get("href", "https://")).startswith(("https://", "http://", "mailto:"))
    policy = [attributes["content"] for _, attributes in reader.elements if "http-equiv" in attributes]
    assert policy[0] is not None
    assert policy[0].startswith("default-src 'none'; img-src data:; style-src 'unsafe-inline'")
    return reader


def words(html: str) -> str:
    return re.sub(r"\s+", " ", " ".join(read(html).words))


def with_cells(*cells: object) -> str:
    return page(notebook={"cells": list(cells)})


# --- what the student reads ------------------------------------------------------------------------------------------


def test_it_says_when_and_how_many_points_and_what_is_still_open() -> None:
    text = words(page())
    assert "Handed in 7 March 2031, 14:05" in text
    assert "Points 2.5 of 10 so far" in text
    assert "Still open 4 for: Why the pipe is warmer." in text


def test_each_answer_has_its_result_in_words_and_its_sentence() -> None:
    text = words(page())
    assert "3. Superheat at the evaporator outlet (known slip, 0.5 of 2 points) Your answer 25.3" in text
    assert "What happened It looks as if the gauge reading went into the table as it stood." in text
    assert "5. Subcooling in the liquid line (right, 2 of 2 points)" in text
    assert "8. Order of the steps (not answered, 0 of 2 points)" in text
    assert "9. Why the pipe is warmer (waits for your instructor, up to 4 points)" in text


def test_what_was_put_back_is_for_the_student_and_a_suspicion_is_not() -> None:
    text = words(page())
    assert "The check of question 3 had been edited; it was put back." in text
    assert "Bergum" not in text


def test_the_worked_way_comes_after_the_due_date_and_before_it_the_page_says_so() -> None:
    early, late = words(page()), words(page(late=True))
    announced = "After the due date this page also shows the worked way with your own numbers."
    assert announced in early
    assert announced not in late
    assert "9.8 K" not in early
    assert "The worked way 1. Absolute: 1.10 bar + 0.962 bar = 2.062 bar." in late
    assert "9.8 K" in late


def test_a_prediction_is_told_to_those_who_have_looked() -> None:
    early, late = words(page()), words(page(late=True))
    assert "head pressure falls rises rises" in early
    assert "superheat rises – shown once you have said what you saw" in early
    assert "superheat rises – about the same" in late


def test_a_prediction_that_was_never_made_is_said_in_one_line() -> None:
    nothing = QuestionResult("p1", "Condenser fan", 0.0, 0.0, "not answered", sentence="Not answered.")
    assert "Condenser fan: Not answered." in words(page(dataclasses.replace(RESULT, questions=(nothing,))))


def test_marks_and_words_of_the_instructor_stand_with_the_question() -> None:
    marked = dataclasses.replace(EXPLAIN, points=3.0, sentence="Good order.", given="The last drop\nis gone.")
    lifted = dataclasses.replace(SUPERHEAT, points=1.5, detail={"points_by_hand": True})
    html = page(dataclasses.replace(RESULT, questions=(lifted, marked)))
    text = words(html)
    assert "Points 4.5 of 6 Your" in text.replace("About your file", "Your")
    assert "(known slip, points by your instructor, 1.5 of 2 points)" in text
    assert "(marked by hand, 3 of 4 points)" in text
    assert "Your instructor says Good order." in text
    assert "The last drop\nis gone." in html


@pytest.mark.parametrize(
    ("status", "sentence"),
    [
        ("stopped", "Your notebook was stopped while it ran. What came before the stop counts."),
        ("unreadable", "Your notebook could not be read, so nothing in it could be marked."),
    ],
)
def test_a_sheet_in_trouble_is_told_so(status: str, sentence: str) -> None:
    result = dataclasses.replace(RESULT, status=status, questions=(), reasons=("It ran for more than 60 s.",))
    text = words(page(result, {}))
    assert sentence in text
    assert "It ran for more than 60 s." in text
    assert "Your notebook " in text
    assert "Your answers" not in text


def test_the_voice_keeps_quiet() -> None:
    text = words(page(late=True))
    assert "!" not in text
    assert "Incorrect" not in text


# --- the notebook as it was handed in --------------------------------------------------------------------------------


def test_markdown_code_and_output_are_shown() -> None:
    text = words(page())
    for shown_text in ("Watch the glass in the suction pipe", "superheat_k = 25.3 # K", "Low-side gauge 1.10 bar(g)"):
        assert shown_text in text
    assert "your answer superheat_k" in text
    assert ("h3", {}) in read(page()).elements  # "# States of the refrigerant" stands below the headings of the page


def test_a_png_is_shown_with_its_text_and_everything_else_as_text() -> None:
    html = with_cells(code("plot()", shown(plain="<Figure>", png=PNG, html="<b>rich</b>", svg="<svg onload='x()'/>")))
    [image] = [attributes for tag, attributes in read(html).elements if tag == "img"]
    assert image == {"src": f"data:image/png;base64,{PNG}", "alt": "<Figure>"}
    assert "rich" not in html
    assert "onload" not in html


@pytest.mark.parametrize(
    "data", ["not base64 at all", base64.b64encode(b"<svg/>").decode(), 7, None, ["a", 7], "\u00e9"]
)
def test_what_is_no_png_is_no_picture(data: object) -> None:
    html = with_cells(code("plot()", shown(png=data, plain="a figure")))
    assert not [tag for tag, _ in read(html).elements if tag == "img"]
    assert "a figure" in html


def test_an_error_is_shown_without_its_traceback() -> None:
    error = {
        "output_type": "error",
        "ename": "ZeroDivisionError",
        "evalue": "division by zero",
        "traceback": ["key = 9.8"],
    }
    html = with_cells(code("1 / 0", error))
    assert "ZeroDivisionError: division by zero" in words(html)
    assert "key = 9.8" not in html


def test_a_hidden_test_that_strayed_into_the_notebook_is_left_out() -> None:
    source = "check_form(globals(), 'x')\n### BEGIN HIDDEN TESTS\n# key-canary: 5f0c19ab\n"
    rest = "Number('x').mark()\n### END HIDDEN TESTS\nlast_line"
    for whole in (source + rest, source + "Number('x').mark()"):
        html = page(notebook={"cells": [code(whole)]}, late=True)
        assert "check_form" in html
        assert "5f0c19ab" not in html
        assert "Number(" not in html
    assert "last_line" in page(notebook={"cells": [code(source + rest)]})


def test_folded_text_of_a_lesson_lies_open() -> None:
    source = "<!-- cards -->\n<details>\n<summary>Our reason</summary>\n\nLess air takes heat away.\n\n</details>"
    html = with_cells(markdown(source))
    assert "Our reason" in words(html)
    assert "Less air takes heat away." in words(html)
    assert "&lt;" not in html


HOSTILE = (
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "<scr<details>ipt>alert(1)</script>",
    "[x](javascript:alert(1))",
    "[x](JaVaScRiPt:alert(1))",
    "[x](data:text/html;base64,PHNjcmlwdD4=)",
    "[x](//example.org/a)",
    "![x](https://example.org/pixel.png)",
    "![x](data:image/svg+xml;base64,PHN2Zz4=)",
    '[x](https://example.org/"onmouseover=alert(1))',
    '[x](https://example.org ""onmouseover=alert(1)")',
    '<https://example.org/"onclick=alert(1)>',
    "| a |\n|---|\n| <script>alert(1)</script> |",
    "```<script>\nalert(1)\n```",
    "<a href='javascript:alert(1)'>x</a>",
    "</main></body></html><h1>another page</h1>",
    "\x00\ud800\u202e",
    "[x]: javascript:alert(1)\n\n[x]",
)


@pytest.mark.parametrize("text", HOSTILE)
def test_nothing_a_student_writes_can_act_on_the_page(text: str) -> None:
    evil = QuestionResult(text, text, 0.0, 2.0, text, slip=text, sentence=text, worked=text, given=text)
    guess = dataclasses.replace(FAN, title=text, detail={when: {text: text} for when in ("before", "after", "truth")})
    stream = {"output_type": "stream", "name": "stdout", "text": text}
    cells = [
        markdown(text),
        code(text, shown(plain=text, html=text, svg=text), stream),
        {"cell_type": text, "source": text},
    ]
    result = SubmissionResult(text, text, "graded", (text,), (text,), (evil, guess), submitted_at=text)
    html = feedback_page(result, {"cells": cells}, lesson_title=text, student_name=text, after_due_date=True)
    reader = read(html)
    assert not [attributes for tag, attributes in reader.elements if tag == "img"]
    assert "javascript:" not in " ".join(str(attributes) for _, attributes in reader.elements).lower()


def test_a_link_to_the_web_stays_a_link_and_tells_nobody_where_it_was() -> None:
    links = [
        attributes
        for tag, attributes in read(with_cells(markdown("[x](https://a.example/?b=1&c=2)"))).elements
        if tag == "a"
    ]
    assert links == [{"href": "https://a.example/?b=1&c=2", "rel": "noreferrer"}]


def test_a_picture_from_outside_is_named_and_not_fetched() -> None:
    html = with_cells(markdown("![the glass](https://example.org/glass.png)"))
    assert "(picture: the glass)" in words(html)
    assert "example.org" not in html


def test_long_text_is_cut_and_says_so() -> None:
    html = with_cells(
        markdown("a" * 10 * LONGEST_TEXT), code("b" * 10 * LONGEST_TEXT), code("x", shown(plain="c" * 10**6))
    )
    assert len(html) < 4 * LONGEST_TEXT
    assert html.count("... (cut here)") == 3


@pytest.mark.parametrize(
    "text", ["[" * 10**5, "*a " * 10**5, "> " * 10**5, "<!--" * 10**5, "<details" * 10**5, "```\n" * 10**5]
)
def test_text_made_to_keep_the_reader_busy_is_read_all_the_same(text: str) -> None:
    read(with_cells(markdown(text), code(text)))


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=10),
    lambda inside: st.lists(inside, max_size=3) | st.dictionaries(st.text(max_size=10), inside, max_size=3),
    max_leaves=6,
)
cells = st.fixed_dictionaries(
    {},
    optional={
        "cell_type": st.sampled_from(["code", "markdown", "raw"]) | json_values,
        "source": st.text() | json_values,
        "metadata": json_values | st.just({"nbgrader": {"solution": True}}),
        "outputs": st.lists(st.fixed_dictionaries({}, optional={"data": json_values, "text": json_values}), max_size=2)
        | json_values,
    },
)


@settings(max_examples=50, deadline=None)
@given(st.fixed_dictionaries({"cells": st.lists(cells | json_values, max_size=4) | json_values}))
def test_any_notebook_makes_a_sound_page(notebook: dict[str, Any]) -> None:
    read(page(notebook=notebook))


def test_the_page_is_the_same_each_time() -> None:
    assert page() == page()
