"""The money of the jobs in code: the documented defaults, written out."""

from mainwright.job.office import Money
from mainwright.units import to_si

__all__ = ["MONEY"]

MONEY = Money(
    margin=0.10, common_share=0.5, obstructions_per_km=1.0, sample_failure=0.07, lost_shifts=0.05, interest=0.03,
    horizon=to_si(50.0, "years"), energy_price=None, pump_efficiency=0.65, pumped_share=0.5, life_lined=to_si(50.0, "years"),
    life_new_pipe=to_si(80.0, "years"), life_slip_lining=to_si(60.0, "years"), life_spraying=to_si(40.0, "years"),
)  # fmt: skip
