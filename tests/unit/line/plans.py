"""A small run to follow."""

from mainwright.line.run_plan import PlannedLength, RunPlan

BORE = 0.2
AIM = 0.006
FLOW = 0.03 / 60.0


def plan(**changes: object) -> RunPlan:
    values: dict[str, object] = {
        "id": "R01",
        "start": 100.0,
        "end": 160.0,
        "direction": "increasing",
        "length": 60.0,
        "lengths": (PlannedLength(0.0, 60.0, BORE, AIM, 0.005, 0.009, 0.13, 0.10, 0.16),),
        "deposit_efficiency": 0.97,
        "pit_allowance": 0.0,
        "flow": FLOW,
        "bias": 0.0,
        "scatter": 0.03,
        "bore_deviation": 0.001,
        "correlation": 1.0,
        "trowel": 0.0,
        "hose_volume": 0.2,
        "usable": 5400.0,
        "speed_max": 0.2,
        "pressure_max": 40e5,
    }
    return RunPlan(**{**values, **changes})  # type: ignore[arg-type]
