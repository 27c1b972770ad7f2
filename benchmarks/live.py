"""What one reading of a run costs, whatever came before it, against computing the whole run again.

``python benchmarks/live.py [readings ...]`` prints CPU times and ends with an error where a goal is missed. Every run of the table is
checked first: what was pumped lies on the wall.
"""

import sys
from time import process_time

import numpy as np

from mainwright.line.deposit_map import DepositMap
from mainwright.line.run_plan import PlannedLength, RunPlan

GOALS = {"exponent": 0.05}
BORE, AIM, FLOW, EFFICIENCY = 0.4, 0.006, 0.0005, 0.97
BIN = 0.02


def make_readings(count: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    rng = np.random.default_rng(7)
    times = np.arange(count) * 0.1
    speed = 0.066 * (1.0 + 0.05 * np.sin(times / 30.0))
    speed[rng.random(count) < 0.01] = 0.0
    ways = np.concatenate([[0.0], np.cumsum(speed[:-1] * 0.1)])
    return times, ways, FLOW * (1.0 + 0.03 * rng.standard_normal(count))


def make_plan(length: float) -> RunPlan:
    lengths = (PlannedLength(0.0, length, BORE, AIM, 0.005, 0.009, 0.066, 0.05, 0.08),)
    return RunPlan("R01", 0.0, length, "increasing", length, lengths, EFFICIENCY, 0.0, FLOW, 0.0, 0.03, 0.001, 1.0, 0.4, 0.2)


def recompute(times: np.ndarray, ways: np.ndarray, flows: np.ndarray, length: float) -> np.ndarray:
    """Return the bins as a table library would: each step into the bin of its middle."""
    volumes = EFFICIENCY * flows[:-1] * np.diff(times)
    places = ((ways[:-1] + ways[1:]) / (2.0 * BIN)).astype(np.int64)
    return np.bincount(places, weights=volumes, minlength=int(np.ceil(length / BIN)))


def measure(count: int) -> dict[str, float]:
    times, ways, flows = make_readings(count)
    length = float(ways[-1]) + 1.0
    rows = list(zip(range(count), times.tolist(), ways.tolist(), flows.tolist(), strict=True))
    deposit = DepositMap(make_plan(length), bin_length=BIN)
    before = process_time()
    for number, time, way, flow in rows:
        deposit.add(number=number, time=time, way=way, flow=flow, guess=0.0)
    spent = process_time() - before
    truth = EFFICIENCY * float(np.sum(flows[:-1] * np.diff(times)))
    assert abs(deposit.deposited - truth) <= 1e-9 * truth
    before = process_time()
    repeats = max(1, 200_000 // count)
    for _ in range(repeats):
        bins = recompute(times, ways, flows, length)
    again = (process_time() - before) / repeats
    assert abs(float(bins.sum()) - truth) <= 1e-9 * truth
    return {"reading": spent / count, "again": again}


def main(sizes: list[int]) -> int:
    print("readings, us a reading, ms to compute again, ratio")
    table = {count: measure(count) for count in sizes}
    for count, found in table.items():
        print(f"{count:,}, {1e6 * found['reading']:.2f}, {1e3 * found['again']:.2f}, {found['again'] / found['reading']:.0f}x")
    first, last = sizes[0], sizes[-1]
    growth = float(np.log(table[last]["reading"] / table[first]["reading"]) / np.log(last / first)) if last > first else 0.0
    print(f"growth from {first:,} to {last:,}: exponent {growth:.3f}")
    if growth > GOALS["exponent"]:
        print(f"missed: exponent {growth:.3f}")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main([int(argument) for argument in sys.argv[1:]] or [1_000, 10_000, 100_000, 1_000_000]))
