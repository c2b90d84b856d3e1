"""Charts of the class report: the bars are as long as the numbers say, and the numbers stand beside them."""

from __future__ import annotations

import functools
import itertools
import re
import subprocess
import sys

import matplotlib
import picture_boxes as boxes
import pytest

from hvacr_lab.draw import style
from hvacr_lab.draw.charts import bar_chart, before_after_chart, histogram
from hvacr_lab.errors import NotUsable, OutOfRange

# invented numbers of an invented class
SLIPS = (("gauge reading used as it stood", 9), ("barometer of the sea level at a high school", 4), ("sign", 0))
POINTS = (0.0, 1.9, 2.0, 7.5, 20.0, 20.0)
PREDICTIONS = (("Superheat when the condenser fan slows down", 0.25, 0.75), ("Head pressure & co.", 0.0, 1.0))
CHARTS = {
    "bars": lambda: bar_chart(SLIPS, title="Slips", x_label="students"),
    "bars with a maximum": lambda: bar_chart([("Question 1", 0.5)], title="Points", x_label="share", maximum=1.0),
    "narrow": lambda: bar_chart(
        SLIPS, title="A title that is much too long for one line of this", x_label="n", width_px=480
    ),
    "histogram": lambda: histogram(POINTS, title="Points", x_label="points of 20", maximum=20),
    "before and after": lambda: before_after_chart(PREDICTIONS, title="Predictions"),
    "empty": lambda: bar_chart([], title="Slips", x_label="students"),
}


@functools.cache
def drawn(name: str) -> str:
    return CHARTS[name]()


def bars(svg: str) -> list[tuple[float, float, str]]:
    """Width, height and fill of every bar, in the order of drawing."""
    found = []
    for path in boxes.root(svg).iter(f"{boxes.SVG}path"):
        fill = re.search(r"fill: ([^;]+)", path.get("style", ""))
        if fill and (fill.group(1) == style.DATA.lower() or fill.group(1).startswith("url")):
            numbers = [float(n) for n in re.findall(r"-?[\d.]+", path.get("d", ""))]
            xs, ys = numbers[0::2], numbers[1::2]
            found.append((max(xs) - min(xs), max(ys) - min(ys), fill.group(1)))
    return found


@pytest.fixture(params=CHARTS)
def chart(request: pytest.FixtureRequest) -> str:
    return drawn(request.param)


def test_bars_are_as_long_as_their_numbers() -> None:
    (nine, *_), (four, *_), (none, *_) = bars(drawn("bars"))
    assert nine / four == pytest.approx(9 / 4, rel=0.01)
    assert none == 0


def test_maximum_sets_the_end_of_the_axis() -> None:
    half = bars(drawn("bars with a maximum"))[0][0]
    full = bars(bar_chart([("Question 1", 1.0)], title="Points", x_label="share", maximum=1.0))[0][0]
    assert half / full == pytest.approx(0.5, rel=0.01)


def test_every_bar_carries_its_number_and_its_name() -> None:
    shown = " ".join(boxes.words(drawn("bars")))
    assert "gauge reading used as it stood" in shown
    assert {"9", "4", "0"} <= set(boxes.words(drawn("bars")))


def test_rows_are_drawn_from_the_top() -> None:
    places = {box.what: box.top for box in boxes.text_boxes(drawn("bars"))}
    assert places["gauge reading used as it stood"] < places["sign"]


def test_histogram_counts_every_value_once_and_the_maximum_in_the_last_step() -> None:
    # steps of 2 points: 0 and 1.9 in the first, 2.0 in the second, 7.5 in the fourth, both 20 in the last
    heights = [height for _, height, _ in bars(drawn("histogram"))]
    counts = [round(height / max(heights) * 2) for height in heights]
    assert counts == [2, 1, 0, 1, 0, 0, 0, 0, 0, 2]


def test_before_is_hatched_and_after_is_full() -> None:
    before, after = bars(drawn("before and after"))[:2], bars(drawn("before and after"))[2:]
    assert all(fill.startswith("url(#") for _, _, fill in before)
    assert all(fill == style.DATA.lower() for _, _, fill in after)
    assert before[0][0] / after[1][0] == pytest.approx(0.25, rel=0.01)
    assert {"before 25 %", "after 75 %", "before 0 %", "after 100 %"} <= set(boxes.words(drawn("before and after")))


def test_screen_reader_hears_every_value() -> None:
    heard = boxes.root(drawn("before and after")).findtext(f"{boxes.SVG}desc")
    assert heard == (
        "Superheat when the condenser fan slows down: before 25 %, after 75 %; "
        "Head pressure & co.: before 0 %, after 100 %."
    )


def test_a_class_without_values_gets_a_chart_that_says_so() -> None:
    assert "no values" in boxes.words(drawn("empty"))
    assert "no values" in (boxes.root(drawn("empty")).findtext(f"{boxes.SVG}desc") or "")
    assert boxes.words(histogram([], title="Points", x_label="points", maximum=20))
    assert boxes.words(before_after_chart([], title="Predictions"))


def test_a_dollar_sign_is_a_dollar_sign() -> None:
    assert "cost in $ and $" in boxes.words(bar_chart([("cost in $ and $", 1)], title="t", x_label="n"))


def test_text_is_large_enough_and_inside(chart: str) -> None:
    width, height = boxes.size(chart)
    for text in boxes.text_boxes(chart):
        assert text.size_px >= 14, text
        assert text.inside(width, height), text


def test_no_text_lies_on_another(chart: str) -> None:
    for one, other in itertools.combinations(boxes.text_boxes(chart), 2):
        assert not one.hits(other, gap_x=1, gap_y=-1), (one, other)


def test_small_and_safe_in_any_page(chart: str) -> None:
    assert len(chart) < 16_000
    assert "<style" not in chart and "<metadata" not in chart and "<!--" not in chart


def test_charts_in_one_page_do_not_clash() -> None:
    """The same id in two charts must stand for the same thing."""
    known: dict[str, str] = {}
    for svg in map(drawn, CHARTS):
        for element in boxes.root(svg).iter():
            if name := element.get("id"):
                text = repr([(inner.tag, sorted(inner.items())) for inner in element.iter()])
                assert known.setdefault(name, text) == text


def test_same_bytes_whatever_the_reader_has_set() -> None:
    with matplotlib.rc_context({"font.size": 30, "svg.fonttype": "path", "axes.grid": True}):
        again = bar_chart(SLIPS, title="Slips", x_label="students")
    assert again == drawn("bars")


def test_leaves_no_trace_in_matplotlib() -> None:
    before = dict(matplotlib.rcParams)
    histogram(POINTS, title="Points", x_label="points", maximum=20)
    assert dict(matplotlib.rcParams) == before


def test_needs_no_display_and_no_pyplot() -> None:
    code = (
        "import sys; from hvacr_lab.draw import charts; assert 'matplotlib' not in sys.modules\n"
        "charts.bar_chart([('a', 1)], title='t', x_label='n'); assert 'matplotlib.pyplot' not in sys.modules"
    )
    ended = subprocess.run([sys.executable, "-W", "error", "-c", code], capture_output=True, text=True, check=False)
    assert (ended.returncode, ended.stderr) == (0, "")


@pytest.mark.parametrize("value", [float("nan"), float("inf"), "3", True, None])
def test_refuses_what_is_no_number(value: object) -> None:
    with pytest.raises(NotUsable, match="sign"):
        bar_chart([("sign", value)], title="t", x_label="n")  # type: ignore[list-item]


@pytest.mark.parametrize("value", [-0.1, 20.5])
def test_refuses_what_lies_off_the_axis(value: float) -> None:
    with pytest.raises(OutOfRange):
        histogram([value], title="t", x_label="n", maximum=20)
