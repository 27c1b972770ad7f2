"""The setting of the pump for a wanted flow, from the pump's own test."""

from dataclasses import dataclass

__all__ = ["PumpSetting"]


@dataclass(frozen=True, slots=True)
class PumpSetting:
    """A setting with its interval. ``extrapolated``: the flow lies outside what was tested."""

    value: float
    low: float | None
    high: float | None
    extrapolated: bool
