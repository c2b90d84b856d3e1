"""Pipes: pressure drop, and heat from or to the air around them."""

from __future__ import annotations

from hvacr_lab.bench.coils import CoilResult, Conductances, coil
from hvacr_lab.bench.fluid import Fluid
from hvacr_lab.bench.fluid_surfaces import Lines
from hvacr_lab.bench.void_fraction import density


def pressure_drop_pa(resistance_per_m4: float, mass_flow_kg_per_s: float, volume_m3_per_kg: float) -> float:
    """Pressure lost in a pipe or a partly shut valve.

    Parameters
    ----------
    resistance_per_m4 : float [1/m4]
    mass_flow_kg_per_s : float [kg/s]; the drop has its sign
    volume_m3_per_kg : float [m3/kg], of what flows

    Returns
    -------
    float [Pa]

    Source
    ------
    Turbulent flow: drop = resistance x flow squared x specific volume; any textbook on fluid mechanics.

    Examples
    --------
    >>> round(pressure_drop_pa(3e8, 0.0035, 0.09))
    331
    """
    return resistance_per_m4 * mass_flow_kg_per_s * abs(mass_flow_kg_per_s) * volume_m3_per_kg


def resistance_of_area(area_m2: float) -> float:
    """Resistance of an opening in a pipe.

    Parameters
    ----------
    area_m2 : float [m2], above zero, discharge coefficient in it: m = K sqrt(2 rho dp)

    Returns
    -------
    float [1/m4], for `pressure_drop_pa`

    Source
    ------
    Orifice equation solved for the pressure difference; any textbook on fluid mechanics.

    Examples
    --------
    >>> round(resistance_of_area(1e-5))
    5000000000
    """
    return 0.5 / (area_m2 * area_m2)


def pipe(
    fluid: Fluid,
    lines: Lines,
    enthalpy_in_j_per_kg: float,
    mass_flow_kg_per_s: float,
    ua_ambient_w_per_k: float,
    ambient_k: float,
    volume_m3: float,
) -> CoilResult:
    """Refrigerant on its way through a pipe in still air: a coil with the same conductance in every zone.

    Parameters
    ----------
    fluid : Fluid
    lines : Lines, of the pressure in the pipe
    enthalpy_in_j_per_kg : float [J/kg]
    mass_flow_kg_per_s : float [kg/s]
    ua_ambient_w_per_k : float [W/K], zero for a pipe that is insulated
    ambient_k : float [K]
    volume_m3 : float [m3]

    Returns
    -------
    CoilResult; never past the temperature of the ambient

    Source
    ------
    As `coils.coil`.
    """
    if ua_ambient_w_per_k <= 0.0:
        charge = volume_m3 * density(fluid, lines, enthalpy_in_j_per_kg)
        temperature = fluid.temperature(lines, enthalpy_in_j_per_kg)
        return CoilResult(enthalpy_in_j_per_kg, temperature, 0.0, charge, 0.0, 0.0, 0.0, 0.0)
    ua = ua_ambient_w_per_k
    return coil(
        fluid,
        lines,
        enthalpy_in_j_per_kg,
        mass_flow_kg_per_s,
        Conductances(ua, ua, ua, ua),
        ambient_k,
        volume_m3,
    )
