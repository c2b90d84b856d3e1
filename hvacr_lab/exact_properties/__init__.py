"""Properties from the equations of state in CoolProp: they build the shipped tables and serve beyond them.

No other room imports CoolProp, and this one does so only when a value is asked for.
"""

from hvacr_lab.exact_properties.equation_of_state import EquationOfState, Side
from hvacr_lab.exact_properties.lookup import ExactProperties

__all__ = ["EquationOfState", "ExactProperties", "Side"]
