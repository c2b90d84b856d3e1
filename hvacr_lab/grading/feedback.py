"""The page a student gets back: what counted and why, question by question, then the notebook as it was handed in.

Everything of the student is text here: Markdown without HTML, code and printed output escaped, pictures only as PNG.
"""

from __future__ import annotations

import base64
import binascii
import functools
import re
from collections.abc import Callable, Collection, Iterator, Mapping
from typing import Any, Final

from hvacr_lab.grading.class_statistics import words_said
from hvacr_lab.grading.markup import Html, bullets, element, facts, joined, readable, table
from hvacr_lab.grading.page_style import page
from hvacr_lab.grading.records import QuestionResult, SubmissionResult
from hvacr_lab.grading.wording import OUTCOME_WORDS, counted_points, moment_text, points_text, question_numbers

LONGEST_TEXT: Final = 20_000  # characters of one cell or output; longer ones are cut with a note
_PNG: Final = b"\x89PNG\r\n\x1a\n"
_LINKS: Final = ("http://", "https://", "mailto:")
_HIDDEN_TESTS: Final = re.compile(
    r"^[^\n]*BEGIN HIDDEN TESTS.*?(^[^\n]*END HIDDEN TESTS[^\n]*\n?|\Z)", re.DOTALL | re.MULTILINE
)
# lessons fold text away and hold remarks for their makers; on this page folds lie open and remarks are left out
_FOLD: Final = re.compile(r"</?(?:details|summary)\b[^<>]*>|<!--[^<>]*-->")
_STATES: Final[Mapping[str, str]] = {
    "stopped": "Your notebook was stopped while it ran. What came before the stop counts.",
    "unreadable": "Your notebook could not be read, so nothing in it could be marked. Talk to your instructor.",
}


def feedback_page(
    result: SubmissionResult,
    notebook: Mapping[str, Any],
    *,
    lesson_title: str,
    student_name: str,
    after_due_date: bool,
) -> str:
    """One student's feedback as one self-contained page.

    Parameters
    ----------
    result : SubmissionResult; points and comments given by hand are already in its questions
    notebook : mapping, the graded notebook in nbformat 4; may be empty when the file could not be read
    lesson_title : str
    student_name : str
    after_due_date : bool, True shows the worked way to every answer

    Returns
    -------
    str, HTML
    """
    graded = {question.grade_id: question for question in result.questions if question.max_points > 0}
    predictions = [
        question for question in result.questions if question.outcome == "recorded" or question.max_points <= 0
    ]
    cells = joined(_cells(notebook), "\n")
    return page(
        f"Feedback: {lesson_title}",
        element("h1", f"Feedback: {lesson_title}"),
        element("p", element("strong", student_name), class_="lead"),
        _handed_in(result),
        _what_happened_to_the_file(result),
        element("h2", "Your answers") if graded else "",
        _worked_way_line(graded.values(), after_due_date),
        *(_question(number, graded[name], after_due_date) for name, number in question_numbers(list(graded)).items()),
        _predictions(predictions, after_due_date),
        element("h2", "Your notebook") if cells else "",
        cells,
    )


def _handed_in(result: SubmissionResult) -> Html:
    waiting = [question for question in result.questions if question.points is None]
    rows: list[tuple[str, object]] = [("Handed in", moment_text(result.submitted_at) or "not known when")]
    if result.max_score > 0:
        so_far = " so far" if waiting else ""
        rows.append(("Points", f"{points_text(result.score)} of {points_text(result.max_score)}{so_far}"))
    if waiting:
        open_points = sum(question.max_points for question in waiting)
        titles = ", ".join(question.title for question in waiting)
        rows.append(("Still open", f"{points_text(open_points)} for: {titles}. Your instructor reads and marks this."))
    return facts(rows)


def _what_happened_to_the_file(result: SubmissionResult) -> Html:
    state = _STATES.get(result.status)
    sentences = [*([state] if state else []), *result.reasons]
    if not sentences:
        return Html("")
    return element("div", element("h2", "About your file"), bullets(sentences), class_="file")


def _worked_way_line(graded: Collection[QuestionResult], after_due_date: bool) -> Html:
    if not graded or after_due_date:
        return Html("")
    return element("p", "After the due date this page also shows the worked way with your own numbers.")


def _question(number: int, question: QuestionResult, after_due_date: bool) -> Html:
    kind = "div" if question.outcome == "by hand" else "code"
    given = element(kind, question.given, class_="given")
    rows: list[tuple[str, object]] = [("Your answer", given)] if question.given else []
    if question.sentence.rstrip(".").casefold() not in {"", OUTCOME_WORDS.get(question.outcome)}:
        name = "Your instructor says" if question.outcome == "by hand" else "What happened"
        rows.append((name, _paragraphs(question.sentence)))
    if after_due_date and question.worked:
        rows.append(("The worked way", _paragraphs(question.worked)))
    heading = element("h3", f"{number}. {question.title} ", element("small", f"({_verdict(question)})"))
    full = question.points is not None and question.points >= question.max_points
    return element("section", heading, facts(rows) if rows else "", class_="question" if full else "question todo")


def _verdict(question: QuestionResult) -> str:
    words = OUTCOME_WORDS.get(question.outcome, question.outcome)
    if question.points is None:
        return f"waits for your instructor, up to {counted_points(question.max_points)}"
    if question.detail.get("points_by_hand") and question.outcome != "by hand":
        words = f"{words}, points by your instructor"
    return f"{words}, {points_text(question.points)} of {counted_points(question.max_points)}"


def _paragraphs(text: str) -> Html:
    return joined(element("div", line) for line in text.splitlines() if line.strip())


def _predictions(predictions: list[QuestionResult], after_due_date: bool) -> Html:
    if not predictions:
        return Html("")
    return joined(
        (
            element("h2", "Your predictions"),
            element("p", "There is no mark for being right; what counts is that you decided before you looked."),
            *(_prediction(question, after_due_date) for question in predictions),
        )
    )


def _prediction(question: QuestionResult, after_due_date: bool) -> Html:
    """What was seen is told to those who have looked, and to everybody after the due date."""
    before, after, seen = (words_said(question, when) for when in ("before", "after", "truth"))
    rows = [
        (
            quantity,
            before.get(quantity) or "–",
            said or "–",
            truth if said or after_due_date else "shown once you have said what you saw",
        )
        for quantity, truth in seen.items()
        for said in (after.get(quantity, ""),)
    ]
    if not rows:
        return element("p", element("strong", f"{question.title}: "), question.sentence)
    head = ("Quantity", "You said before", "You said after", "What is seen")
    return joined((table(question.title, head, rows), element("p", question.sentence)))


def _cells(notebook: Mapping[str, Any]) -> Iterator[Html]:
    cells = notebook.get("cells")
    for cell in cells if isinstance(cells, list) else ():
        if isinstance(cell, Mapping):
            show = _CELL_KINDS.get(str(cell.get("cell_type")), _raw_cell)
            yield element("div", show(cell), class_="cell")


def _text(value: object) -> str:
    """Text as nbformat stores it: one string or a list of lines; cut where it is too long for a page."""
    if isinstance(value, list):
        value = "".join(part for part in value if isinstance(part, str))
    if not isinstance(value, str):
        return ""
    return value if len(value) <= LONGEST_TEXT else f"{value[:LONGEST_TEXT]}\n... (cut here)"


def _markdown_cell(cell: Mapping[str, Any]) -> Html:
    return _markdown(_text(cell.get("source")))


def _code_cell(cell: Mapping[str, Any]) -> Html:
    source = _HIDDEN_TESTS.sub("", _text(cell.get("source"))).rstrip()
    outputs = cell.get("outputs")
    shown = [_output(output) for output in outputs if isinstance(output, Mapping)] if isinstance(outputs, list) else []
    code = element("pre", element("code", source)) if source else Html("")
    answer = element("p", "your answer", class_="tag") if _is_answer(cell) else Html("")
    return joined((answer, code, *shown))


def _raw_cell(cell: Mapping[str, Any]) -> Html:
    return element("pre", _text(cell.get("source")))


_CELL_KINDS: Final[Mapping[str, Callable[[Mapping[str, Any]], Html]]] = {
    "markdown": _markdown_cell,
    "code": _code_cell,
}


def _is_answer(cell: Mapping[str, Any]) -> bool:
    metadata = cell.get("metadata")
    flags = metadata.get("nbgrader") if isinstance(metadata, Mapping) else None
    return isinstance(flags, Mapping) and flags.get("solution") is True


def _output(output: Mapping[str, Any]) -> Html:
    """A picture where there is one, else its text; HTML and SVG of a student never reach the page."""
    data = output.get("data")
    if isinstance(data, Mapping):
        return _png(data) or _shown(_text(data.get("text/plain")))
    if output.get("output_type") == "error":
        return _shown(f"{_text(output.get('ename'))}: {_text(output.get('evalue'))}")
    return _shown(_text(output.get("text")))


def _shown(text: str) -> Html:
    return element("pre", text.rstrip(), class_="shown") if text.strip() else Html("")


def _png(data: Mapping[str, Any]) -> Html:
    coded = data.get("image/png")
    coded = "".join(coded) if isinstance(coded, list) and all(isinstance(part, str) for part in coded) else coded
    if not isinstance(coded, str):
        return Html("")
    try:
        picture = base64.b64decode("".join(coded.split()), validate=True)
    except (binascii.Error, ValueError):
        return Html("")
    if not picture.startswith(_PNG):
        return Html("")
    alt = _text(data.get("text/plain")).strip() or "picture"
    return element("img", src=f"data:image/png;base64,{base64.b64encode(picture).decode('ascii')}", alt=alt[:200])


def _markdown(text: str) -> Html:
    return Html(_renderer()(readable(_FOLD.sub("", text))))


@functools.cache
def _renderer() -> Callable[[str], str]:
    """Markdown to HTML with everything that could fetch, run or imitate the page taken out.

    mistune is imported here, so that a command that writes no feedback does not pay for it.
    """
    import mistune

    class Harmless(mistune.HTMLRenderer):
        """Headings below those of the page, links only to the web and to mail, no pictures from outside."""

        def heading(self, text: str, level: int, **_: Any) -> str:
            return f"<h{min(6, level + 2)}>{text}</h{min(6, level + 2)}>\n"

        def link(self, text: str, url: str, title: str | None = None) -> str:
            inside = Html(text)
            return element("a", inside, href=url, rel="noreferrer") if url.lower().startswith(_LINKS) else inside

        def image(self, text: str, url: str, title: str | None = None) -> str:
            return element("em", "(picture: ", Html(text) or "no description", ")")

        def codespan(self, text: str) -> str:
            return element("code", text)

        def block_code(self, code: str, info: str | None = None) -> str:
            return element("pre", element("code", code.rstrip()))

    markdown = mistune.create_markdown(escape=True, renderer=Harmless(escape=True), plugins=["table"])
    return lambda text: str(markdown(text))
