"""A refrigerant: what is known about it, and its state from any usual pair of readings."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from hvacr_lab.errors import NotUsable
from hvacr_lab.exact_properties import ExactProperties
from hvacr_lab.property_checks import plain_number
from hvacr_lab.property_tables import TableProperties
from hvacr_lab.refrigerants.data import RefrigerantData, all_refrigerants, known_name
from hvacr_lab.refrigerants.facts import RefrigerantFacts
from hvacr_lab.states import Properties, Quantity, State
from hvacr_lab.units import FloatOrArray


def refrigerant(name: str) -> Refrigerant:
    """The refrigerant of a name, always the same object.

    Parameters
    ----------
    name : str, in any usual spelling: "R-134a", "r134a", "134a", "R1234ze", "ammonia"

    Returns
    -------
    Refrigerant

    Raises
    ------
    UnknownName : offers the closest names

    Source
    ------
    Numbering of ANSI/ASHRAE Standard 34.

    Examples
    --------
    >>> refrigerant("134a").name
    'R-134a'
    """
    return _from_tables(known_name(name))


def refrigerant_names() -> tuple[str, ...]:
    """Names of all refrigerants, pure ones first.

    Returns
    -------
    tuple of str, in the form "R-134a"

    Source
    ------
    data/refrigerants.toml.

    Examples
    --------
    >>> "R-454B" in refrigerant_names()
    True
    """
    return tuple(all_refrigerants())


@cache
def _from_tables(name: str) -> Refrigerant:
    return Refrigerant(all_refrigerants()[name], TableProperties(name))


@cache
def _from_equation_of_state(name: str) -> Refrigerant:
    data = all_refrigerants()[name]
    table_of_blend = _from_tables(name).properties if data.is_blend else None
    return Refrigerant(data, ExactProperties(name, data.coolprop_name, table_of_blend))


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Refrigerant(RefrigerantFacts):
    """One refrigerant; `refrigerant("R-134a")` makes it. SI units, pressures absolute, quality by mass.

    Enthalpy and entropy count from 200 kJ/kg and 1 kJ/(kg K) in saturated liquid at 0 degC (IIR). Worst deviation of
    the shipped tables from the equation of state, over all refrigerants and the whole table: boiling lines 0.00001 %
    in pressure and 0.0001 K; temperature 0.03 K, specific volume 0.1 %, entropy 1 J/(kg K), enthalpy 150 J/kg from
    pressure and temperature and 500 J/kg from pressure and entropy, all of them close to the critical point
    (measured in tests/test_property_tables.py). Copies and pickles are the same object again.
    """

    data: RefrigerantData
    properties: Properties

    def __repr__(self) -> str:
        return f'refrigerant("{self.name}")' + (".exact()" if self.is_exact else "")

    def __reduce__(self) -> tuple[Callable[[str], Refrigerant], tuple[str]]:
        return (_from_equation_of_state if self.is_exact else _from_tables), (self.name,)

    @property
    def is_exact(self) -> bool:
        """True if it asks the equation of state, false if it reads the shipped tables."""
        return isinstance(self.properties, ExactProperties)

    def state(
        self,
        *,
        pressure_pa: float | None = None,
        temperature_k: float | None = None,
        enthalpy_j_per_kg: float | None = None,
        entropy_j_per_kg_k: float | None = None,
        quality: float | None = None,
    ) -> State:
        """State from the pressure and one other quantity, or from temperature and quality. Plain numbers only.

        Parameters
        ----------
        pressure_pa : float [Pa, absolute]
        temperature_k : float [K]
        enthalpy_j_per_kg : float [J/kg]
        entropy_j_per_kg_k : float [J/(kg K)]
        quality : float, 0 ... 1, vapour mass fraction

        Returns
        -------
        State

        Raises
        ------
        OutOfRange : a value outside the limits
        NotUsable : another pair; pressure and temperature on the boiling line, where they do not fix a state

        Source
        ------
        Table from the equation of state; see `sources`.

        Examples
        --------
        >>> suction = refrigerant("R-134a").state(pressure_pa=200_000.0, temperature_k=273.15)
        >>> suction.phase, round(suction.superheat_k, 1), round(suction.enthalpy_j_per_kg / 1e3, 1)
        ('vapour', 10.1, 401.2)
        """
        given: dict[Quantity, float | None] = {
            "pressure": pressure_pa,
            "temperature": temperature_k,
            "enthalpy": enthalpy_j_per_kg,
            "entropy": entropy_j_per_kg_k,
            "quality": quality,
        }
        values = {name: plain_number(value, name) for name, value in given.items() if value is not None}
        if set(values) == {"temperature", "quality"}:
            values["pressure"] = self.properties.pressure_of_wet(values.pop("temperature"), values["quality"])
        if len(values) != 2 or "pressure" not in values:
            hint = "Give the pressure and one of temperature, enthalpy, entropy, quality; or temperature and quality."
            raise NotUsable("state", ", ".join(values) or "nothing", "this does not fix a state", hint=hint)
        pressure = values.pop("pressure")
        quantity, value = values.popitem()
        return self.properties.state(pressure, quantity, value)

    def enthalpy_pt(self, pressure_pa: FloatOrArray, temperature_k: FloatOrArray) -> FloatOrArray:
        """Enthalpy of liquid or vapour at a pressure and a temperature.

        Parameters
        ----------
        pressure_pa : float or array [Pa, absolute]
        temperature_k : float or array [K]

        Returns
        -------
        float or array [J/kg]

        Raises
        ------
        OutOfRange : outside the limits
        NotUsable : on the boiling line, where pressure and temperature do not fix a state

        Source
        ------
        Table from the equation of state; see `sources`.

        Examples
        --------
        >>> round(refrigerant("R-134a").enthalpy_pt(200_000.0, 273.15) / 1e3, 1)
        401.2
        """
        return self.properties.enthalpy(pressure_pa, "temperature", temperature_k)

    def enthalpy_ps(self, pressure_pa: FloatOrArray, entropy_j_per_kg_k: FloatOrArray) -> FloatOrArray:
        """Enthalpy at a pressure and an entropy, as after an ideal compression.

        Parameters
        ----------
        pressure_pa : float or array [Pa, absolute]
        entropy_j_per_kg_k : float or array [J/(kg K)]

        Returns
        -------
        float or array [J/kg]

        Raises
        ------
        OutOfRange : outside the limits

        Source
        ------
        Table from the equation of state; see `sources`.

        Examples
        --------
        >>> round(refrigerant("R-134a").enthalpy_ps(1_000_000.0, 1761.4) / 1e3, 1)
        435.2
        """
        return self.properties.enthalpy(pressure_pa, "entropy", entropy_j_per_kg_k)

    def temperature_ph(self, pressure_pa: FloatOrArray, enthalpy_j_per_kg: FloatOrArray) -> FloatOrArray:
        """Temperature at a pressure and an enthalpy.

        Parameters
        ----------
        pressure_pa : float or array [Pa, absolute]
        enthalpy_j_per_kg : float or array [J/kg]

        Returns
        -------
        float or array [K]

        Raises
        ------
        OutOfRange : outside the limits

        Source
        ------
        Table from the equation of state; see `sources`.

        Examples
        --------
        >>> round(refrigerant("R-134a").temperature_ph(1_000_000.0, 435_000.0) - 273.15, 1)
        53.8
        """
        return self.properties.at_enthalpy(pressure_pa, enthalpy_j_per_kg, "temperature")

    def volume_ph(self, pressure_pa: FloatOrArray, enthalpy_j_per_kg: FloatOrArray) -> FloatOrArray:
        """Specific volume at a pressure and an enthalpy.

        Parameters
        ----------
        pressure_pa : float or array [Pa, absolute]
        enthalpy_j_per_kg : float or array [J/kg]

        Returns
        -------
        float or array [m3/kg]

        Raises
        ------
        OutOfRange : outside the limits

        Source
        ------
        Table from the equation of state; see `sources`.

        Examples
        --------
        >>> round(refrigerant("R-134a").volume_ph(200_000.0, 400_900.0), 4)
        0.1046
        """
        return self.properties.at_enthalpy(pressure_pa, enthalpy_j_per_kg, "volume")

    def entropy_ph(self, pressure_pa: FloatOrArray, enthalpy_j_per_kg: FloatOrArray) -> FloatOrArray:
        """Specific entropy at a pressure and an enthalpy.

        Parameters
        ----------
        pressure_pa : float or array [Pa, absolute]
        enthalpy_j_per_kg : float or array [J/kg]

        Returns
        -------
        float or array [J/(kg K)]

        Raises
        ------
        OutOfRange : outside the limits

        Source
        ------
        Table from the equation of state; see `sources`.

        Examples
        --------
        >>> round(refrigerant("R-134a").entropy_ph(200_000.0, 400_900.0))
        1764
        """
        return self.properties.at_enthalpy(pressure_pa, enthalpy_j_per_kg, "entropy")

    def quality_ph(self, pressure_pa: FloatOrArray, enthalpy_j_per_kg: FloatOrArray) -> FloatOrArray:
        """Vapour mass fraction at a pressure and an enthalpy: 0 in all liquid, 1 in all vapour.

        Parameters
        ----------
        pressure_pa : float or array [Pa, absolute]
        enthalpy_j_per_kg : float or array [J/kg]

        Returns
        -------
        float or array

        Raises
        ------
        OutOfRange : outside the limits

        Source
        ------
        Definition; for blends the equilibrium of both phases, for enthalpy is not linear in quality.

        Examples
        --------
        >>> round(refrigerant("R-134a").quality_ph(200_000.0, 250_000.0), 3)
        0.308
        """
        return self.properties.at_enthalpy(pressure_pa, enthalpy_j_per_kg, "quality")

    def exact(self) -> Refrigerant:
        """The same refrigerant straight from the equation of state; slower, but pure ones answer beyond the tables.

        Returns
        -------
        Refrigerant

        Source
        ------
        CoolProp; own phase equilibrium for blends.

        Examples
        --------
        >>> round(refrigerant("R-744").exact().dew_pressure(303.15) / 1e5, 1)
        72.1
        """
        return _from_equation_of_state(self.name)
