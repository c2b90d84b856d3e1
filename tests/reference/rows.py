"""The table of published values: one row, the pass rule, and how far a computed value is off."""

from __future__ import annotations

import csv
import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

TABLE = Path(__file__).with_name("published_values.csv")
TEMPERATURE_UNITS = ("degC", "K")


@dataclass(frozen=True, slots=True)
class Row:
    """One published figure with what it was computed or measured from."""

    id: str
    topic: str
    quantity: str
    refrigerant: str
    inputs: dict[str, Any]
    expected: float | str
    unit: str
    tolerance_rel: float
    tolerance_abs: float
    convention: str
    source_key: str
    where: str
    how_read: str
    note: str

    def kelvin(self, name: str) -> float:
        """A temperature of the inputs, given there in degrees Celsius."""
        return float(self.inputs[name]) + 273.15


@dataclass(frozen=True, slots=True)
class Comparison:
    """A published figure beside ours."""

    row: Row
    ours: float | str

    @property
    def agrees(self) -> bool:
        """Pass rule of SOURCES.md: |ours - published| <= tolerance_abs + tolerance_rel |published|."""
        if isinstance(self.row.expected, str) or isinstance(self.ours, str):
            return self.ours == self.row.expected
        allowed = self.row.tolerance_abs + self.row.tolerance_rel * abs(self.row.expected)
        return abs(self.ours - self.row.expected) <= allowed

    @property
    def deviation(self) -> float | None:
        """Ours less theirs: in kelvin for temperatures, else as a part of theirs; None for text and for zero."""
        if isinstance(self.row.expected, str) or isinstance(self.ours, str):
            return None
        difference = self.ours - self.row.expected
        if self.row.unit in TEMPERATURE_UNITS:
            return difference
        return difference / abs(self.row.expected) if self.row.expected else None

    def __str__(self) -> str:
        row = self.row
        return (
            f"{row.id} {row.quantity} {row.refrigerant} ({row.source_key}, {row.where}): "
            f"published {row.expected} {row.unit}, ours {self.ours}"
        )


@cache
def published_rows() -> tuple[Row, ...]:
    """Every row of the table, in its order."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        return tuple(_row(raw) for raw in csv.DictReader(file))


def _row(raw: dict[str, str]) -> Row:
    numbers = {name: float(raw[name]) for name in ("tolerance_rel", "tolerance_abs")}
    expected = raw["expected"] if raw["unit"] == "class" else float(raw["expected"])
    return Row(**{**raw, **numbers, "inputs": json.loads(raw["inputs"] or "{}"), "expected": expected})  # type: ignore[arg-type]
