"""What was measured: one `Moment` for each row, all of them in `Readings`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from hvacr_lab.errors import UnknownName

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Moment:
    """Readings of one moment in SI; None where nothing was read.

    Parameters
    ----------
    line : int, line in the file
    time : str, as typed
    barometer_pa : float [Pa absolute], read, or of the standard atmosphere at the altitude
    barometer_read : bool, False where it comes from the altitude
    suction_pressure_pa, discharge_pressure_pa : float [Pa absolute]
    suction_is_gauge, discharge_is_gauge : bool, whether the instrument counts from the barometer
    suction_pipe_k : float [K], outlet of the evaporator
    compressor_inlet_k, discharge_pipe_k, liquid_pipe_k : float [K]
    evaporator_air_in_k, evaporator_air_in_wet_bulb_k : float [K]
    evaporator_air_out_k, evaporator_air_out_wet_bulb_k : float [K]
    condenser_air_in_k, condenser_air_out_k : float [K]
    mass_flow_kg_per_s : float [kg/s], refrigerant
    power_w : float [W], compressor
    air_flow_m3_per_s : float [m3/s], evaporator
    """

    line: int = 0
    time: str = ""
    barometer_pa: float | None = None
    barometer_read: bool = False
    suction_pressure_pa: float | None = None
    suction_is_gauge: bool = False
    discharge_pressure_pa: float | None = None
    discharge_is_gauge: bool = False
    suction_pipe_k: float | None = None
    compressor_inlet_k: float | None = None
    discharge_pipe_k: float | None = None
    liquid_pipe_k: float | None = None
    evaporator_air_in_k: float | None = None
    evaporator_air_in_wet_bulb_k: float | None = None
    evaporator_air_out_k: float | None = None
    evaporator_air_out_wet_bulb_k: float | None = None
    condenser_air_in_k: float | None = None
    condenser_air_out_k: float | None = None
    mass_flow_kg_per_s: float | None = None
    power_w: float | None = None
    air_flow_m3_per_s: float | None = None


@dataclass(frozen=True, slots=True)
class Readings:
    """A file of readings.

    Parameters
    ----------
    name : str, where it came from
    refrigerant : str or None, its name as this library writes it
    moments : tuple of Moment, in the order of the file
    units : mapping, field -> unit as typed
    others : mapping, heading of a column that nobody knows here -> its cells as typed
    notes : tuple of str, what a reader should know or doubt
    """

    name: str
    refrigerant: str | None
    moments: tuple[Moment, ...]
    units: Mapping[str, str]
    others: Mapping[str, tuple[str, ...]]
    notes: tuple[str, ...] = ()

    def column(self, field: str) -> NDArray[np.float64]:
        """One quantity at all moments.

        Parameters
        ----------
        field : str, a number of `Moment`: "suction_pressure_pa"

        Returns
        -------
        array [SI], not a number (NaN) where nothing was read

        Raises
        ------
        UnknownName : no such field

        Source
        ------
        Own rule.

        Examples
        --------
        >>> readings = Readings("sheet", None, (Moment(power_w=560.0), Moment()), {}, {})
        >>> readings.column("power_w").tolist()
        [560.0, nan]
        """
        import numpy as np

        if field not in NUMBERS:
            raise UnknownName("reading", field, NUMBERS)
        values = [getattr(moment, field) for moment in self.moments]
        return np.array([np.nan if value is None else value for value in values])


NUMBERS = tuple(
    name
    for name in Moment.__slots__
    if name not in {"line", "time", "barometer_read", "suction_is_gauge", "discharge_is_gauge"}
)
"""Fields of `Moment` that hold a number."""
