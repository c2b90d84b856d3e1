"""One part of a table: liquid, vapour or wet vapour, with the coefficients that belong to it."""

from __future__ import annotations

import numpy as np

from hvacr_lab.property_tables.files import DISTANCE_INTERVALS, QUALITY_INTERVALS, TableFile
from hvacr_lab.property_tables.splines import Arithmetic, Coefficients


class Part:
    """Liquid, vapour or wet: its coefficients, held for one arithmetic."""

    def __init__(self, table: TableFile, part: str, arithmetic: Arithmetic) -> None:
        self.name = part
        self.quality = 1.0 if part == "vapour" else 0.0
        self.intervals = QUALITY_INTERVALS if part == "wet" else DISTANCE_INTERVALS
        self.width = self.intervals + 3
        self.lines: dict[str, Coefficients] = {}
        self.surfaces: dict[str, Coefficients] = {}
        for key, array in table.arrays.items():
            if key.startswith(part):
                quantity = key.removeprefix(f"{part}_")
                shelf = self.surfaces if key.endswith("_surface") else self.lines
                shelf[quantity.removesuffix("_surface")] = arithmetic.hold(array.astype(np.float64).ravel())
