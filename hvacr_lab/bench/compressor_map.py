"""A compressor from published rating coefficients instead of a clearance model.

The ten-coefficient cubics of AHRI 540 hold only within the rated range; outside they turn over. So they are read at
the nearest rated point and set the clearance model right there: inside the range the rating, outside the shape of the
clearance model. Suction gas warmer or colder than rated, wear and speed act through the clearance model as well.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from hvacr_lab.bench.compressor import CompressorResult, compressor_flow
from hvacr_lab.bench.fluid import Fluid
from hvacr_lab.bench.fluid_surfaces import Lines
from hvacr_lab.bench.parts import Compressor
from hvacr_lab.units import ICE_POINT_K

_LEAST_SHARE = 0.05
# a rating that comes out below this share of the clearance model is not believed (own value)


@dataclass(frozen=True, slots=True)
class RatedMap:
    """Published rating of a compressor.

    Parameters
    ----------
    flow_kg_per_s : tuple of ten coefficients for the mass flow, temperatures in degC
    power_w : tuple of ten coefficients for the electrical power, temperatures in degC
    evaporating_k, condensing_k : (lowest, highest) dew temperature of the rating [K]
    return_gas_k : float [K], temperature of the suction gas of the rating
    """

    flow_kg_per_s: tuple[float, ...]
    power_w: tuple[float, ...]
    evaporating_k: tuple[float, float]
    condensing_k: tuple[float, float]
    return_gas_k: float


def ten_coefficients(coefficients: Sequence[float], suction_c: float, discharge_c: float) -> float:
    """Value of a rating cubic.

    Parameters
    ----------
    coefficients : ten, in the order of the standard: 1, S, D, S2, SD, D2, S3, DS2, SD2, D3
    suction_c, discharge_c : float, dew temperatures in the unit of the coefficients

    Returns
    -------
    float, in the unit of the coefficients

    Source
    ------
    AHRI Standard 540, performance rating of positive displacement refrigerant compressors.

    Examples
    --------
    >>> ten_coefficients((100.0, 2.0, -1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0), -10.0, 40.0)
    40.0
    """
    c0, c_s, c_d, c_ss, c_sd, c_dd, c_sss, c_dss, c_sdd, c_ddd = coefficients
    s, d = suction_c, discharge_c
    linear = c0 + c_s * s + c_d * d
    square = c_ss * s * s + c_sd * s * d + c_dd * d * d
    cubic = c_sss * s**3 + c_dss * d * s * s + c_sdd * s * d * d + c_ddd * d**3
    return linear + square + cubic


def mapped_flow(
    rating: RatedMap,
    compressor: Compressor,
    fluid: Fluid,
    suction: Lines,
    enthalpy_j_per_kg: float,
    discharge: Lines,
    wear: float = 0.0,
    speed_share: float = 1.0,
    extra_idle_w: float = 0.0,
) -> CompressorResult:
    """Flow, power and discharge enthalpy of a rated compressor.

    Parameters
    ----------
    rating : RatedMap
    compressor : Compressor, gives the shape outside the rating
    fluid : Fluid
    suction, discharge : Lines, of the pressures at its ports
    enthalpy_j_per_kg : float [J/kg], at the suction port
    wear, speed_share, extra_idle_w : float, as in `compressor.compressor_flow`

    Returns
    -------
    CompressorResult

    Source
    ------
    AHRI Standard 540 within the rating; own rule outside.
    """
    here = compressor_flow(compressor, fluid, suction, enthalpy_j_per_kg, discharge, wear, speed_share, extra_idle_w)
    evaporating_k = min(max(suction.dew_k, rating.evaporating_k[0]), rating.evaporating_k[1])
    condensing_k = min(max(discharge.dew_k, rating.condensing_k[0]), rating.condensing_k[1])
    flow_scale, work_scale = _scales(rating, compressor, fluid, evaporating_k, condensing_k)
    flow = here.mass_flow_kg_per_s * flow_scale
    idle_w = compressor.idle_w + extra_idle_w
    work = (here.enthalpy_j_per_kg - enthalpy_j_per_kg) / (1.0 - compressor.shell_loss) * work_scale
    return here._replace(
        mass_flow_kg_per_s=flow,
        enthalpy_j_per_kg=enthalpy_j_per_kg + (1.0 - compressor.shell_loss) * work,
        power_w=flow * work + idle_w,
        shell_heat_w=compressor.shell_loss * flow * work + idle_w,
        volumetric_efficiency=here.volumetric_efficiency * flow_scale,
        isentropic_efficiency=here.isentropic_efficiency / work_scale,
    )


def _scales(
    rating: RatedMap, compressor: Compressor, fluid: Fluid, evaporating_k: float, condensing_k: float
) -> tuple[float, float]:
    """Rating over clearance model at a rated point: mass flow, and work on a kilogram."""
    suction = fluid.lines(fluid.dew_pressure(evaporating_k))
    discharge = fluid.lines(fluid.dew_pressure(condensing_k))
    gas = fluid.enthalpy_of_temperature(suction, max(rating.return_gas_k, evaporating_k))
    model = compressor_flow(compressor, fluid, suction, gas, discharge)
    celsius = evaporating_k - ICE_POINT_K, condensing_k - ICE_POINT_K
    flow_scale = max(ten_coefficients(rating.flow_kg_per_s, *celsius) / model.mass_flow_kg_per_s, _LEAST_SHARE)
    rated_w = ten_coefficients(rating.power_w, *celsius) - compressor.idle_w
    modelled_w = (model.power_w - compressor.idle_w) * flow_scale
    return flow_scale, max(rated_w / modelled_w, _LEAST_SHARE)
