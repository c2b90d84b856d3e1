"""Values as people say them: `--evaporating -10 C` is one value, with and without quotes."""

from __future__ import annotations

import re
from typing import Any

import click

from hvacr_lab.errors import LabError, NotUsable, UnknownName
from hvacr_lab.units import STANDARD_ATMOSPHERE_PA, barometer_pa, parse_quantity

_BARE_NUMBER = re.compile(r"[+-]?[\d.,]+(e[+-]?\d+)?", re.IGNORECASE)
_LOOKS_LIKE_A_REFRIGERANT = re.compile(r"(r-?)?\d.*", re.IGNORECASE)
_SECOND_UNIT_WORDS = {"vacuum", "gauge", "absolute", "(g)", "(a)", "g", "a"}


class Spoken(click.types.StringParamType):
    """A value with its unit, kept as text: a gauge pressure can only be read once the barometer is known."""

    name = "value"


SPOKEN = Spoken()


class SpokenCommand(click.Command):
    """A command whose options of type `SPOKEN` take "2 bar" as one word or as two."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Join numbers and units, then parse as usual."""
        names = {name for param in self.params if isinstance(param.type, Spoken) for name in param.opts}
        return super().parse_args(ctx, joined(args, names))


def joined(words: list[str], options: set[str]) -> list[str]:
    """Join number and unit behind each of the options to one word.

    Parameters
    ----------
    words : list of str, as the shell passes them
    options : set of str, options that take a value with a unit

    Returns
    -------
    list of str

    Examples
    --------
    >>> joined(["R-134a", "--pressure", "2", "bar", "--json"], {"--pressure"})
    ['R-134a', '--pressure', '2 bar', '--json']
    """
    rest, result = list(words), []
    while rest:
        option, equals, value = rest.pop(0).partition("=")
        if option not in options:
            result.append(option + equals + value)
            continue
        value = value if equals else rest.pop(0) if rest else ""
        while rest and _belongs_to(rest[0], value):
            value = f"{value} {rest.pop(0)}"
        result += [option, value] if value else [option]
    return result


def _belongs_to(word: str, value: str) -> bool:
    """True where the next word is the unit of a bare number, or the second word of its unit."""
    if _BARE_NUMBER.fullmatch(value):
        return not word.startswith("-") and not _LOOKS_LIKE_A_REFRIGERANT.fullmatch(word)
    return word.lower() in _SECOND_UNIT_WORDS


def barometer(altitude: str | None, reading: str | None) -> float | None:
    """Barometer from what was said about the place.

    Parameters
    ----------
    altitude : str or None, "430 m"
    reading : str or None, "963 hPa"

    Returns
    -------
    float [Pa absolute], or None when nothing was said

    Raises
    ------
    NotUsable : both are given
    """
    if altitude is not None and reading is not None:
        raise NotUsable("barometer", reading, "the altitude is given as well", hint="Leave one out.")
    if altitude is not None:
        return barometer_pa(parse_quantity(altitude, "length"))
    return parse_quantity(reading, "pressure") if reading is not None else None


def quantities(barometer_pa: float | None, **said: tuple[str | None, str]) -> dict[str, Any]:
    """Read the values that were given.

    Parameters
    ----------
    barometer_pa : float or None [Pa absolute], for gauge pressures
    said : each name with (text or None, quantity)

    Returns
    -------
    dict of float [SI], without those that were not given

    Raises
    ------
    NotUsable, OutOfRange, UnknownName
    """
    return {name: _read(text, quantity, barometer_pa) for name, (text, quantity) in said.items() if text is not None}


def _read(text: str, quantity: str, barometer_pa: float | None) -> float:
    try:
        return parse_quantity(text, quantity, barometer_pa=barometer_pa)
    except NotUsable:
        if barometer_pa is None and _is_gauge(text, quantity):
            hint = 'Say where: --altitude "430 m" or --barometer "963 hPa".'
            raise NotUsable(quantity, text, "a gauge counts from the air around it", hint=hint) from None
        raise


def _is_gauge(text: str, quantity: str) -> bool:
    """True where a barometer is all that is missing."""
    try:
        parse_quantity(text, quantity, barometer_pa=STANDARD_ATMOSPHERE_PA)
    except LabError:
        return False
    return True


def temperature_or_pressure(side: str, text: str, barometer_pa: float | None) -> dict[str, float]:
    """Read one side of a cycle, which may be given as temperature or as pressure.

    Parameters
    ----------
    side : str, "evaporating", "condensing"
    text : str, "-10 C", "2 bar", "15 psig"
    barometer_pa : float or None [Pa absolute], for gauge pressures

    Returns
    -------
    dict with one entry, named after side and quantity with the unit as suffix

    Raises
    ------
    NotUsable, OutOfRange : as `parse_quantity`
    """
    try:
        return {f"{side}_temperature_k": parse_quantity(text, "temperature")}
    except UnknownName:
        pass  # no unit of temperature
    try:
        return {f"{side}_pressure_pa": _read(text, "pressure", barometer_pa)}
    except UnknownName:
        hint = 'Write for example "-10 C" or "2 bar".'
        raise NotUsable(f"{side} side", text, "its unit is neither of temperature nor of pressure", hint=hint) from None
