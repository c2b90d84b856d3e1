"""The point at which a bench runs, or the named condition in which it does not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from hvacr_lab.states import State
from hvacr_lab.units import ICE_POINT_K

RUNNING = "running"
HEAD_BEYOND_LIMIT = "head beyond limit"
SUCTION_AT_FLOOR = "suction at the floor"
OVERHEATED = "compressor overheated"
PUMPED_DOWN = "pumped down"
DEAD_HEADED = "dead-headed"
SUCTION_ISOLATED = "suction isolated"
SHORT_CIRCUIT = "short circuit"
CONDENSER_BYPASSED = "condenser bypassed"
EVAPORATOR_BYPASSED = "evaporator bypassed"
EQUALISED = "equalised, compressor off"
LIQUID_FULL = "full of liquid"
UNRESOLVED = "unresolved"

OUTCOMES: Mapping[str, str] = MappingProxyType(
    {
        RUNNING: "The compressor runs and everything is steady.",
        HEAD_BEYOND_LIMIT: "The discharge pressure rises until the high-pressure control opens.",
        SUCTION_AT_FLOOR: "The suction pressure falls until the low-pressure control opens.",
        OVERHEATED: "Hot gas leaks back to the suction and goes round in the compressor, hotter each time, until the "
        "motor protector opens.",
        PUMPED_DOWN: "No refrigerant passes the metering line: the low side is pumped empty until the low-pressure "
        "control opens.",
        DEAD_HEADED: "The compressor pumps against a shut valve: the high-pressure control opens at once. A real "
        "compressor can burst.",
        SUCTION_ISOLATED: "No refrigerant reaches the compressor: the low-pressure control opens.",
        SHORT_CIRCUIT: "The discharge is open to the suction past the metering device: no pressure difference builds "
        "up and nothing is cooled.",
        CONDENSER_BYPASSED: "The hot gas passes no condenser and cannot give off its heat: nothing becomes liquid and "
        "nothing is cooled.",
        EVAPORATOR_BYPASSED: "What leaves the metering device passes no evaporator: liquid reaches the compressor and "
        "can break it.",
        EQUALISED: "The compressor stands still and the pressures have equalised.",
        UNRESOLVED: "No steady state was found. That is a mistake of the program, not of the bench: please report the "
        "settings.",
        LIQUID_FULL: "There is so much refrigerant that the system is full of liquid: a hydraulic hazard.",
    }
)
# outcome -> what happens, in a sentence; an OperatingPoint never has another outcome


@dataclass(frozen=True, slots=True)
class ControlState:
    """One control: whether it lets the compressor run, and what it saw."""

    name: str
    is_open: bool
    reads: float
    opens_at: float
    unit: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class AirSide:
    """Air at one coil."""

    inlet_k: float
    outlet_k: float
    flow_kg_per_s: float
    inlet_humidity_ratio: float = 0.0
    outlet_humidity_ratio: float = 0.0
    surface_k: float = 0.0
    heat_w: float = 0.0
    # from the air to the refrigerant
    sensible_w: float = 0.0
    latent_w: float = 0.0
    condensate_kg_per_s: float = 0.0
    fan_w: float = 0.0


@dataclass(frozen=True, slots=True)
class OperatingPoint:
    """Solved state of a bench: all SI, pressures absolute.

    ``outcome`` is one of ``OUTCOMES``. ``stopped_by`` names the control that would open at this point ("" when none
    does): the numbers are then what the bench would run at if the control did not open.
    """

    outcome: str
    refrigerant: str
    configuration: str = ""
    why: str = ""
    stopped_by: str = ""
    converged: bool = True
    points: Mapping[str, State] = field(default_factory=dict)
    glasses: Mapping[str, str] = field(default_factory=dict)
    # sight glass -> "vapour", "bubbles" or "liquid"
    discharge_pressure_pa: float = 0.0
    suction_pressure_pa: float = 0.0
    condensing_pressure_pa: float = 0.0
    # what the refrigerant alone has; with air in the system the gauge shows discharge_pressure_pa
    evaporating_pressure_pa: float = 0.0
    metering_inlet_pressure_pa: float = 0.0
    superheat_k: float = 0.0
    # at the evaporator outlet, 0 when liquid is left
    total_superheat_k: float = 0.0
    # at the compressor
    subcooling_k: float = 0.0
    # at the condenser outlet, 0 when gas is left
    evaporator_outlet_quality: float = 1.0
    metering_inlet_quality: float = 0.0
    discharge_temperature_k: float = 0.0
    mass_flow_kg_per_s: float = 0.0
    flow_by_lane_kg_per_s: Mapping[str, float] = field(default_factory=dict)
    valve_stroke: Mapping[str, float] = field(default_factory=dict)
    # metering device -> 0 ... 1
    cooling_w: float = 0.0
    sensible_w: float = 0.0
    latent_w: float = 0.0
    condensate_kg_per_s: float = 0.0
    heating_w: float = 0.0
    compressor_power_w: float = 0.0
    fan_power_w: float = 0.0
    current_a: float = 0.0
    cop_cooling: float = 0.0
    cop_heating: float = 0.0
    charge_by_part: Mapping[str, float] = field(default_factory=dict)
    receiver_level: float | None = None
    # None when there is no receiver in the line
    accumulator_level: float | None = None
    air: Mapping[str, AirSide] = field(default_factory=dict)
    # coil -> air
    space_temperatures_k: Mapping[str, float] = field(default_factory=dict)
    equalised_pressures_pa: Mapping[str, float] = field(default_factory=dict)
    # compressor off: element -> pressure
    controls: tuple[ControlState, ...] = ()
    warnings: tuple[str, ...] = ()
    residuals: Mapping[str, float] = field(default_factory=dict)
    unknowns: tuple[float, float, float, float] | None = None
    # (ln p_d, ln p_s, h_s / 1e5, s) of the solver, for a warm start

    @property
    def power_w(self) -> float:
        """Electrical power of compressor and fans."""
        return self.compressor_power_w + self.fan_power_w

    @property
    def charge_kg(self) -> float:
        """Refrigerant in all parts."""
        return sum(self.charge_by_part.values())

    @property
    def is_running(self) -> bool:
        """True when a steady point exists and no control opens."""
        return self.outcome == RUNNING and not self.stopped_by

    @property
    def is_solved(self) -> bool:
        """True when a steady point exists, whether or not a control would open there."""
        return self.outcome == RUNNING

    def table(self) -> str:
        """Readings as a short text, in bar (absolute), degrees Celsius, kelvin and watts.

        Returns
        -------
        str, one line per reading
        """
        rows = _rows(self) if self.is_solved else _rows_at_rest(self)
        width = max(len(name) for name, _ in rows)
        return "\n".join([_headline(self), *(f"{name:<{width}}  {value}" for name, value in rows), *self.warnings])


def _headline(point: OperatingPoint) -> str:
    stopped = f"; would be stopped by the {point.stopped_by}" if point.stopped_by else ""
    return f"{point.configuration or 'bench'}, {point.refrigerant}: {point.outcome}{stopped}"


def _rows(point: OperatingPoint) -> list[tuple[str, str]]:
    level = [] if point.receiver_level is None else [("receiver level", f"{point.receiver_level:.0%}")]
    return [
        ("discharge pressure", _bar(point.discharge_pressure_pa)),
        ("suction pressure", _bar(point.suction_pressure_pa)),
        ("superheat", f"{point.superheat_k:.1f} K"),
        ("total superheat", f"{point.total_superheat_k:.1f} K"),
        ("subcooling", f"{point.subcooling_k:.1f} K"),
        ("discharge temperature", _celsius(point.discharge_temperature_k)),
        ("mass flow", f"{point.mass_flow_kg_per_s * 3600:.1f} kg/h"),
        ("cooling", f"{point.cooling_w:.0f} W"),
        ("of it latent", f"{point.latent_w:.0f} W"),
        ("heating", f"{point.heating_w:.0f} W"),
        ("compressor power", f"{point.compressor_power_w:.0f} W"),
        ("fan power", f"{point.fan_power_w:.0f} W"),
        ("current", f"{point.current_a:.2f} A"),
        ("COP cooling, heating", f"{point.cop_cooling:.2f}, {point.cop_heating:.2f}"),
        *level,
        *((f"glass {name}", seen) for name, seen in point.glasses.items()),
    ]


def _rows_at_rest(point: OperatingPoint) -> list[tuple[str, str]]:
    return [
        ("what happens", point.why or OUTCOMES[point.outcome]),
        ("discharge pressure", _bar(point.discharge_pressure_pa)),
        ("suction pressure", _bar(point.suction_pressure_pa)),
    ]


def _bar(pressure_pa: float) -> str:
    return f"{pressure_pa / 1e5:.2f} bar absolute"


def _celsius(temperature_k: float) -> str:
    return f"{temperature_k - ICE_POINT_K:.1f} degC"
