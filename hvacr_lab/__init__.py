"""hvacr_lab: refrigeration, air conditioning and heat pumps, taught on one bench.

The names below load when first used, so that ``import hvacr_lab`` costs next to nothing.

Examples
--------
>>> import hvacr_lab
>>> r134a = hvacr_lab.refrigerant("R-134a")
>>> round(r134a.dew_pressure(273.15) / 1e5, 2)
2.93
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from hvacr_lab.cycle import cascade, measured_cycle, single_stage, subcooling, superheat, total_superheat, two_stage
    from hvacr_lab.errors import LabError
    from hvacr_lab.refrigerants import refrigerant, refrigerant_names
    from hvacr_lab.units import from_si, to_si

__version__ = "0.1.0"

_HOME_OF = {
    "LabError": "errors",
    "cascade": "cycle",
    "from_si": "units",
    "measured_cycle": "cycle",
    "refrigerant": "refrigerants",
    "refrigerant_names": "refrigerants",
    "single_stage": "cycle",
    "subcooling": "cycle",
    "superheat": "cycle",
    "to_si": "units",
    "total_superheat": "cycle",
    "two_stage": "cycle",
}

__all__ = [
    "LabError",
    "cascade",
    "from_si",
    "measured_cycle",
    "refrigerant",
    "refrigerant_names",
    "single_stage",
    "subcooling",
    "superheat",
    "to_si",
    "total_superheat",
    "two_stage",
]


def __getattr__(name: str) -> object:
    if name not in _HOME_OF:
        raise AttributeError(f"hvacr_lab has no {name!r}; it offers {', '.join(__all__)}")
    return getattr(importlib.import_module(f"hvacr_lab.{_HOME_OF[name]}"), name)


def __dir__() -> list[str]:
    return sorted(__all__)
