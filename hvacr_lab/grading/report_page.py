"""The class report as one page of HTML: sentences first, then each chart with its table beside it."""

from __future__ import annotations

import base64
from collections.abc import Iterable, Sequence
from typing import Final

from hvacr_lab.draw.charts import bar_chart, before_after_chart, histogram
from hvacr_lab.grading.class_statistics import ENOUGH_FOR_DISCRIMINATION, share
from hvacr_lab.grading.markup import Html, bullets, element, facts, joined, readable, table
from hvacr_lab.grading.page_style import page
from hvacr_lab.grading.records import QuestionResult
from hvacr_lab.grading.report_data import (
    ClassReport,
    PredictionFigures,
    QuestionFigures,
    SheetLine,
    SlipFigures,
    TeachAgain,
)
from hvacr_lab.grading.teach_again import question_list
from hvacr_lab.grading.wording import OUTCOME_WORDS, counted, counted_points, moment_text, percent_text, points_text

_STATE_WORDS: Final = {
    "graded": "graded",
    "blank": "blank",
    "stopped": "stopped while running; what came before counts",
    "unreadable": "could not be read",
    "not handed in": "not handed in",
}
_TROUBLE_WORDS: Final = {"blank": "Blank", "stopped": "Stopped while running", "unreadable": "Could not be read"}
# a second line in a cell of the big table, so that no meaning rests on the number alone
_SHORT_OUTCOMES: Final = {
    "right": "",
    "close": "near",
    "slip": "slip",
    "partly": "partly",
    "unknown": "not known",
    "form": "form",
    "not answered": "no answer",
    "by hand": "",
}
# bounds in common use for classroom tests (from memory)
_DIFFICULTY_WORDS: Final = ((0.85, "easy"), (0.5, "medium"), (0.0, "hard"))
_DISCRIMINATION_WORDS: Final = ((0.4, "good"), (0.2, "fair"), (0.0, "weak"), (-1.0, "check the question"))


def report_html(report: ClassReport) -> str:
    """The report as one self-contained page: nothing fetched, no script.

    Parameters
    ----------
    report : ClassReport

    Returns
    -------
    str, HTML
    """
    sections = _sections(report)
    links = bullets(element("a", heading, href=f"#{anchor}") for anchor, heading, _ in sections)
    return page(
        f"Class report: {report.title}",
        element("h1", f"Class report: {report.title}"),
        element("p", report.headline, class_="lead"),
        _at_a_glance(report),
        element("nav", links, aria_label="On this page"),
        *(element("section", element("h2", heading, id=anchor), inside) for anchor, heading, inside in sections),
    )


def _sections(report: ClassReport) -> list[tuple[str, str, Html]]:
    """Anchor, heading and content; before anybody has handed in there is only the class list to show."""
    students = ("students", "All students", _students(report))
    if not report.handed_in:
        return [students]
    return [
        ("again", "Teach again first", _teach_again(report)),
        ("scores", "Scores", _scores(report)),
        ("questions", "Question by question", _questions(report)),
        ("slips", "Slips", _slips(report)),
        ("predictions", "Predictions", _predictions(report)),
        ("look", "Sheets to look at", _sheets_to_look_at(report)),
        students,
        ("reading", "How the figures are made", _how_made()),
    ]


def _at_a_glance(report: ClassReport) -> Html:
    states = [line.state for line in report.lines]
    strangers = [line.name for line in report.lines if not line.on_roster]
    rows = [
        ("Handed in", counted(len(report.handed_in), "sheet")),
        ("Not handed in", _missing_words(report)),
        ("Waiting for you", _waiting_words(report)),
        *((words, str(states.count(state))) for state, words in _TROUBLE_WORDS.items() if state in states),
        *([("Not on the roster", ", ".join(strangers))] if strangers else []),
        *(("About the grading", note) for note in report.notes),
    ]
    return facts(rows)


def _missing_words(report: ClassReport) -> str:
    if not any(line.on_roster for line in report.lines):
        return "the roster is empty"
    missing = report.not_handed_in
    return f"{counted(len(missing), 'student')}: {', '.join(missing)}" if missing else "nobody: all have handed in"


def _waiting_words(report: ClassReport) -> str:
    if not report.waiting:
        return "nothing to mark by hand"
    answers = sum(len(line.waiting) for line in report.waiting)
    return f"{counted(answers, 'answer')} on {counted(len(report.waiting), 'sheet')} to mark by hand"


def _teach_again(report: ClassReport) -> Html:
    if not any(line.tells for line in report.lines):
        return element("p", "No sheet tells yet what to teach again.")
    if not report.teach_again:
        return element("p", "No slip, question or prediction stopped more than a few. Go on with the next lesson.")
    return element("ol", *(_one_idea(idea) for idea in report.teach_again), class_="again")


def _one_idea(idea: TeachAgain) -> Html:
    return element(
        "li",
        element("p", element("strong", idea.heading)),
        element("p", idea.sentence),
        element("p", element("strong", "Ask: "), idea.ask),
        element("p", "Names: ", ", ".join(idea.students), class_="quiet small"),
    )


def _picture(svg: str, says: str) -> Html:
    """The chart as an image: what is inside it can neither style nor script the page."""
    data = base64.b64encode(svg.encode("utf-8")).decode("ascii")
    return element("figure", element("img", src=f"data:image/svg+xml;base64,{data}", alt=says), class_="chart")


def _beside(picture: Html, words: Html) -> Html:
    return element("div", picture, words, class_="pair")


def _scores(report: ClassReport) -> Html:
    if report.median_points is None or report.max_points <= 0:
        return element("p", "There are no scores yet.")
    percents = [100 * share(line.points, report.max_points) for line in report.scored]
    title = "How the points are spread"
    says = "Histogram: " + "; ".join(
        f"{_step_text(low, high)}: {counted(number, 'sheet')}" for low, high, number in report.distribution if number
    )
    chart = histogram(
        [round(value, 6) for value in percents], title=title, x_label="share of the points [%]", maximum=100
    )
    rows = [
        (_step_text(low, high), _points_span(low, high, report.max_points), number)
        for low, high, number in report.distribution
    ]
    return joined(
        (
            element("p", _middle_words(report)),
            _beside(
                _picture(chart, says + "."),
                table(title, ("Share of the points", "Points", "Sheets"), rows, numbers=(2,)),
            ),
            _waiting_list(report),
        )
    )


def _middle_words(report: ClassReport) -> str:
    points = sorted(line.points for line in report.scored)
    return (
        f"Median {points_text(report.median_points or 0.0)} of {points_text(report.max_points)} points; lowest "
        f"{points_text(points[0])}, highest {points_text(points[-1])}, over {counted(len(points), 'sheet')} that could "
        f"be read, blank ones included."
    )


def _step_text(low: float, high: float) -> str:
    return f"{100 * low:.0f} to {100 * high:.0f} %" if high >= 1 else f"{100 * low:.0f} to below {100 * high:.0f} %"


def _points_span(low: float, high: float, max_points: float) -> str:
    return f"{points_text(low * max_points)} to {points_text(high * max_points)}"


def _waiting_list(report: ClassReport) -> Html:
    if not report.waiting:
        return element("p", "Nothing waits for marking by hand.")
    rows = [
        (line.name, question_list(line.waiting), points_text(sum(question.max_points for question in line.waiting)))
        for line in report.waiting
    ]
    return table(
        "Waiting for marking by hand", ("Student", "Where", "Points still open"), rows, numbers=(2,), class_="names"
    )


def _questions(report: ClassReport) -> Html:
    if not any(figures.sheets for figures in report.questions):
        return element("p", "No sheet says anything about the questions yet.")
    marked = [figures for figures in report.questions if figures.share_of_points is not None]
    rows = [(readable(_question_label(figures)), round(100 * (figures.share_of_points or 0.0))) for figures in marked]
    title = "Share of the points that the class got"
    chart = bar_chart(rows, title=title, x_label="share of the points [%]", maximum=100)
    says = "Bar chart: " + "; ".join(f"{label}: {value} %" for label, value in rows) + "."
    head = ("Question", "Share of points", "Discrimination", "What happened", "Most common slips")
    return joined(
        (
            _picture(chart, says),
            table(
                "Each question, and what happened in it",
                head,
                [_question_row(report, figures) for figures in report.questions],
            ),
        )
    )


def _question_label(figures: QuestionFigures) -> str:
    return f"{figures.question.number}. {figures.question.title}"


def _question_row(report: ClassReport, figures: QuestionFigures) -> tuple[object, ...]:
    labels = {slip.slip: slip.label for slip in report.slips}
    outcomes = [f"{number} {OUTCOME_WORDS.get(outcome, outcome)}" for outcome, number in figures.outcomes]
    slips = [f"{number} {labels.get(slip, slip)}" for slip, number in figures.slips[:3]]
    return (
        _question_label(figures),
        _with_word(percent_text(figures.share_of_points), figures.share_of_points, _DIFFICULTY_WORDS),
        _discrimination_cell(figures),
        _lines(outcomes),
        _lines(slips),
    )


def _lines(items: Sequence[str]) -> Html:
    return joined(items or ("–",)) if len(items) < 2 else joined(element("div", item) for item in items)


def _with_word(shown: str, value: float | None, words: Iterable[tuple[float, str]]) -> object:
    if value is None:
        return "not marked yet"
    return joined((shown, element("small", next(word for bound, word in words if value >= bound))))


def _discrimination_cell(figures: QuestionFigures) -> object:
    if figures.discrimination is None:
        return element("span", figures.why_no_discrimination, class_="small")
    return _with_word(f"{figures.discrimination:.2f}", figures.discrimination, _DISCRIMINATION_WORDS)


def _slips(report: ClassReport) -> Html:
    if not report.slips:
        return element("p", "No known slip was found.")
    title = "Students for each slip"
    rows = [(readable(slip.label), len(slip.students)) for slip in report.slips]
    chart = bar_chart(rows, title=title, x_label="students")
    says = "Bar chart: " + "; ".join(f"{label}: {counted(number, 'student')}" for label, number in rows) + "."
    head = ("Slip", "Students", "Answers", "Where", "Who")
    return joined(
        (_picture(chart, says), table("Slips, and who made them", head, map(_slip_row, report.slips), numbers=(1, 2)))
    )


def _slip_row(slip: SlipFigures) -> tuple[object, ...]:
    where = question_list(slip.questions)
    return slip.label, len(slip.students), slip.answers, where, ", ".join(slip.students)


def _predictions(report: ClassReport) -> Html:
    if not report.predictions:
        return element("p", "No predictions were recorded.")
    title = "Right predictions, before and after the change was seen"
    both = [one for one in report.predictions if one.share_before is not None and one.share_after is not None]
    rows = [(readable(one.title), one.share_before or 0.0, one.share_after or 0.0) for one in both]
    says = "Bar chart: " + "; ".join(
        f"{label}: {percent_text(before)} right before, {percent_text(after)} after" for label, before, after in rows
    )
    chart = _picture(before_after_chart(rows, title=title), says + ".") if rows else Html("")
    head = (
        "Prediction",
        "What is seen",
        "Said before",
        "Right before",
        "Said after",
        "Right after",
        "Changed to right",
        "Changed to wrong",
    )
    return joined(
        (
            chart,
            table(
                "Each prediction, and who changed",
                head,
                map(_prediction_row, report.predictions),
                numbers=(2, 3, 4, 5, 6, 7),
            ),
        ),
    )


def _prediction_row(one: PredictionFigures) -> tuple[object, ...]:
    return (
        one.title,
        one.seen or "–",
        one.predicted,
        _count_and_share(one.right_before, one.share_before),
        one.answered_after,
        _count_and_share(one.right_after, one.share_after),
        one.changed_to_right,
        one.changed_away,
    )


def _count_and_share(number: int, share_of_those: float | None) -> Html:
    return joined((number, element("small", percent_text(share_of_those))))


def _sheets_to_look_at(report: ClassReport) -> Html:
    lines = [line for line in report.handed_in if line.state != "graded" or line.reasons or line.suspicions]
    if not lines:
        return element("p", "No sheet is blank, stopped, unreadable or suspicious.")
    rows = [
        (line.name, _STATE_WORDS.get(line.state, line.state), _lines(line.reasons), _lines(line.suspicions))
        for line in lines
    ]
    return joined(
        (
            element("p", "A suspicion is a reason to look and to ask, not a finding."),
            table(
                "Blank, stopped, unreadable and suspicious sheets",
                ("Student", "State", "What happened to the file", "Suspicion"),
                rows,
                class_="names",
            ),
        )
    )


def _students(report: ClassReport) -> Html:
    if not report.lines:
        return element("p", "There is nobody on the roster.")
    questions = [figures.question for figures in report.questions]
    asked = [
        joined((question.number, element("small", f"(of {points_text(question.max_points)})")))
        for question in questions
    ]
    rows = [_student_row(line) for line in report.lines]
    whole = table(
        "Points of each student", ("Name", "Points", *asked, "Handed in"), rows, numbers=(1,), class_="students"
    )
    key = (
        f"{counted_points(report.max_points)} can be had. The numbered columns are the questions; a word below the "
        "points says why some are missing."
    )
    return joined((element("p", key) if asked else "", whole))


def _student_row(line: SheetLine) -> tuple[object, ...]:
    name = ", ".join(part for part in (line.student.last_name, line.student.first_name) if part)
    waits = element("small", "so far") if line.waiting else ""
    state = "" if line.state == "graded" else element("small", line.state)
    return (
        name or line.student.id,
        joined((points_text(line.points), waits)) if line.handed_in else "–",
        *(_answer_cell(answer) for answer in line.answers),
        joined((moment_text(line.submitted_at, short=True), state)),
    )


def _answer_cell(answer: QuestionResult | None) -> object:
    if answer is None:
        return "–"
    points = "waits" if answer.points is None else points_text(answer.points)
    how = _SHORT_OUTCOMES.get(answer.outcome, answer.outcome)
    return joined((points, element("small", how) if how else ""))


def _how_made() -> Html:
    return bullets(
        (
            "Blank and unreadable sheets are left out of the figures for questions and slips; they tell nothing about "
            "a question. They are in the list of sheets to look at.",
            "Share of points: points given for the question over points that could be had (from 0.85 on easy, from 0.5 "
            "on medium, below hard).",
            "Discrimination: correlation (Pearson's r) between the points of this question and the points in all "
            "other questions. Near 1: those who know the rest know this too. Near 0: the question tells little about "
            "what was learnt. Below 0: those who know the rest got it wrong; check the question itself. It is given "
            f"from {ENOUGH_FOR_DISCRIMINATION} sheets on, and even then it is a hint, not a verdict.",
            "An answer counts as a slip when it fits a known wrong way with this student's own numbers.",
            "The table of points is also in the CSV file beside this page.",
        )
    )
