"""The boiling lines of a refrigerant: what a pressure-temperature chart shows, and what is counted from it."""

from __future__ import annotations

from hvacr_lab.states import LINES, Properties, Quantity, Saturation
from hvacr_lab.units import FloatOrArray

_SATURATED: tuple[Quantity, ...] = ("temperature", "enthalpy", "entropy", "volume")


class SaturationLines:
    """Dew and bubble line; for a pure refrigerant both are one."""

    __slots__ = ()
    properties: Properties

    def dew_pressure(self, temperature_k: FloatOrArray) -> FloatOrArray:
        """Pressure at which the last liquid evaporates.

        Parameters
        ----------
        temperature_k : float or array [K]

        Returns
        -------
        float or array of the same shape [Pa, absolute]

        Raises
        ------
        OutOfRange : outside limits.dew_temperature_k

        Source
        ------
        Table from the equation of state; see `sources`.

        Examples
        --------
        >>> from hvacr_lab.refrigerants import refrigerant
        >>> round(refrigerant("R-134a").dew_pressure(273.15))
        292803
        """
        return self.properties.line_pressure("dew", temperature_k)

    def bubble_pressure(self, temperature_k: FloatOrArray) -> FloatOrArray:
        """Pressure at which the first bubble of vapour appears.

        Parameters
        ----------
        temperature_k : float or array [K]

        Returns
        -------
        float or array of the same shape [Pa, absolute]

        Raises
        ------
        OutOfRange : outside limits.bubble_temperature_k

        Source
        ------
        Table from the equation of state; see `sources`.

        Examples
        --------
        >>> from hvacr_lab.refrigerants import refrigerant
        >>> round(refrigerant("R-407C").bubble_pressure(273.15) / 1e5, 2)
        5.68
        """
        return self.properties.line_pressure("bubble", temperature_k)

    def dew_temperature(self, pressure_pa: FloatOrArray) -> FloatOrArray:
        """Temperature at which the last liquid evaporates; superheat counts from here.

        Parameters
        ----------
        pressure_pa : float or array [Pa, absolute]

        Returns
        -------
        float or array of the same shape [K]

        Raises
        ------
        OutOfRange : outside limits.pressure_pa

        Source
        ------
        Table from the equation of state; see `sources`.

        Examples
        --------
        >>> from hvacr_lab.refrigerants import refrigerant
        >>> round(refrigerant("R-134a").dew_temperature(200_000.0) - 273.15, 2)
        -10.08
        """
        return self.properties.line_property("dew", "temperature", pressure_pa)

    def bubble_temperature(self, pressure_pa: FloatOrArray) -> FloatOrArray:
        """Temperature at which the first bubble of vapour appears; subcooling counts from here.

        Parameters
        ----------
        pressure_pa : float or array [Pa, absolute]

        Returns
        -------
        float or array of the same shape [K]

        Raises
        ------
        OutOfRange : outside limits.pressure_pa

        Source
        ------
        Table from the equation of state; see `sources`.

        Examples
        --------
        >>> from hvacr_lab.refrigerants import refrigerant
        >>> round(refrigerant("R-454B").bubble_temperature(101_325.0) - 273.15, 1)
        -50.7
        """
        return self.properties.line_property("bubble", "temperature", pressure_pa)

    def glide(self, pressure_pa: FloatOrArray) -> FloatOrArray:
        """Dew temperature minus bubble temperature; zero for a pure refrigerant.

        Parameters
        ----------
        pressure_pa : float or array [Pa, absolute]

        Returns
        -------
        float or array of the same shape [K]

        Raises
        ------
        OutOfRange : outside limits.pressure_pa

        Source
        ------
        Definition.

        Examples
        --------
        >>> from hvacr_lab.refrigerants import refrigerant
        >>> round(refrigerant("R-407C").glide(101_325.0), 1)
        7.0
        """
        return self.dew_temperature(pressure_pa) - self.bubble_temperature(pressure_pa)

    def superheat(self, pressure_pa: FloatOrArray, temperature_k: FloatOrArray) -> FloatOrArray:
        """Temperature minus dew temperature, whatever the sign; below zero there is still liquid.

        Parameters
        ----------
        pressure_pa : float or array [Pa, absolute]
        temperature_k : float or array [K]

        Returns
        -------
        float or array [K]

        Raises
        ------
        OutOfRange : pressure outside limits.pressure_pa, temperature outside limits.temperature_k

        Source
        ------
        Definition; from the dew line, because blends glide (common practice).

        Examples
        --------
        >>> from hvacr_lab.refrigerants import refrigerant
        >>> round(refrigerant("R-134a").superheat(200_000.0, 273.15), 1)
        10.1
        """
        return self.properties.checked_temperature(temperature_k) - self.dew_temperature(pressure_pa)

    def subcooling(self, pressure_pa: FloatOrArray, temperature_k: FloatOrArray) -> FloatOrArray:
        """Bubble temperature minus temperature, whatever the sign; below zero there are already bubbles.

        Parameters
        ----------
        pressure_pa : float or array [Pa, absolute]
        temperature_k : float or array [K]

        Returns
        -------
        float or array [K]

        Raises
        ------
        OutOfRange : pressure outside limits.pressure_pa, temperature outside limits.temperature_k

        Source
        ------
        Definition; from the bubble line, because blends glide (common practice).

        Examples
        --------
        >>> from hvacr_lab.refrigerants import refrigerant
        >>> round(refrigerant("R-134a").subcooling(1_000_000.0, 308.15), 1)
        4.4
        """
        return self.bubble_temperature(pressure_pa) - self.properties.checked_temperature(temperature_k)

    def saturation(self, pressure_pa: FloatOrArray) -> Saturation:
        """Temperature, enthalpy, entropy and volume of boiling liquid and of dry vapour.

        Parameters
        ----------
        pressure_pa : float or array [Pa, absolute]

        Returns
        -------
        Saturation, each field of the same shape as the pressure

        Raises
        ------
        OutOfRange : outside limits.pressure_pa

        Source
        ------
        Table from the equation of state; see `sources`.

        Examples
        --------
        >>> from hvacr_lab.refrigerants import refrigerant
        >>> lines = refrigerant("R-134a").saturation(292_803.0)
        >>> round((lines.dew_enthalpy_j_per_kg - lines.bubble_enthalpy_j_per_kg) / 1e3, 1)
        198.6
        """
        read = self.properties.line_property
        pairs = ((line, quantity) for quantity in _SATURATED for line in LINES)
        return Saturation(pressure_pa, *(read(line, quantity, pressure_pa) for line, quantity in pairs))
