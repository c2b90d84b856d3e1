"""What is known about a refrigerant apart from its states: composition, fixed points, safety class, warming."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from hvacr_lab.refrigerants.data import GWP_EDITIONS, RefrigerantData, warming_potential, warming_potentials
from hvacr_lab.refrigerants.lines import SaturationLines
from hvacr_lab.states import Limits
from hvacr_lab.units import STANDARD_ATMOSPHERE_PA


class RefrigerantFacts(SaturationLines):
    """Facts from data/refrigerants.toml and from the table of the refrigerant."""

    __slots__ = ()
    data: RefrigerantData

    @property
    def name(self) -> str:
        """Name in the form "R-134a"."""
        return self.data.name

    @property
    def kind(self) -> str:
        """One substance ("pure") or several ("blend")."""
        return "blend" if self.data.is_blend else "pure"

    @property
    def components(self) -> tuple[str, ...]:
        """Names of the components."""
        return tuple(self.data.mass_fractions)

    @property
    def mass_fractions(self) -> tuple[float, ...]:
        """Mass fractions in the order of the components."""
        return tuple(self.data.mass_fractions.values())

    @property
    def molar_mass_kg_per_mol(self) -> float:
        """Molar mass; of a blend the mean by moles."""
        return float(self.properties.about["molar_mass_kg_per_mol"])

    @property
    def safety_class(self) -> str:
        """Class of toxicity (A, B) and flammability (1, 2L, 2, 3); check the current standard before work."""
        return str(self.data.safety_class.value)

    @property
    def odp(self) -> float:
        """Ozone depletion potential, R-11 = 1; no blend here holds a substance that depletes ozone."""
        return float(self.data.odp.value)

    @property
    def note(self) -> str:
        """What to know before using it, for example "for published examples"; empty if there is nothing."""
        return self.data.note

    @property
    def critical_temperature_k(self) -> float:
        """Critical temperature; of a blend as the mixture model computes it."""
        return float(self.properties.about["critical_temperature_k"])

    @property
    def critical_pressure_pa(self) -> float:
        """Critical pressure; of a blend as the mixture model computes it."""
        return float(self.properties.about["critical_pressure_pa"])

    @property
    def triple_temperature_k(self) -> float | None:
        """Triple point, None for a blend: its components freeze one by one."""
        kelvins: float | None = self.properties.about["triple_temperature_k"]
        return kelvins

    @property
    def triple_pressure_pa(self) -> float | None:
        """Pressure of the triple point, None for a blend."""
        pascals: float | None = self.properties.about["triple_pressure_pa"]
        return pascals

    @property
    def normal_boiling_point_k(self) -> float | None:
        """Bubble temperature at 101 325 Pa; None for R-744, which sublimes at that pressure."""
        if self.limits.pressure_pa[0] > STANDARD_ATMOSPHERE_PA:
            return None
        return float(self.bubble_temperature(STANDARD_ATMOSPHERE_PA))

    @property
    def limits(self) -> Limits:
        """Where answers are given."""
        return self.properties.limits

    @property
    def sources(self) -> Mapping[str, str]:
        """Where each fact comes from, with its basis: "read", "secondary" (quoted by another text) or "memory"."""
        return MappingProxyType(
            {
                "properties": self.properties.source,
                "safety class": self.data.safety_class.origin,
                "odp": self.data.odp.origin,
                "composition": self.data.composition_source,
            }
            | {f"GWP {edition}": _gwp_sources(self.name, edition) for edition in GWP_EDITIONS}
        )

    def gwp(self, basis: str = "AR6") -> float:
        """Global warming potential over 100 years, per mass, carbon dioxide = 1.

        Parameters
        ----------
        basis : str, assessment report of the IPCC: "AR6" (2021), "AR5" (2013) or "AR4" (2007, used in many laws)

        Returns
        -------
        float; of a blend the mean of its components by mass

        Raises
        ------
        UnknownName : another basis
        NotUsable : the table has no value for it

        Source
        ------
        data/refrigerants.toml names source and basis of each value; `sources` shows them. Blends: US 40 CFR 84.64(b).

        Examples
        --------
        >>> from hvacr_lab.refrigerants import refrigerant
        >>> round(refrigerant("R-410A").gwp("AR4"))
        2088
        """
        return warming_potential(self.name, basis)


def _gwp_sources(name: str, edition: str) -> str:
    parts = warming_potentials(name, edition)
    return "; ".join(f"{part}: {gwp.origin}" if gwp else f"{part}: no value" for part, _, gwp in parts)
