"""The water that will stand in the lined main: ``water.toml``."""

from dataclasses import dataclass

__all__ = ["WaterAnalysis"]


@dataclass(frozen=True, slots=True)
class WaterAnalysis:
    """One analysis: temperature [K], alkalinity as acid capacity [mol/m3], the rest as mass concentrations [kg/m3]; None = not known."""

    temperature: float | None = None
    ph: float | None = None
    alkalinity: float | None = None
    calcium: float | None = None
    magnesium: float | None = None
    sodium: float | None = None
    potassium: float | None = None
    sulfate: float | None = None
    chloride: float | None = None
    nitrate: float | None = None
    ammonium: float | None = None
    silica: float | None = None
    turbidity_ntu: float | None = None
