"""What the equations of state do not say about a refrigerant: composition, safety class, warming potential, sources."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

from hvacr_lab.errors import NotUsable, UnknownName

GWP_EDITIONS = ("AR4", "AR5", "AR6")
# assessment reports of the IPCC: 2007, 2013, 2021

_NO_CHLORINE = {"value": 0.0, "source": "no_chlorine", "basis": "memory"}


@dataclass(frozen=True, slots=True)
class Sourced:
    """A value with its source in words and its basis: "read", "secondary" or "memory"."""

    value: Any
    source: str
    basis: str

    @property
    def origin(self) -> str:
        """Source and basis in one phrase."""
        return self.source if self.basis == "memory" else f"{self.source} ({self.basis})"


@dataclass(frozen=True, slots=True)
class RefrigerantData:
    """One entry of data/refrigerants.toml."""

    name: str
    coolprop_name: str
    common_name: str
    mass_fractions: Mapping[str, float]
    safety_class: Sourced
    odp: Sourced
    gwp: Mapping[str, Sourced]
    composition_source: str
    note: str

    @property
    def is_blend(self) -> bool:
        """True if it has more than one component."""
        return len(self.mass_fractions) > 1


@cache
def all_refrigerants() -> Mapping[str, RefrigerantData]:
    """Every entry of the table.

    Returns
    -------
    mapping of name ("R-134a") to RefrigerantData, in the order of the file

    Source
    ------
    data/refrigerants.toml, which names a source for every value.

    Examples
    --------
    >>> all_refrigerants()["R-32"].safety_class.value
    'A2L'
    """
    content = tomllib.loads(files("hvacr_lab").joinpath("data", "refrigerants.toml").read_text(encoding="utf-8"))
    sources = content["sources"]
    return MappingProxyType({name: _entry(name, raw, sources) for name, raw in content["refrigerants"].items()})


def _entry(name: str, raw: Mapping[str, Any], sources: Mapping[str, str]) -> RefrigerantData:
    def sourced(value: Mapping[str, Any]) -> Sourced:
        return Sourced(value["value"], sources[value["source"]], value["basis"])

    return RefrigerantData(
        name,
        raw["coolprop_name"],
        raw.get("common_name", ""),
        MappingProxyType(raw.get("mass_fractions", {name: 1.0})),
        sourced(raw["safety_class"]),
        sourced(raw.get("odp", _NO_CHLORINE)),
        MappingProxyType({edition: sourced(value) for edition, value in raw.get("gwp", {}).items()}),
        sources["coolprop"] if "mass_fractions" in raw else "pure",
        raw.get("note", ""),
    )


def warming_potentials(name: str, basis: str) -> tuple[tuple[str, float, Sourced | None], ...]:
    """Global warming potential of each component of a refrigerant.

    Parameters
    ----------
    name : str, as the table writes it
    basis : str, "AR4", "AR5" or "AR6"

    Returns
    -------
    tuple of (component, mass fraction, value with its source or None)

    Source
    ------
    data/refrigerants.toml.

    Examples
    --------
    >>> [(component, gwp.value) for component, share, gwp in warming_potentials("R-410A", "AR4")]
    [('R-32', 675), ('R-125', 3500)]
    """
    table = all_refrigerants()
    return tuple((part, share, table[part].gwp.get(basis)) for part, share in table[name].mass_fractions.items())


def warming_potential(name: str, basis: str) -> float:
    """Global warming potential of a refrigerant; of a blend the mean of its components by mass.

    Parameters
    ----------
    name : str, as the table writes it
    basis : str, "AR4", "AR5" or "AR6"

    Returns
    -------
    float, carbon dioxide = 1

    Raises
    ------
    UnknownName : another basis
    NotUsable : the table has no value for it

    Source
    ------
    data/refrigerants.toml; rule for blends: US 40 CFR 84.64(b).

    Examples
    --------
    >>> warming_potential("R-32", "AR6")
    771.0
    """
    if basis not in GWP_EDITIONS:
        raise UnknownName("edition of warming potentials", basis, GWP_EDITIONS)
    parts = warming_potentials(name, basis)
    missing = [part for part, _, gwp in parts if gwp is None]
    if missing:
        has = [edition for edition in GWP_EDITIONS if all(gwp for _, _, gwp in warming_potentials(name, edition))]
        hint = f"There is one for {', '.join(has)}." if has else ""
        raise NotUsable(
            "edition of warming potentials", basis, f"the table has no {basis} value for {missing[0]}", hint=hint
        )
    return float(sum(share * gwp.value for _, share, gwp in parts if gwp))


def known_name(name: str) -> str:
    """The name as the table writes it, from any usual spelling: "r134a", "R 134a", "134a", "propane".

    Parameters
    ----------
    name : str

    Returns
    -------
    str, for example "R-134a"

    Raises
    ------
    UnknownName : a name that is not in the table; offers the closest ones

    Source
    ------
    Numbering of ANSI/ASHRAE Standard 34.

    Examples
    --------
    >>> known_name("r1234ze"), known_name("propane")
    ('R-1234ze(E)', 'R-290')
    """
    if not isinstance(name, str) or _bare(name) not in _spellings():
        raise UnknownName("refrigerant", name, all_refrigerants())
    return _spellings()[_bare(name)]


def _bare(name: str) -> str:
    return re.sub(r"[\s\-_()]", "", name).lower()


@cache
def _spellings() -> Mapping[str, str]:
    spellings: dict[str, str] = {}
    for name, entry in all_refrigerants().items():
        for full in {_bare(name), _bare(name.removesuffix("(E)")), _bare(entry.common_name)} - {""}:
            spellings[full] = spellings[full.removeprefix("r")] = name
    return MappingProxyType(spellings)
