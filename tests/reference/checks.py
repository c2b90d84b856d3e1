"""Every published row is checked, known to disagree, or not usable: exactly one of the three."""

from __future__ import annotations

from functools import cache

from . import air_formulas, cycle_formulas, refrigerant_formulas, unit_formulas
from .kept_apart import UNUSED_QUANTITIES, UNUSED_ROWS, UNUSED_TOPICS
from .rows import Comparison, Row, published_rows

FORMULAS = {
    **refrigerant_formulas.FORMULAS,
    **cycle_formulas.FORMULAS,
    **air_formulas.FORMULAS,
    **unit_formulas.FORMULAS,
}
"""(topic, quantity) -> how the library answers it, in the unit of the row."""


def why_unused(row: Row) -> str | None:
    """Why a row cannot be computed here; None if it can."""
    reasons = (
        UNUSED_ROWS.get(row.id),
        UNUSED_QUANTITIES.get((row.topic, row.quantity)),
        UNUSED_TOPICS.get(row.topic) if (row.topic, row.quantity) not in FORMULAS else None,
    )
    return next((reason for reason in reasons if reason), None)


@cache
def comparisons() -> tuple[Comparison, ...]:
    """Every usable row beside our figure."""
    usable = [row for row in published_rows() if why_unused(row) is None]
    return tuple(Comparison(row, FORMULAS[row.topic, row.quantity](row)) for row in usable)
