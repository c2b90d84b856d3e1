"""Refrigerants: what is known about each, and every property that the rest of the house asks for.

>>> r134a = refrigerant("R-134a")
>>> round(r134a.dew_temperature(200_000.0) - 273.15, 1)
-10.1
"""

from hvacr_lab.refrigerants.refrigerant import Refrigerant, refrigerant, refrigerant_names
from hvacr_lab.states import Limits, Saturation, State

__all__ = ["Limits", "Refrigerant", "Saturation", "State", "refrigerant", "refrigerant_names"]
