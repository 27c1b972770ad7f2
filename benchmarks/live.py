"""What one reading of a run costs, whatever came before it, against computing the whole run again.

``python benchmarks/live.py [readings ...]`` prints CPU times and ends with an error where a goal is missed. Every run of the table is
checked first: what was pumped lies on the wall, and blocks give the bits of single readings.
"""

import sys
from time import process_time

import numpy as np

from mainwright.line.deposit_map import DepositMap
from mainwright.line.run_plan import PlannedLength, RunPlan

GOALS = {"exponent": 0.05, "reading": 1e-6, "refresh": 3_000.0}
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


def recompute_table(times: np.ndarray, ways: np.ndarray, flows: np.ndarray) -> float:
    """Return what computing a whole run costs with a table library, pandas, where that is there; NaN where it is not. [s]."""
    try:
        import pandas as pd
    except ImportError:
        return float("nan")
    before = process_time()
    table = pd.DataFrame({"time": times, "way": ways, "flow": flows})
    table["volume"] = EFFICIENCY * table["flow"] * table["time"].diff().shift(-1)
    table["bin"] = ((table["way"] + table["way"].shift(-1)) / (2.0 * BIN)).fillna(0.0).astype("int64")
    bins = table.groupby("bin")["volume"].sum()
    spent = process_time() - before
    truth = EFFICIENCY * float(np.sum(flows[:-1] * np.diff(times)))
    assert abs(float(bins.sum()) - truth) <= 1e-9 * truth
    return spent


def measure(count: int) -> dict[str, float]:
    times, ways, flows = make_readings(count)
    length = float(ways[-1]) + 1.0
    rows = list(zip(range(count), times.tolist(), ways.tolist(), flows.tolist(), strict=True))
    truth = EFFICIENCY * float(np.sum(flows[:-1] * np.diff(times)))
    single, block, again = [], [], []
    for _ in range(max(1, min(5, 300_000 // count))):
        deposit = DepositMap(make_plan(length), bin_length=BIN)
        before = process_time()
        for number, time, way, flow in rows:
            deposit.add(number=number, time=time, way=way, flow=flow, guess=0.0)
        single.append(process_time() - before)
        assert abs(deposit.deposited - truth) <= 1e-9 * truth
        other = DepositMap(make_plan(length), bin_length=BIN)
        numbers = np.arange(count)
        before = process_time()
        other.add_many(numbers=numbers, times=times, ways=ways, flows=flows, compiled=True)
        block.append(process_time() - before)
        assert other.volumes == deposit.volumes
        assert (other.pumped, other.outside, other.furthest) == (deposit.pumped, deposit.outside, deposit.furthest)
        repeats = max(1, 100_000 // count)
        before = process_time()
        for _ in range(repeats):
            bins = recompute(times, ways, flows, length)
        again.append((process_time() - before) / repeats)
        assert abs(float(bins.sum()) - truth) <= 1e-9 * truth
    table = min(recompute_table(times, ways, flows) for _ in range(5))
    return {"single": min(single) / count, "block": min(block) / count, "again": min(again), "table": table}


def pace_of_machine() -> float:
    """Return what a call of an empty function with six named values costs: the yardstick of a machine that others use too. [s]."""

    def empty(*, number: int, time: float, way: float, flow: float, guess: float, count: float | None = None) -> str:
        return "new"

    def spent() -> float:
        before = process_time()
        for number in range(100_000):
            empty(number=number, time=1.0, way=2.0, flow=3.0, guess=0.0)
        return (process_time() - before) / 100_000

    return min(spent() for _ in range(5))


def main(sizes: list[int]) -> int:
    measure(1_000)
    print("readings; us one by one; us in a block; ms to compute all again by arrays; by a table; that in readings one by one; in a block")
    table = {count: measure(count) for count in sizes}
    for count, found in table.items():
        single, block, again, rows = (found[name] for name in ("single", "block", "again", "table"))
        ratios = f"{rows / single:,.0f}; {rows / block:,.0f}"
        print(f"{count:,}; {1e6 * single:.2f}; {1e6 * block:.2f}; {1e3 * again:.2f}; {1e3 * rows:.2f}; {ratios}")
    first, last = sizes[0], sizes[-1]
    growth = float(np.log(table[last]["single"] / table[first]["single"]) / np.log(last / first)) if last > first else 0.0
    print(f"growth from {first:,} to {last:,}: exponent {growth:.3f}; an empty call costs {1e6 * pace_of_machine():.2f} us here")
    missed = [f"exponent {growth:.3f}"] if growth > GOALS["exponent"] else []
    fastest = min(found["block"] for found in table.values())
    if fastest > GOALS["reading"]:
        missed.append(f"{1e6 * fastest:.2f} us a reading")
    refresh = table[100_000]["table"] / table[100_000]["block"] if 100_000 in table else float("nan")
    if refresh < GOALS["refresh"]:
        missed.append(f"a reading is {refresh:.0f} times cheaper than 100,000 anew")
    for one in missed:
        print(f"missed: {one}")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main([int(argument) for argument in sys.argv[1:]] or [1_000, 10_000, 100_000, 1_000_000]))
