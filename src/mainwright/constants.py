"""Physical constants, in SI, each with its source."""

from typing import Final

__all__ = ["GAS_CONSTANT", "STANDARD_GRAVITY", "WATER_DENSITY_MIXING", "ZERO_CELSIUS"]

STANDARD_GRAVITY: Final = 9.80665
"""Standard acceleration of gravity. [m/s2] 3rd General Conference on Weights and Measures (1901), exact."""

ZERO_CELSIUS: Final = 273.15
"""Zero of the Celsius scale. [K] The International System of Units, 9th edition (2019), section 2.3.1, exact."""

GAS_CONSTANT: Final = 8.31446261815324
"""Molar gas constant. [J/(mol K)] CODATA 2018, exact."""

WATER_DENSITY_MIXING: Final = 1000.0
"""Density of mixing water in an absolute-volume sum. [kg/m3] ACI 211.1-91, example 1: relative density 1."""
