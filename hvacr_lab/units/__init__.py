"""SI inside, units at the edges.

`to_si` and `from_si` convert every quantity; a pressure that a gauge shows goes through `pressure_pa` and
`pressure_from_pa`, which ask for the barometer; `parse_quantity` reads "29.4 psig".
"""

from hvacr_lab.units.checks import FloatOrArray, checked_number, within
from hvacr_lab.units.conversion import from_si, to_si
from hvacr_lab.units.notation import parse_number, parse_quantity
from hvacr_lab.units.pressure import (
    ALTITUDE_LIMITS_M,
    BAROMETER_LIMITS_PA,
    absolute_pressure_pa,
    barometer_pa,
    checked_barometer_pa,
    gauge_pressure_pa,
    gauge_suspicion,
    pressure_from_pa,
    pressure_pa,
    standard_atmosphere_k,
    standard_atmosphere_pa,
)
from hvacr_lab.units.table import ICE_POINT_K, STANDARD_ATMOSPHERE_PA, TON_W, quantities, units_of

__all__ = [
    "ALTITUDE_LIMITS_M",
    "BAROMETER_LIMITS_PA",
    "ICE_POINT_K",
    "STANDARD_ATMOSPHERE_PA",
    "TON_W",
    "FloatOrArray",
    "absolute_pressure_pa",
    "barometer_pa",
    "checked_barometer_pa",
    "checked_number",
    "from_si",
    "gauge_pressure_pa",
    "gauge_suspicion",
    "parse_number",
    "parse_quantity",
    "pressure_from_pa",
    "pressure_pa",
    "quantities",
    "standard_atmosphere_k",
    "standard_atmosphere_pa",
    "to_si",
    "units_of",
    "within",
]
