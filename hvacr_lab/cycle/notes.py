"""What a careful person says on seeing the numbers of a cycle."""

from __future__ import annotations

from collections.abc import Callable

from hvacr_lab.cycle.points import Cycle
from hvacr_lab.units import ICE_POINT_K, STANDARD_ATMOSPHERE_PA, gauge_suspicion

LEAST_SUPERHEAT_K = 3.0
# [K], below it drops reach the compressor now and then (common practice)
HOTTEST_DISCHARGE_K = ICE_POINT_K + 120.0
# [K], above it oil breaks down at the discharge valves (common practice)
HIGHEST_COMPRESSION_RATIO = 10.0
# [1], above it two stages are usual (common practice)
LEAST_BUBBLES = 1e-4
# [1], vapour part of the mass that can be seen in a sight glass (own value)


def notes_on(cycle: Cycle) -> tuple[str, ...]:
    """Look a cycle over for what would worry a technician.

    Parameters
    ----------
    cycle : Cycle

    Returns
    -------
    tuple of str, sentences; empty when nothing stands out

    Source
    ------
    Common practice; each limit stands above with its reason.

    Examples
    --------
    >>> from hvacr_lab.cycle import single_stage
    >>> ideal = single_stage("R-134a", evaporating_temperature_k=263.15, condensing_temperature_k=313.15)
    >>> print(ideal.notes[0])
    Liquid may reach the compressor: its gas has only 0.0 K of superheat (at least 3 K is common practice).
    """
    return tuple(note for look in _LOOKS if (note := look(cycle)))


def _liquid_in_suction(cycle: Cycle) -> str | None:
    inlet = cycle.compressor_inlet
    if inlet.quality is not None and inlet.quality < 1.0 - LEAST_BUBBLES:
        return f"Liquid enters the compressor: {1.0 - inlet.quality:.1%} of the mass is liquid."
    if cycle.total_superheat_k >= LEAST_SUPERHEAT_K:
        return None
    return (
        f"Liquid may reach the compressor: its gas has only {cycle.total_superheat_k:.1f} K of superheat "
        f"(at least {LEAST_SUPERHEAT_K:.0f} K is common practice)."
    )


def _hot_discharge(cycle: Cycle) -> str | None:
    if cycle.discharge_temperature_k <= HOTTEST_DISCHARGE_K:
        return None
    shown = cycle.discharge_temperature_k - ICE_POINT_K
    return f"The discharge gas is very hot: {shown:.0f} °C (above about 120 °C oil suffers; common practice)."


def _high_compression_ratio(cycle: Cycle) -> str | None:
    if cycle.compression_ratio <= HIGHEST_COMPRESSION_RATIO:
        return None
    return (
        f"The compression ratio is high: {cycle.compression_ratio:.1f} (above about 10, two stages; common practice)."
    )


def _bubbles_in_liquid_line(cycle: Cycle) -> str | None:
    quality = cycle.expansion_inlet.quality
    if quality is None or quality <= LEAST_BUBBLES:
        return None
    return f"Gas bubbles reach the expansion device: {quality:.1%} of the mass is vapour there."


def _below_atmosphere(cycle: Cycle) -> str | None:
    pressure = cycle.compressor_inlet.pressure_pa
    if pressure >= STANDARD_ATMOSPHERE_PA:
        return None
    return (
        f"The suction side is below the atmosphere at sea level: {pressure / 1e5:.3g} bar absolute. "
        "A leak draws air in. Was it a gauge pressure?"
    )


def _suction_gauge_as_absolute(cycle: Cycle) -> str | None:
    inlet = cycle.compressor_inlet
    return gauge_suspicion(
        inlet.pressure_pa,
        STANDARD_ATMOSPHERE_PA,
        name="suction pressure",
        margin_k=lambda pressure_pa: float(cycle.refrigerant.superheat(pressure_pa, inlet.temperature_k)),
    )


def _efficiency_above_one(cycle: Cycle) -> str | None:
    if cycle.isentropic_efficiency <= 1.0 + 1e-9:
        return None
    return (
        f"The isentropic efficiency comes out as {cycle.isentropic_efficiency:.2f}, above 1: the discharge thermometer "
        "reads low, the compressor gives off heat, or liquid came with the suction gas."
    )


def _pressure_rises_along_a_line(cycle: Cycle) -> str | None:
    drops = {
        "suction": cycle.suction_line_pressure_drop_pa,
        "discharge": cycle.discharge_line_pressure_drop_pa,
        "liquid": cycle.liquid_line_pressure_drop_pa,
    }
    rising = [name for name, drop in drops.items() if drop < 0.0]
    return f"The pressure rises along the {rising[0]} line: compare the gauges." if rising else None


_LOOKS: tuple[Callable[[Cycle], str | None], ...] = (
    _liquid_in_suction,
    _suction_gauge_as_absolute,
    _below_atmosphere,
    _hot_discharge,
    _high_compression_ratio,
    _bubbles_in_liquid_line,
    _efficiency_above_one,
    _pressure_rises_along_a_line,
)
