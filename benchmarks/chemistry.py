"""Lime taken up by 10,000 waters, and calcite after it, against PHREEQC one solution at a time.

Both must give the same pH before a time is printed. Run it with ``python benchmarks/chemistry.py [n]``: it ends with an error where a
goal is missed. Figures are of the process's CPU time, medians of several turns.
"""

import math
import statistics
import sys
from importlib.resources import files
from time import process_time

import numpy as np
from numpy.typing import NDArray
from phreeqc import Phreeqc

from mainwright.science.chemistry.equilibrium import GIVEN, RESULT, solve_waters

GOALS = {"ph": 60.0, "calcite": 30.0, "difference": 0.005, "exponent": 1.05}
FEW = 300
"""Waters that the other program is asked for."""

Floats = NDArray[np.float64]
NAMES = {"calcium": "Ca", "magnesium": "Mg", "sodium": "Na", "sulfate": "S(6)", "chloride": "Cl"}


def make_waters(count: int) -> Floats:
    rng = np.random.default_rng(7)
    table = np.zeros((count, len(GIVEN)))
    ranges = {
        "temperature": (4.0, 22.0),
        "ph": (6.6, 8.4),
        "alkalinity": (0.2e-3, 5e-3),
        "calcium": (0.1e-3, 3e-3),
        "magnesium": (0.05e-3, 1e-3),
        "sodium": (0.1e-3, 3e-3),
        "sulfate": (0.05e-3, 2e-3),
        "chloride": (0.1e-3, 4e-3),
        "lime": (0.01e-3, 1.5e-3),
    }
    for name, (low, high) in ranges.items():
        table[:, GIVEN.index(name)] = rng.uniform(low, high, count)
    table[:, GIVEN.index("carbon")] = np.nan
    return table


def by_phreeqc(table: Floats, *, calcite: bool) -> tuple[Floats, float]:
    """Return the pH of each water, one at a time, and the time a water."""
    engine = Phreeqc()
    engine.LoadDatabase(str(files("phreeqc") / "databases" / "phreeqc.dat"))
    engine.RunString("SELECTED_OUTPUT\n-reset false\n-pH true\n-high_precision true\nEND\n")
    found = []
    begun = process_time()
    for row in table:
        one = dict(zip(GIVEN, row.tolist(), strict=True))
        ions = "\n".join(f"{symbol} {one[name]!r}" for name, symbol in NAMES.items())
        text = f"SOLUTION 1\ntemp {one['temperature']!r}\npH {one['ph']!r}\nunits mol/kgw\nAlkalinity {one['alkalinity']!r}\n{ions}\n"
        text += f"REACTION 1\nCa(OH)2 1\n{one['lime']!r} moles\n" + ("EQUILIBRIUM_PHASES 1\nCalcite 0 0\n" if calcite else "") + "END\n"
        engine.RunString(text)
        assert not engine.GetErrorString(), engine.GetErrorString()
        found.append(engine.GetSelectedOutputValue(engine.GetSelectedOutputRowCount() - 1, 0))
    return np.array(found), (process_time() - begun) / len(table)


def own(table: Floats, *, calcite: bool, compiled: bool = True) -> tuple[Floats, float]:
    times = []
    for _ in range(5):
        begun = process_time()
        found = solve_waters(table, calcite=calcite, compiled=compiled)
        times.append((process_time() - begun) / len(table))
    return found, statistics.median(times)


def main(count: int) -> int:
    table = make_waters(count)
    own(table[:10], calcite=True)
    missed = []
    for name, calcite, column in (("ph", False, "ph"), ("calcite", True, "ph_at_calcite")):
        found, time = own(table, calcite=calcite)
        assert not found[:, RESULT.index("status")].any()
        few = table[: min(FEW, count)]
        theirs, their_time = by_phreeqc(few, calcite=calcite)
        over = found[: len(few), RESULT.index("saturation_index")] > 0.0 if calcite else np.full(len(few), fill_value=True)
        # The other program has no calcite to dissolve, only to let fall.
        difference = float(np.abs(found[: len(few), RESULT.index(column)] - theirs)[over].max())
        assert difference <= GOALS["difference"], f"{name}: pH differs by {difference}"
        times = their_time / time
        grown = [own(make_waters(size), calcite=calcite)[1] * size for size in (count // 10, count)]
        exponent = math.log10(grown[1] / grown[0])
        print(
            f"{name}: {1e6 * time:.2f} us a water, PHREEQC {1e6 * their_time:.0f} us, {times:.0f} times; pH {difference:.5f}; exponent {exponent:.2f}"
        )
        missed += [name] if times < GOALS[name] else []
        missed += [f"{name} exponent"] if exponent > GOALS["exponent"] else []
    _, plain = own(table[:100], calcite=True, compiled=False)
    print(f"plain Python: {1e6 * plain:.0f} us a water")
    for one in missed:
        print(f"goal missed: {one}")
    return 1 if missed else 0


if __name__ == "__main__":
    raise SystemExit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000))
