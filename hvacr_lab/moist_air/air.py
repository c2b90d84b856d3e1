"""One state of moist air with all its names, and what two streams make together."""

from __future__ import annotations

from dataclasses import dataclass

from hvacr_lab.errors import LabError, NotUsable
from hvacr_lab.moist_air import psychrometry
from hvacr_lab.moist_air.psychrometry import DRY_BULB_LIMITS_K, LIQUID_WATER_HEAT_J_PER_KG_K
from hvacr_lab.moist_air.saturation import TRIPLE_POINT_K
from hvacr_lab.units import ICE_POINT_K, checked_number, within


@dataclass(frozen=True, slots=True)
class AirState:
    """Moist air at one place; "per kilogram" is per kilogram of dry air.

    Parameters
    ----------
    pressure_pa : float [Pa absolute], barometer
    dry_bulb_k, wet_bulb_k : float [K]
    dew_point_k : float [K], or None where the air is too dry to have one above -100 degC
    relative_humidity : float [0 ... 1]
    humidity_ratio : float [kg/kg dry air]
    enthalpy_j_per_kg : float [J/kg dry air], zero for dry air at 0 degC
    volume_m3_per_kg : float [m3/kg dry air]
    notes : tuple of str, what a reader should know
    """

    pressure_pa: float
    dry_bulb_k: float
    wet_bulb_k: float
    dew_point_k: float | None
    relative_humidity: float
    humidity_ratio: float
    enthalpy_j_per_kg: float
    volume_m3_per_kg: float
    notes: tuple[str, ...] = ()

    @property
    def density_kg_per_m3(self) -> float:
        """Mass of air and vapour together in a cubic metre."""
        return (1.0 + self.humidity_ratio) / self.volume_m3_per_kg


def air_state(
    dry_bulb_k: float,
    pressure_pa: float,
    *,
    relative_humidity: float | None = None,
    wet_bulb_k: float | None = None,
    dew_point_k: float | None = None,
    humidity_ratio: float | None = None,
) -> AirState:
    """Moist air from the dry bulb and one more value.

    Parameters
    ----------
    dry_bulb_k : float [K], -40 ... 60 degC
    pressure_pa : float [Pa absolute], barometer, 60 ... 110 kPa
    relative_humidity : float [0 ... 1]
    wet_bulb_k : float [K]
    dew_point_k : float [K]
    humidity_ratio : float [kg/kg dry air]

    Returns
    -------
    AirState

    Raises
    ------
    NotUsable : none of the four, or more than one
    OutOfRange : as `psychrometry.humidity_ratio`; more vapour than the air can hold

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1.

    Examples
    --------
    >>> room = air_state(297.15, 96_300.0, relative_humidity=0.5)
    >>> round(room.wet_bulb_k - 273.15, 1), round(room.humidity_ratio * 1000, 1)
    (16.9, 9.8)
    """
    others = {"relative_humidity": relative_humidity, "wet_bulb_k": wet_bulb_k, "dew_point_k": dew_point_k}
    given = {name: value for name, value in others.items() if value is not None}
    if humidity_ratio is None:
        return _state(dry_bulb_k, psychrometry.humidity_ratio(dry_bulb_k, pressure_pa, **given), pressure_pa)
    if given:
        names = ", ".join(["humidity_ratio", *given])
        raise NotUsable("humidity of the air", names, "exactly one value is needed")
    return _state(dry_bulb_k, humidity_ratio, pressure_pa)


def mix(first: AirState, first_kg_per_s: float, second: AirState, second_kg_per_s: float) -> AirState:
    """Air that two streams make when they meet without gain or loss of heat.

    Parameters
    ----------
    first, second : AirState, at the same barometer
    first_kg_per_s, second_kg_per_s : float [kg/s dry air], zero or positive, not both zero

    Returns
    -------
    AirState; where more water arrives than the mixture can hold it is saturated, and `notes` says how much is fog

    Raises
    ------
    NotUsable : two barometers; no flow at all
    OutOfRange : negative flow

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eq. 46 (adiabatic mixing).

    Examples
    --------
    >>> room = air_state(294.15, 101_325.0, humidity_ratio=0.0079)
    >>> outdoor = air_state(301.15, 101_325.0, humidity_ratio=0.0111)
    >>> mixed = mix(room, 20.0, outdoor, 3.0)
    >>> round(mixed.dry_bulb_k - 273.15, 1), round(mixed.humidity_ratio, 4)
    (21.9, 0.0083)
    """
    if abs(first.pressure_pa - second.pressure_pa) > 1.0:
        barometers = f"{first.pressure_pa:.0f} and {second.pressure_pa:.0f} Pa"
        raise NotUsable("barometer", barometers, "both streams need the same one")
    flows = [
        within("air flow", checked_number(flow, "air flow"), "kg/s", (0.0, None))
        for flow in (first_kg_per_s, second_kg_per_s)
    ]
    if sum(flows) == 0.0:
        raise NotUsable("air flow", 0.0, "neither stream flows")
    share = flows[0] / sum(flows)
    ratio = share * first.humidity_ratio + (1.0 - share) * second.humidity_ratio
    energy_j_per_kg = share * first.enthalpy_j_per_kg + (1.0 - share) * second.enthalpy_j_per_kg
    return _settled(energy_j_per_kg, ratio, first.pressure_pa)


def dry_air_flow(volume_flow_m3_per_s: float, air: AirState) -> float:
    """Mass flow of dry air in a stream whose volume is measured.

    Parameters
    ----------
    volume_flow_m3_per_s : float [m3/s], measured where the air is as `air`
    air : AirState

    Returns
    -------
    float [kg/s dry air]

    Raises
    ------
    NotUsable, OutOfRange : negative flow

    Source
    ------
    Definition; ASHRAE Fundamentals 2017, ch. 1, example 2.

    Examples
    --------
    >>> round(dry_air_flow(10.0, air_state(275.15, 101_325.0, relative_humidity=1.0)), 2)
    12.74
    """
    flow = within("air flow", checked_number(volume_flow_m3_per_s, "air flow"), "m3/s", (0.0, None))
    return flow / air.volume_m3_per_kg


def _state(dry_bulb_k: float, humidity_ratio: float, pressure_pa: float, notes: tuple[str, ...] = ()) -> AirState:
    dry_bulb, ratio = checked_number(dry_bulb_k, "air temperature"), checked_number(humidity_ratio, "humidity ratio")
    return AirState(
        pressure_pa=checked_number(pressure_pa, "barometer"),
        dry_bulb_k=dry_bulb,
        wet_bulb_k=psychrometry.wet_bulb(dry_bulb, ratio, pressure_pa),
        dew_point_k=_dew_point(ratio, pressure_pa),
        relative_humidity=psychrometry.relative_humidity(dry_bulb, ratio, pressure_pa),
        humidity_ratio=ratio,
        enthalpy_j_per_kg=psychrometry.enthalpy(dry_bulb, ratio),
        volume_m3_per_kg=psychrometry.specific_volume(dry_bulb, ratio, pressure_pa),
        notes=notes,
    )


def _dew_point(humidity_ratio: float, pressure_pa: float) -> float | None:
    try:
        return psychrometry.dew_point(humidity_ratio, pressure_pa)
    except LabError:
        return None


def _settled(enthalpy_j_per_kg: float, humidity_ratio: float, pressure_pa: float) -> AirState:
    """State of air with this energy and water, the surplus of water as fog."""
    dry_bulb = psychrometry.dry_bulb_of_enthalpy(enthalpy_j_per_kg, humidity_ratio)
    if humidity_ratio <= psychrometry.saturation_humidity_ratio(dry_bulb, pressure_pa):
        return _state(dry_bulb, humidity_ratio, pressure_pa)
    foggy_k = _fog_temperature(enthalpy_j_per_kg, humidity_ratio, pressure_pa)
    held = psychrometry.saturation_humidity_ratio(foggy_k, pressure_pa)
    fog = f"The mixture holds all the vapour it can; {1000.0 * (humidity_ratio - held):.2f} g/kg of water is fog."
    return _state(foggy_k, held, pressure_pa, (fog,))


def _fog_temperature(enthalpy_j_per_kg: float, humidity_ratio: float, pressure_pa: float) -> float:
    """Temperature at which saturated air and its fog have this enthalpy, by halving the interval."""
    low, high = DRY_BULB_LIMITS_K
    while high - low > 1e-9:
        middle = 0.5 * (low + high)
        held = psychrometry.saturation_humidity_ratio(middle, pressure_pa)
        fog_j_per_kg = max(humidity_ratio - held, 0.0) * condensed_enthalpy(middle)
        too_warm = psychrometry.enthalpy(middle, held) + fog_j_per_kg > enthalpy_j_per_kg
        low, high = (low, middle) if too_warm else (middle, high)
    return 0.5 * (low + high)


ICE_MELTING_J_PER_KG = 333_430.0
# [J/kg], ice below liquid water at 0 degC; ASHRAE Fundamentals 2017, ch. 1, table 3 (from memory)
ICE_HEAT_J_PER_KG_K = 2100.0
# [J/(kg K)]; ASHRAE Fundamentals 2017, ch. 1, eq. 35


def condensed_enthalpy(temperature_k: float) -> float:
    """Enthalpy of liquid water, or of ice below 0.01 degC, as the air's enthalpy counts it.

    Parameters
    ----------
    temperature_k : float [K]

    Returns
    -------
    float [J/kg], zero for liquid water at 0 degC

    Raises
    ------
    NotUsable

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eqs. 33 and 35.

    Examples
    --------
    >>> round(condensed_enthalpy(287.15))
    58604
    """
    celsius = checked_number(temperature_k, "temperature of the condensate") - ICE_POINT_K
    if temperature_k > TRIPLE_POINT_K:
        return LIQUID_WATER_HEAT_J_PER_KG_K * celsius
    return ICE_HEAT_J_PER_KG_K * celsius - ICE_MELTING_J_PER_KG
