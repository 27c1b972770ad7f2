"""What the client's rules ask before the main is given back: ``[giving_back]`` of ``job.toml``, in SI."""

from dataclasses import dataclass
from typing import Literal

__all__ = ["GivingBack"]


@dataclass(frozen=True, slots=True)
class GivingBack:
    """``[giving_back]``: every value is the job's own, None where nobody gave it.

    Attributes
    ----------
    soak, test_time, chlorine_time, sample_interval, laboratory, notice, care_notice, quick_return, product_age, product_halving
        Durations. [s]
    test_loss
        Water that may be pumped after in the test, by the client's own rule. [m3]
    fill_flow, flush_flow_max
        Flows. [m3/s]
    flush_velocity, flush_changes
        Velocity in the largest bore [m/s] and changes of the water [-].
    chlorine, residual
        Chlorine at the beginning, and the least at the end. [kg/m3]
    slug_share
        Length of the slug by that of the block. [-]
    product_strength
        Available chlorine of the solution by volume, when it was made or tested. [-]
    night_share
        Least flow of the night by the flows of ``main.csv``. [-]
    """

    soak: float | None = None
    test_time: float | None = None
    test_loss: float | None = None
    fill_flow: float | None = None
    flush_velocity: float | None = None
    flush_changes: float | None = None
    flush_flow_max: float | None = None
    discharge_to: str | None = None
    chlorine_method: Literal["continuous", "slug"] | None = None
    chlorine: float | None = None
    chlorine_time: float | None = None
    residual: float | None = None
    slug_share: float | None = None
    product_strength: float | None = None
    product_age: float | None = None
    product_halving: float | None = None
    neutraliser: str | None = None
    sample_rounds: int | None = None
    sample_interval: float | None = None
    laboratory: float | None = None
    cement: Literal["portland", "slag"] | None = None
    night_share: float | None = None
    notice: float | None = None
    care_notice: float | None = None
    quick_return: float | None = None
    quick_return_signed: str | None = None
