"""Readings taken at a bench: the CSV file, what is doubtful in it, what it means, and how certain that is."""

from hvacr_lab.readings.load import load_readings, parse_readings
from hvacr_lab.readings.plausibility import plausibility_notes
from hvacr_lab.readings.records import Moment, Readings
from hvacr_lab.readings.results import MomentResults, evaluate
from hvacr_lab.readings.template import blank_readings_csv
from hvacr_lab.readings.uncertainty import (
    COVERAGE_FACTOR,
    Instruments,
    Measured,
    propagate,
    reading_limits,
    shifted,
)

__all__ = [
    "COVERAGE_FACTOR",
    "Instruments",
    "Measured",
    "Moment",
    "MomentResults",
    "Readings",
    "blank_readings_csv",
    "evaluate",
    "load_readings",
    "parse_readings",
    "plausibility_notes",
    "propagate",
    "reading_limits",
    "shifted",
]
