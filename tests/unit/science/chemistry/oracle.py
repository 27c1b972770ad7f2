"""Random plausible waters, and what PHREEQC says of them."""

import random
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mainwright.science.chemistry.equilibrium import GIVEN


def random_waters(count: int, seed: int) -> NDArray[np.float64]:
    """Return waters as the kernel takes them: 0 to 30 degC, utilities' ranges; lime 0."""
    rnd = random.Random(seed)
    rows = []
    for _ in range(count):
        alkalinity = rnd.uniform(0.1e-3, 6e-3)
        values = {
            "temperature": rnd.uniform(0.0, 30.0),
            "ph": rnd.uniform(6.5, 9.2),
            "alkalinity": alkalinity,
            "carbon": np.nan,
            "calcium": rnd.uniform(0.1e-3, 4e-3),
            "magnesium": rnd.uniform(0.0, 2e-3),
            "sodium": rnd.uniform(0.05e-3, 5e-3),
            "potassium": rnd.uniform(0.0, 0.3e-3),
            "sulfate": rnd.uniform(0.0, 2.5e-3),
            "chloride": rnd.uniform(0.05e-3, 5e-3),
            "nitrate": rnd.uniform(0.0, 0.8e-3),
            "ammonium": 0.0,
            "silica": rnd.uniform(0.0, 0.3e-3),
            "lime": 0.0,
        }
        rows.append([values[name] for name in GIVEN])
    return np.array(rows)


def _block(number: int, row: dict[str, float]) -> str:
    return f"""SOLUTION {number}
 temp {row["temperature"]!r}
 pH {row["ph"]!r}
 units mol/kgw
 Alkalinity {row["alkalinity"]!r}
 Ca {row["calcium"]!r}
 Mg {row["magnesium"]!r}
 Na {row["sodium"]!r}
 K {row["potassium"]!r}
 S(6) {row["sulfate"]!r}
 Cl {row["chloride"]!r}
 N(5) {row["nitrate"]!r}
 Si {row["silica"]!r}
END
"""


def by_phreeqc(table: NDArray[np.float64], *, lime: float | None = None, calcite: bool = False) -> NDArray[np.float64]:
    """Return pH, calcite index and calcite that dissolves [mol/kg] of each water by PHREEQC, after lime where it is given."""
    import phreeqc

    engine: Any = phreeqc.Phreeqc()
    engine.LoadDatabase(str(files("phreeqc") / "databases" / "phreeqc.dat"))
    assert not engine.GetErrorString()
    # The wheel's redox couples are left alone: nitrate stays nitrate.
    text = "SELECTED_OUTPUT\n -reset false\n -pH true\n -saturation_indices Calcite\n -equilibrium_phases Calcite\n -high_precision true\n"
    rows = [dict(zip(GIVEN, map(float, values), strict=True)) for values in table]
    for number, row in enumerate(rows, start=1):
        text += _block(number, row)
    for number in range(1, len(rows) + 1):
        text += f"USE solution {number}\n"
        text += f"REACTION 1\n Ca(OH)2 1\n {lime or 0.0!r} moles\n" if lime is not None or not calcite else ""
        text += "EQUILIBRIUM_PHASES 1\n Calcite 0 10\n" if calcite else ""
        text += "END\n"
    engine.SetSelectedOutputStringOn(True)
    engine.RunString(text)
    assert not engine.GetErrorString(), engine.GetErrorString()[:400]
    lines = engine.GetSelectedOutputString().split("\n")
    heads = lines[0].split()
    found = [dict(zip(heads, line.split(), strict=True)) for line in lines[1:] if line.split()]
    last = found[-len(rows) :]
    dissolved = [-float(one["d_Calcite"]) if "d_Calcite" in one else float("nan") for one in last]
    return np.array([[float(one["pH"]), float(one["si_Calcite"]), dissolved[k]] for k, one in enumerate(last)])
