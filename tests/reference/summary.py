"""Print, for each source, how many rows were checked and how far the library is off.

From the root of the repository: python -m tests.reference.summary
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import median

from .checks import comparisons, why_unused
from .kept_apart import DISAGREES
from .rows import TEMPERATURE_UNITS, Comparison, published_rows


@dataclass(frozen=True, slots=True)
class SourceSummary:
    """What the rows of one source say about the library; worst figures without the rows known to disagree."""

    source_key: str
    rows: int
    compared: int
    disagreeing: int
    median_percent: float | None
    worst_percent: float | None
    worst_k: float | None
    worst_row: str | None


def summaries() -> list[SourceSummary]:
    """One summary for each source, in alphabetical order."""
    keys = sorted({row.source_key for row in published_rows()})
    return [_summary(key) for key in keys]


def _summary(key: str) -> SourceSummary:
    compared = [comparison for comparison in comparisons() if comparison.row.source_key == key]
    agreeing = [comparison for comparison in compared if comparison.row.id not in DISAGREES]
    relative = {c.row.id: 100.0 * abs(c.deviation) for c in agreeing if c.deviation is not None and not _is_kelvin(c)}
    kelvin = [abs(c.deviation) for c in agreeing if c.deviation is not None and _is_kelvin(c)]
    return SourceSummary(
        source_key=key,
        rows=sum(row.source_key == key for row in published_rows()),
        compared=len(compared),
        disagreeing=len(compared) - len(agreeing),
        median_percent=median(relative.values()) if relative else None,
        worst_percent=max(relative.values(), default=None),
        worst_k=max(kelvin, default=None),
        worst_row=max(relative, key=relative.__getitem__, default=None),
    )


def _is_kelvin(comparison: Comparison) -> bool:
    return comparison.row.unit in TEMPERATURE_UNITS


def report() -> str:
    """The table of summaries as text, with totals and the reasons of the rows that are not usable."""
    lines = [
        f"{'source':32} {'rows':>5} {'compared':>8} {'differ':>6} {'median':>9} {'worst':>9} {'worst K':>8}  worst row"
    ]
    for one in summaries():
        figures = " ".join(
            (_figure(one.median_percent, 9, "%"), _figure(one.worst_percent, 9, "%"), _figure(one.worst_k, 8, ""))
        )
        counts = f"{one.rows:5} {one.compared:8} {one.disagreeing:6}"
        lines.append(f"{one.source_key:32} {counts} {figures}  {one.worst_row or '-'}")
    return "\n".join([*lines, "", *_totals(), "", *_reasons()])


def _totals() -> list[str]:
    compared = comparisons()
    relative = [abs(c.deviation) * 100.0 for c in compared if c.deviation is not None and not _is_kelvin(c)]
    return [
        f"{len(published_rows())} rows: {len(compared) - len(DISAGREES)} agree, "
        f"{len(DISAGREES)} are known to disagree, {len(published_rows()) - len(compared)} are not usable",
        f"median deviation of all that are no temperatures: {median(relative):.3g} %",
    ]


def _reasons() -> list[str]:
    unused = [reason for row in published_rows() if (reason := why_unused(row))]
    return [f"{unused.count(reason):4} not usable: {reason}" for reason in dict.fromkeys(unused)]


def _figure(value: float | None, width: int, unit: str) -> str:
    return f"{'-':>{width}}" if value is None else f"{f'{value:.2g}{unit}':>{width}}"


if __name__ == "__main__":
    print(report())
