"""The lime that a fresh lining gives off, and the fit of its law to the field trials."""

import math

import numpy as np
import pytest

from mainwright.errors import InputError
from mainwright.science.chemistry.equilibrium import GIVEN, RESULT, solve_waters
from mainwright.science.chemistry.leaching import WEEK, age_at_uptake, lime_uptake, standing_uptake, stay_share
from mainwright.standards.published import value
from mainwright.standards.water import CALCITE_EQUIVALENT

_LAW = {"rate": value("leaching", "rate").value, "exponent": value("leaching", "exponent").value}

TRIALS = (
    # alkalinity as CaCO3, slag, stay [h], weeks over pH 9.5, whether the trial ended before
    (10, False, 1, 156.0, False),
    (22, False, 1, 10.5, False),
    (22, True, 1, 10.5, False),
    (35, False, 1, 4.3, False),
    (55, False, 1, 1.0, False),
    (14, True, 1, 12.0, False),
    (14, True, 6, 15.0, False),
    (21, True, 1, 9.0, False),
    (21, True, 6, 15.0, True),
)
"""Reports DWI0785, DWI0284, DWI0285 (1988, 1989); "several years" as three, ranges by their middle, no stay told as 1 h."""


def _lime_to_9_5(alkalinities: list[float]) -> dict[float, float]:
    doses = np.linspace(0.0, 3e-4, 600)
    found = {}
    for alkalinity in alkalinities:
        table = np.zeros((len(doses), len(GIVEN)))
        charge = alkalinity * 1e-6 / CALCITE_EQUIVALENT
        values = {"temperature": 10.0, "ph": 7.5, "alkalinity": charge, "carbon": np.nan, "calcium": 0.4 * charge}
        for name, content in values.items():
            table[:, GIVEN.index(name)] = content
        table[:, GIVEN.index("lime")] = doses
        ph = solve_waters(table, calcite=False)[:, RESULT.index("ph")]
        found[alkalinity] = 1e3 * float(np.interp(9.5, ph, doses))
    return found


@pytest.mark.outside(
    "field trials of reports DWI0284, DWI0285 and DWI0785 (1988, 1989), fitted by least squares, censored where a trial ended"
)
def test_the_constants_are_the_fit_to_the_trials() -> None:
    lime = _lime_to_9_5(sorted({float(row[0]) for row in TRIALS}))
    weeks = np.log([row[3] for row in TRIALS])
    ended = np.array([row[4] for row in TRIALS])
    best = (math.inf, 0.0, np.zeros(3))
    for scale in np.arange(0.05, 2.0, 0.01):
        shares = [math.log(stay_share(stay=row[2], scale=scale)) for row in TRIALS]
        design = np.array([[1.0, row[1], share - math.log(lime[row[0]])] for row, share in zip(TRIALS, shares, strict=True)])
        aim = weeks.copy()
        for _ in range(60):
            found = np.linalg.lstsq(design, aim, rcond=None)[0]
            told = design @ found
            aim[ended] = np.maximum(weeks[ended], told[ended])
        left = float(((aim - told) ** 2).sum())
        if left < best[0]:
            best = (left, float(scale), found)
    left, scale, (first, slag, slope) = best
    assert 1.0 / slope == pytest.approx(_LAW["exponent"], abs=0.005)
    assert math.exp(first / slope) == pytest.approx(_LAW["rate"], rel=0.01)
    assert math.exp(slag / slope) == pytest.approx(value("leaching", "slag").value, abs=0.01)
    assert scale * 3600.0 == pytest.approx(value("leaching", "stay_scale").value, rel=0.1)
    # Nine durations less four constants.
    assert math.sqrt(left / 5.0) == pytest.approx(value("leaching", "deviation").value, abs=0.01)


@pytest.mark.outside("a constructed case: 1 g/m2 of CaO a root of a day, one day, bore 100 mm: 40 mg/l")
def test_standing_water_by_the_diffusion_law() -> None:
    mass = 0.0560774
    rate = 1e-3 / mass / math.sqrt(86400.0)
    assert standing_uptake(rate=rate, age=86400.0, bore=0.1) * mass == pytest.approx(0.040)


def test_the_age_is_the_inverse_of_the_uptake() -> None:
    for weeks in (0.1, 1.0, 50.0):
        uptake = lime_uptake(age=weeks * WEEK, share=0.9, bore=0.15, **_LAW)
        assert age_at_uptake(uptake=uptake, share=0.9, bore=0.15, **_LAW) == pytest.approx(weeks * WEEK)
    assert age_at_uptake(uptake=0.0, share=0.9, bore=0.15, **_LAW) == math.inf


def test_a_longer_stay_and_a_smaller_bore_take_up_more() -> None:
    assert stay_share(stay=3600.0, scale=1260.0) < stay_share(stay=7200.0, scale=1260.0) < 1.0
    assert stay_share(stay=1.0, scale=1260.0) == pytest.approx(1.0 / 1260.0, rel=1e-3)
    assert lime_uptake(age=WEEK, share=1.0, bore=0.1, **_LAW) == pytest.approx(2.0 * lime_uptake(age=WEEK, share=1.0, bore=0.2, **_LAW))


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(InputError, match="age"):
        lime_uptake(age=0.0, share=1.0, bore=0.1, **_LAW)
    with pytest.raises(InputError, match="bore"):
        age_at_uptake(uptake=1.0, share=1.0, bore=0.0, **_LAW)
