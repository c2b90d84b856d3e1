"""The shipped property tables: files of spline coefficients, the look-up in them, and the checks around it."""

from hvacr_lab.property_tables.properties import TableProperties

__all__ = ["TableProperties"]
