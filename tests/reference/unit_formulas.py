"""How the library answers the published conversion factors and the standard atmosphere."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from hvacr_lab.units import ICE_POINT_K, TON_W, from_si, standard_atmosphere_k, standard_atmosphere_pa, to_si

from .rows import Row


def _airflow_per_capacity(row: Row) -> float:
    """The source prints cubic feet a minute for each ton: the figure stands in its column "convention"."""
    printed = re.search(r"(\d+) cfm/ton", row.convention)
    assert printed, row.id
    return to_si(float(printed[1]), "ft3/min", "volume flow") / to_si(1.0, "ton", "power")


def _altitude_pa(row: Row) -> float:
    return standard_atmosphere_pa(row.inputs["altitude_m"])


FORMULAS: dict[tuple[str, str], Callable[[Row], Any]] = {
    ("units", "atmosphere_in_inches_of_mercury"): lambda row: from_si(row.inputs["pressure_pa"], "inHg", "pressure"),
    ("units", "atmosphere_in_psi"): lambda row: from_si(row.inputs["pressure_pa"], "psi", "pressure"),
    ("units", "btu"): lambda row: to_si(row.inputs["btu"], "Btu", "energy"),
    ("units", "btu_per_lb_k"): lambda row: to_si(row.inputs["btu_per_lbm_r"], "Btu/(lb F)", "specific entropy"),
    ("units", "cop_to_eer"): lambda row: from_si(row.inputs["cop"], "Btu/(W h)", "COP"),
    ("units", "eer_to_cop"): lambda row: to_si(row.inputs["eer_btu_per_wh"], "Btu/(W h)", "COP"),
    ("units", "horsepower_per_ton"): lambda row: from_si(TON_W / row.inputs["cop"], "hp", "power"),
    ("units", "inch_of_mercury"): lambda row: to_si(row.inputs["inches_of_mercury"], "inHg", "pressure"),
    ("units", "kilowatt_to_btu_per_hour"): lambda row: from_si(row.inputs["power_w"], "Btu/h", "power"),
    ("units", "pound"): lambda row: to_si(row.inputs["pounds"], "lb", "mass"),
    ("units", "psi_to_pascal"): lambda row: to_si(row.inputs["psi"], "psi", "pressure"),
    ("units", "standard_atmosphere_pressure"): _altitude_pa,
    ("units", "standard_atmosphere_pressure_us"): _altitude_pa,
    ("units", "standard_atmosphere_temperature"): lambda row: (
        standard_atmosphere_k(row.inputs["altitude_m"]) - ICE_POINT_K
    ),
    ("units", "ton_of_refrigeration"): lambda row: to_si(row.inputs["tons"], "ton", "power"),
    ("units", "tons_from_btu_per_min"): lambda row: from_si(row.inputs["heat_removed_w"], "ton", "power"),
    ("heat_pump", "measured_mean_airflow_per_cooling_capacity"): _airflow_per_capacity,
    ("heat_pump", "recommended_airflow_per_cooling_capacity_high"): _airflow_per_capacity,
    ("heat_pump", "recommended_airflow_per_cooling_capacity_low"): _airflow_per_capacity,
}
