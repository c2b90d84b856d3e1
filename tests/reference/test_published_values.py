"""The library against figures that others have published. Sources and terms: SOURCES.md in this folder."""

from __future__ import annotations

import pytest

from . import summary
from .checks import FORMULAS, comparisons, why_unused
from .kept_apart import DISAGREES, UNUSED_QUANTITIES, UNUSED_ROWS, UNUSED_TOPICS
from .rows import TABLE, Comparison, published_rows

ROWS = published_rows()
TOPICS = sorted({row.topic for row in ROWS})


def _of(topic: str) -> list[Comparison]:
    return [comparison for comparison in comparisons() if comparison.row.topic == topic]


@pytest.mark.parametrize("topic", TOPICS)
def test_published_and_own_figures_agree_within_the_tolerance_of_the_row(topic: str) -> None:
    off = [str(one) for one in _of(topic) if not one.agrees and one.row.id not in DISAGREES]
    assert not off, "\n".join(off)


def test_rows_known_to_disagree_still_disagree() -> None:
    now_agreeing = [str(one) for one in comparisons() if one.agrees and one.row.id in DISAGREES]
    assert not now_agreeing, "\n".join(now_agreeing)


def test_every_row_is_checked_or_disagrees_or_is_unused_with_a_reason() -> None:
    compared = {comparison.row.id for comparison in comparisons()}
    unused = {row.id for row in ROWS if why_unused(row)}
    assert compared | unused == {row.id for row in ROWS}
    assert not compared & unused
    assert set(DISAGREES) <= compared


def test_no_formula_and_no_reason_is_left_over() -> None:
    quantities = {(row.topic, row.quantity) for row in ROWS}
    assert set(FORMULAS) | set(UNUSED_QUANTITIES) <= quantities
    assert not set(FORMULAS) & set(UNUSED_QUANTITIES)
    assert set(UNUSED_ROWS) | set(DISAGREES) <= {row.id for row in ROWS}
    assert set(UNUSED_TOPICS) <= {row.topic for row in ROWS}


def test_no_row_was_dropped() -> None:
    # 730 rows when the table was gathered; more may come, none may go
    assert len(ROWS) >= 730
    assert len({row.id for row in ROWS}) == len(ROWS)


def test_every_source_is_described() -> None:
    text = TABLE.with_name("SOURCES.md").read_text(encoding="utf-8")
    assert not sorted({row.source_key for row in ROWS if f"### {row.source_key} " not in text})


def test_the_summary_names_every_source_and_the_totals() -> None:
    text = summary.report()
    assert all(row.source_key in text for row in ROWS)
    assert f"{len(DISAGREES)} are known to disagree" in text
