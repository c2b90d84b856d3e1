"""The library of slips: known wrong ways to an answer, each with what a student is told and what a report calls it.

A slip has the same id in every lesson, so that a report can say who made it before. A question names the slips that
fit it and gives each a formula on the same own numbers (``questions.Slip``).
"""

from __future__ import annotations

from typing import NamedTuple

from hvacr_lab.errors import UnknownName


class KnownSlip(NamedTuple):
    """What a slip is called in a report, and what the student is told."""

    label: str
    sentence: str


SLIPS: dict[str, KnownSlip] = {
    "gauge-as-absolute": KnownSlip(
        "gauge reading used as absolute",
        "It looks as if the gauge reading went into the table as it stood. A gauge shows pressure above the air "
        "around it: add the barometer first.",
    ),
    "sea-level-barometer": KnownSlip(
        "barometer of sea level",
        "It looks as if the air pressure of sea level was added. Your barometer is printed above: this school "
        "stands higher.",
    ),
    "wrong-side": KnownSlip(
        "low side for high side, or the reverse",
        "That pressure is from the other side of the machine. Take the gauge that sits on the same pipe as the "
        "thermometer.",
    ),
    "dew-for-bubble": KnownSlip(
        "dew line used where the bubble line is meant",
        "This is the other end of the glide. Subcooling is counted from the line where the last bubble is gone: "
        "the bubble line.",
    ),
    "bubble-for-dew": KnownSlip(
        "bubble line used where the dew line is meant",
        "This is the other end of the glide. Superheat is counted from the line where the last drop is gone: the "
        "dew line.",
    ),
    "mean-for-end": KnownSlip(
        "middle of the glide used for its end",
        "This is the middle of the glide. Superheat and subcooling are each counted from one end of it.",
    ),
    "sign": KnownSlip(
        "difference taken the wrong way round",
        "The size is right, the direction is not: which of the two temperatures is the higher one here?",
    ),
    "offset-in-difference": KnownSlip(
        "32 used in a temperature difference", "A difference of 1 K is 1.8 degF - no 32 in it."
    ),
    "fahrenheit-for-celsius": KnownSlip(
        "one temperature scale read as the other", "One temperature was read in the other scale. Look at its unit."
    ),
    "wrong-point": KnownSlip(
        "temperature of another place",
        "This is the answer for another place of the circuit. Take the thermometer at the place that the question "
        "names.",
    ),
    "pressure-of-another-point": KnownSlip(
        "pressure of another place",
        "The thermometer is the right one, the gauge is not. Pressure falls along a pipe: take the gauge on that pipe.",
    ),
    "saturation-not-subtracted": KnownSlip(
        "pipe temperature given as it stood",
        "That is the pipe temperature itself. How far is it from the boiling or condensing temperature?",
    ),
    "saturation-itself": KnownSlip(
        "table temperature given as it stood",
        "That is the temperature from the table itself. How far is the pipe away from it?",
    ),
    "per-kilogram": KnownSlip(
        "capacity for one kilogram", "This is for one kilogram. How many kilograms pass each second?"
    ),
    "kilo": KnownSlip(
        "factor 1000", "The digits are right, the unit is a thousand times off. Look at the k in kJ, kW or kPa."
    ),
    "minute-hour": KnownSlip(
        "minute, hour and second mixed up",
        "The size is right for another time: look whether it is per second, minute or hour.",
    ),
    "ton-kilowatt": KnownSlip(
        "ton and kilowatt mixed up",
        "One ton of refrigeration is about 3.5 kW. It was left out, or used the wrong way round.",
    ),
    "isentropic-for-real": KnownSlip(
        "ideal work taken for the real work", "This is the work of a perfect compressor. A real one needs more."
    ),
    "efficiency-inverted": KnownSlip(
        "multiplied by the efficiency instead of divided",
        "The efficiency went in the wrong way round. Does a real compressor need more work than a perfect one?",
    ),
    "cop-inverted": KnownSlip("COP upside down", "The fraction is upside down: useful heat above, work below."),
    "heating-for-cooling": KnownSlip(
        "heat given off taken for heat taken in",
        "That is the other coil. Which heat is wanted: the heat taken in, or the heat given off?",
    ),
    "effect-from-saturated-liquid": KnownSlip(
        "subcooling left out",
        "It looks as if the liquid was taken at its condensing temperature. Your liquid is colder: take it at "
        "the temperature of its pipe.",
    ),
    "flash-gas-left-out": KnownSlip(
        "flash gas forgotten",
        "Part of the liquid boils at once behind the expansion device. Glass 4 shows more than liquid.",
    ),
    "fraction-for-percent": KnownSlip(
        "fraction given for percent", "The size fits a fraction of one. The question asks for percent."
    ),
    "liquid-share": KnownSlip(
        "share of liquid given for share of vapour",
        "This is the part that is still liquid. The question asks for the vapour.",
    ),
    "ratio-in-gauge": KnownSlip(
        "pressure ratio from gauge readings", "A ratio needs absolute pressures. Add the barometer to both first."
    ),
    "celsius-in-ratio": KnownSlip(
        "ratio of temperatures in degC or degF",
        "A ratio of temperatures is taken in kelvin, counted from absolute zero.",
    ),
    "sensible-only": KnownSlip(
        "moisture left out", "This is only the heat that a dry thermometer shows. The water counts too."
    ),
    "total-for-sensible": KnownSlip(
        "moisture taken in", "This is the whole heat. The question asks for the part without the water."
    ),
    "relative-for-humidity-ratio": KnownSlip(
        "percent used as humidity ratio",
        "Percent of relative humidity is not the mass of water. Look the humidity ratio up.",
    ),
    "dry-for-wet": KnownSlip(
        "dry bulb used for wet bulb", "That is the reading of the dry thermometer. The wet one is meant."
    ),
    "wet-for-dry": KnownSlip(
        "wet bulb used for dry bulb", "That is the reading of the wet thermometer. The dry one is meant."
    ),
    "dry-air-density": KnownSlip(
        "standard air density", "The air here is thinner than standard air. Take its density at your barometer."
    ),
    "cooling-mode-valve": KnownSlip(
        "line-up of the other mode", "These valves belong to the other mode of the machine."
    ),
    "look-alike-fault": KnownSlip(
        "the neighbour in the symptom table", "This fault looks much the same. Which one reading tells the two apart?"
    ),
    "against-the-flow": KnownSlip(
        "order against the flow",
        "This is the way round against the flow. Start at the compressor outlet and walk along the arrows.",
    ),
    "subcooling-before-condensing": KnownSlip(
        "subcooling put before condensing",
        "Subcooling is a matter of finished liquid. What must come first, so that there is liquid?",
    ),
    "metering-before-condensing": KnownSlip(
        "expansion put before condensing",
        "The expansion device needs liquid. What must happen to the vapour before there is any?",
    ),
    "neighbour": KnownSlip(
        "right for another student's numbers",
        "This fits other numbers than yours. Use the readings printed in your own notebook.",
    ),
}
"""Slip id -> label and sentence."""


def known_slip(slip: str) -> KnownSlip:
    """Look a slip up in the library.

    Parameters
    ----------
    slip : str, its id

    Returns
    -------
    KnownSlip

    Raises
    ------
    UnknownName : no slip has this id

    Examples
    --------
    >>> known_slip("cop-inverted").label
    'COP upside down'
    """
    if slip not in SLIPS:
        raise UnknownName(
            "slip", slip, SLIPS, hint="Give the question's slip a sentence of its own, or add it to slips.py."
        )
    return SLIPS[slip]
