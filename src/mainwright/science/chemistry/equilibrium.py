"""Ions, pairs and carbonate of a water in equilibrium: one kernel for one water and for thousands.

The kernel is written once over indexable arrays: a few waters run it as it stands, many run it through numba. Its constants and its
activity model are those of the data base ``phreeqc.dat`` (US Geological Survey, public domain, edition of 22 May 2024).
"""

import math
from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["COMPILE_FROM", "FAILED", "GIVEN", "IMPOSSIBLE", "RESULT", "SOLVED", "solve_waters"]

COMPILE_FROM: Final = 400
"""Number of waters from which compiled code, read back from its cache, wins over plain Python. A guess, not measured yet."""

GIVEN: Final = (
    "temperature",
    "ph",
    "alkalinity",
    "carbon",
    "calcium",
    "magnesium",
    "sodium",
    "potassium",
    "sulfate",
    "chloride",
    "nitrate",
    "ammonium",
    "silica",
    "lime",
)
"""Columns that are given: temperature [degC], pH [-], the rest [mol/kg of water]. A pH of NaN is worked out from the carbon."""

RESULT: Final = (
    "ph",
    "carbon",
    "alkalinity",
    "saturation_index",
    "capacity",
    "ph_at_calcite",
    "free_carbon_dioxide",
    "buffer",
    "ionic_strength",
    "hydroxide",
    "cations",
    "anions",
    "status",
)
"""Columns of the result, after the lime: pH [-], carbon [mol/kg], alkalinity [mol/kg], calcite index [-], calcite that dissolves (negative: falls
out) [mol/kg], pH then [-], CO2 [mol/kg], buffer capacity [mol/kg per pH], ionic strength, hydroxide, charges [mol/kg], status [-]."""

SOLVED: Final = 0
IMPOSSIBLE: Final = 1
"""The alkalinity is less than the hydroxide (or acid) of this pH alone: no carbonate can make up for it."""
FAILED: Final = 2
"""No answer: more salt than the activity model bears, or no convergence."""


def _kernel(given: Any, result: Any, want_calcite: Any) -> None:  # noqa: ANN401, C901, PLR0912, PLR0915 - one flat loop, so that it compiles as it stands
    ln10 = 2.302585092994046
    for row in range(given.shape[0]):
        celsius = given[row, 0]
        kelvin = celsius + 273.15
        inverse = 1.0 / kelvin
        log_t = math.log10(kelvin)
        square = inverse * inverse
        # van't Hoff, with enthalpies in kJ/mol.
        hoff = (1.0 / 298.15 - inverse) / (ln10 * 8.31446e-3)
        # Debye and Hueckel: density of water on its vapour curve, dielectric constant at 1.01325 bar.
        theta = 1.0 - kelvin / 647.096
        root = theta ** (1.0 / 3.0)
        density = 0.322 * (
            1.0
            + 1.99274064 * root
            + 1.09965342 * root**2
            - 0.510839303 * root**5
            - 1.75493479 * root**16
            - 45.5170352 * root**43
            - 6.7469445e5 * root**110
        )
        thousand = 342.79 * math.exp(kelvin * (-5.0866e-3 + 9.4690e-7 * kelvin))
        spread = -2.0525 + 3115.9 / (kelvin - 182.89)
        shift = -8032.5 + 4.2142e6 * inverse + 2.1417 * kelvin
        dielectric = thousand + spread * math.log((shift + 1.01325) / (shift + 1000.0))
        bjerrum = 1.671008e-3 * inverse / dielectric
        kappa = math.sqrt(8.0 * math.pi * 6.02252e23 * bjerrum * density / 1000.0)
        debye_a = kappa * bjerrum / 2.0
        debye_b = kappa * 1e-8

        k_water = ln10 * (293.29227 + 0.1360833 * kelvin - 10576.913 * inverse - 123.73158 * log_t - 6.996455e-5 * kelvin**2)
        k_hco3 = ln10 * (107.8871 + 0.03252849 * kelvin - 5151.79 * inverse - 38.92561 * log_t + 563713.9 * square)
        k_co2 = ln10 * (464.1965 + 0.09344813 * kelvin - 26986.16 * inverse - 165.75951 * log_t + 2248628.9 * square)
        k_hso4 = ln10 * (-56.889 + 0.006473 * kelvin + 2307.9 * inverse + 19.8858 * log_t)
        k_nh3 = ln10 * (0.6322 - 0.001225 * kelvin - 2835.76 * inverse)
        k_nh4so4 = ln10 * (1.211 + 8.56 * hoff)
        k_caoh = ln10 * -12.78
        k_caco3 = ln10 * (-1228.732 - 0.29944 * kelvin + 35512.75 * inverse + 485.818 * log_t)
        k_cahco3 = ln10 * (-6.009 + 3.377e-2 * kelvin + 2044.0 * inverse)
        k_caso4 = ln10 * (2.25 + 1.325 * 4.184 * hoff)
        k_mgoh = ln10 * (-11.44 + 15.952 * 4.184 * hoff)
        k_mgco3 = ln10 * (0.991 + 0.00667 * kelvin)
        k_mghco3 = ln10 * (48.6721 + 0.03252849 * kelvin - 2614.335 * inverse - 18.00263 * log_t + 563713.9 * square)
        k_mgso4 = ln10 * (9.64e-3 * kelvin - 136.0 * inverse)
        k_mgso42 = ln10 * (-1.51e-3 * kelvin + 8.604e4 * square)
        k_nahco3 = ln10 * (-0.06 + 21.0 * hoff)
        k_naso4 = ln10 * (255.903 + 0.10057 * kelvin - 111.138 * log_t - 8.5983e5 * square)
        k_khco3 = ln10 * (-0.35 + 12.0 * hoff)
        k_kso4 = ln10 * (-3.0246 + 9.986e-3 * kelvin + 1.093e5 * square)
        k_h3sio4 = ln10 * (-302.3724 - 0.050698 * kelvin + 15669.69 * inverse + 108.18466 * log_t - 1119669.0 * square)
        k_h2sio4 = ln10 * (-294.0184 - 0.07265 * kelvin + 11204.49 * inverse + 108.18466 * log_t - 1119669.0 * square)
        k_calcite = ln10 * (17.118 - 0.046528 * kelvin - 3496.0 * inverse)

        mg_t = given[row, 5]
        na_t = given[row, 6]
        k_t = given[row, 7]
        so4_t = given[row, 8]
        cl = given[row, 9]
        no3 = given[row, 10]
        nh_t = given[row, 11]
        si_t = given[row, 12]
        lime = given[row, 13]
        ph_known = given[row, 1] == given[row, 1]
        base_ca = given[row, 4]
        base_alk = given[row, 2]
        base_ct = given[row, 3]

        ca_t = base_ca
        alk = base_alk
        ct = base_ct
        ca = ca_t
        mg = mg_t
        na = na_t
        pot = k_t
        nh4 = nh_t
        so4 = so4_t
        strength = 0.5 * (4.0 * (ca_t + mg_t + so4_t) + na_t + k_t + nh_t + cl + no3 + abs(base_alk))
        ln_h = -ln10 * given[row, 1] if ph_known else -ln10 * 8.0
        co3 = 1e-5
        water = 1.0
        fixed = ph_known
        if not fixed:
            ca_t = base_ca + lime
            alk = base_alk + 2.0 * lime
        stage = 0 if fixed else 1
        status = 0
        worked = -1.0
        slope = 0.0
        share = 0.0
        moved = 0.0
        below = 0.0
        above = 0.0
        before = 0.0
        index_before = 0.0
        falls = False
        rise = 1.0
        tries = 0
        have_below = False
        have_above = False
        limit = 0.0
        index = 0.0
        while stage < 9:
            # One solution: pH and alkalinity known (stage 0), else carbon and alkalinity known.
            low_h = -80.0
            high_h = 5.0
            count = 0
            solved = False
            while count < 200 and not solved and water > 0.1 and strength < 20.0:
                count += 1
                if abs(strength - worked) > 1e-13 + 1e-7 * strength:
                    worked = strength
                    root_i = math.sqrt(strength)
                    a_root = -ln10 * debye_a / 2.302585092994046 * root_i
                    bi = debye_b * root_i
                    linear = ln10 * strength
                    g350 = a_root / (1.0 + 3.5 * bi)
                    g400 = a_root / (1.0 + 4.0 * bi)
                    g500 = a_root / (1.0 + 5.0 * bi)
                    g540 = a_root / (1.0 + 5.4 * bi)
                    g550 = a_root / (1.0 + 5.5 * bi)
                    davies = a_root / (1.0 + root_i) - 0.3 * a_root * root_i
                    y_h = a_root / (1.0 + 9.0 * bi)
                    y_ca = 4.0 * g500 + 0.165 * linear
                    y_so4 = 4.0 * g500 - 0.04 * linear
                    y_mg = 4.0 * g550 + 0.2 * linear
                    y_na = a_root / (1.0 + 4.08 * bi) + 0.082 * linear
                    y_k = g350 + 0.015 * linear
                    y_nh4 = a_root / (1.0 + 2.5 * bi)
                    y_co3 = 4.0 * g540
                    y_neutral = 0.1 * linear
                    ln_w = math.log(water)
                    c_h = math.exp(-y_h)
                    c_oh = math.exp(k_water + ln_w - g350)
                    c_hco3 = math.exp(k_hco3 + y_co3 - g540)
                    c_co2 = math.exp(k_co2 + y_co3 - 0.066 * linear - ln_w)
                    c_hso4 = math.exp(k_hso4 + y_so4 - davies)
                    c_nh3 = math.exp(k_nh3 + y_nh4 - y_neutral)
                    c_nh4so4 = math.exp(k_nh4so4 + y_nh4 + y_so4 - a_root / (1.0 + 2.08 * bi) + 0.0416 * linear)
                    c_caoh = math.exp(k_caoh + y_ca + ln_w - davies)
                    c_caco3 = math.exp(k_caco3 + y_ca + y_co3 - y_neutral)
                    c_cahco3 = math.exp(k_cahco3 + y_ca + y_co3 - a_root / (1.0 + 6.0 * bi))
                    c_caso4 = math.exp(k_caso4 + y_ca + y_so4 - y_neutral)
                    c_mgoh = math.exp(k_mgoh + y_mg + ln_w - a_root / (1.0 + 6.5 * bi))
                    c_mgco3 = math.exp(k_mgco3 + y_mg + y_co3 - y_neutral)
                    c_mghco3 = math.exp(k_mghco3 + y_mg + y_co3 - g400)
                    c_mgso4 = math.exp(k_mgso4 + y_mg + y_so4 - 0.2 * linear)
                    c_mgso42 = math.exp(k_mgso4 + k_mgso42 + y_mg + 2.0 * y_so4 - 4.0 * a_root / (1.0 + 7.0 * bi) - 0.047 * linear)
                    c_nahco3 = math.exp(k_nahco3 + k_hco3 + y_na + y_co3 - 0.2 * linear)
                    c_naso4 = math.exp(k_naso4 + y_na + y_so4 - g550)
                    c_khco3 = math.exp(k_khco3 + k_hco3 + y_k + y_co3 - 0.0094 * linear)
                    c_kso4 = math.exp(k_kso4 + y_k + y_so4 - g540 - 0.19 * linear)
                    c_h3sio4 = math.exp(k_h3sio4 + y_neutral - g400)
                    c_h2sio4 = math.exp(k_h2sio4 + y_neutral - 4.0 * g540)
                h = math.exp(ln_h)
                hydrogen = h * c_h
                hydroxide = c_oh / h
                h_co3 = c_hco3 * h
                co2_co3 = c_co2 * h * h
                silicate = 1.0 + c_h3sio4 / h + c_h2sio4 / (h * h)
                h3sio4 = si_t * c_h3sio4 / h / silicate
                h2sio4 = si_t * c_h2sio4 / (h * h) / silicate
                change = 0.0
                for _sweep in range(3):
                    old_ca = ca
                    old_so4 = so4
                    old_co3 = co3
                    ca = ca_t / (1.0 + c_caoh / h + (c_caco3 + c_cahco3 * h) * co3 + c_caso4 * so4)
                    mg = mg_t / (1.0 + c_mgoh / h + (c_mgco3 + c_mghco3 * h) * co3 + (c_mgso4 + c_mgso42 * so4) * so4)
                    na = na_t / (1.0 + c_nahco3 * h * co3 + c_naso4 * so4)
                    pot = k_t / (1.0 + c_khco3 * h * co3 + c_kso4 * so4)
                    nh4 = nh_t / (1.0 + c_nh3 / h + c_nh4so4 * so4)
                    so4 = so4_t / (
                        1.0
                        + c_hso4 * h
                        + c_caso4 * ca
                        + (c_mgso4 + 2.0 * c_mgso42 * so4) * mg
                        + c_naso4 * na
                        + c_kso4 * pot
                        + c_nh4so4 * nh4
                    )
                    single = h_co3 + (c_cahco3 * ca + c_mghco3 * mg + c_nahco3 * na + c_khco3 * pot) * h
                    double = 1.0 + c_caco3 * ca + c_mgco3 * mg
                    other = hydroxide - hydrogen + (c_caoh * ca + c_mgoh * mg + c_nh3 * nh4) / h - c_hso4 * h * so4 + h3sio4 + 2.0 * h2sio4
                    if fixed:
                        co3 = (alk - other) / (2.0 * double + single)
                        co3 = max(co3, 0.0)
                    else:
                        co3 = ct / (double + single + co2_co3)
                    change = abs(ca - old_ca) / (ca_t + 1e-30) + abs(so4 - old_so4) / (so4_t + 1e-30) + abs(co3 - old_co3) / (co3 + 1e-30)
                    if change < 1e-12:
                        break
                # Ionic strength and activity of water.
                ones = (
                    na
                    + pot
                    + nh4
                    + cl
                    + no3
                    + hydrogen
                    + hydroxide
                    + (single - (c_nahco3 * na + c_khco3 * pot) * h) * co3
                    + (c_caoh * ca + c_mgoh * mg) / h
                    + (c_naso4 * na + c_kso4 * pot + c_nh4so4 * nh4 + c_hso4 * h) * so4
                    + h3sio4
                )
                twos = ca + mg + co3 + so4 + h2sio4 + c_mgso42 * mg * so4 * so4
                new_strength = 0.5 * ones + 2.0 * twos
                step_i = abs(new_strength - strength)
                strength = new_strength
                neutral = (
                    co2_co3 * co3 + (double - 1.0) * co3 + (c_caso4 * ca + c_mgso4 * mg) * so4 + (c_nahco3 * na + c_khco3 * pot) * h * co3
                )
                water = 1.0 - 0.017 * (ones + twos + neutral + si_t - h3sio4 - h2sio4)
                if fixed:
                    solved = step_i < 1e-10 * strength + 1e-15 and change < 1e-10 and count > 1
                else:
                    residual = 2.0 * double * co3 + single * co3 + other - alk
                    all_c = (double + single + co2_co3) * co3
                    bound = (single + 2.0 * co2_co3) * co3
                    spread_n = (single + 4.0 * co2_co3) * co3 - (bound * bound / all_c if all_c > 0.0 else 0.0)
                    slope = (
                        hydrogen
                        + hydroxide
                        + (c_caoh * ca + c_mgoh * mg) / h
                        + c_nh3 * nh4 / h * nh4 / (nh_t + 1e-30)
                        + c_hso4 * h * so4
                        + h3sio4 * (1.0 - h3sio4 / (si_t + 1e-30))
                        + spread_n
                    )
                    # More acid lowers the alkalinity: the residual falls with ln h.
                    if residual > 0.0:
                        low_h = max(low_h, ln_h - 1e-3) if change > 1e-6 or step_i > 1e-5 * strength else max(low_h, ln_h)
                    else:
                        high_h = min(high_h, ln_h + 1e-3) if change > 1e-6 or step_i > 1e-5 * strength else min(high_h, ln_h)
                    share = bound / all_c if all_c > 0.0 else 0.0
                    step = residual / slope
                    step = min(max(step, -1.0), 1.0)
                    solved = abs(step) < 1e-9 and step_i < 1e-8 * strength + 1e-15 and change < 1e-8
                    if not solved:
                        new_h = ln_h + step
                        if count > 30:
                            step *= 0.5
                            new_h = ln_h + step
                        ln_h = new_h
            if not solved:
                status = 2
                break
            if fixed:
                # The first solution gives the carbon; from here carbon and alkalinity are kept.
                if alk - other < 0.0:
                    status = 1
                    break
                ct = (double + single + co2_co3) * co3
                base_ct = ct
                fixed = False
                ca_t = base_ca + lime
                alk = base_alk + 2.0 * lime
                stage = 1
                continue
            index = (math.log(max(ca * co3, 1e-300)) + y_ca + y_co3 - k_calcite) / ln10
            if stage == 1:
                result[row, 0] = -ln_h / ln10
                result[row, 1] = ct
                result[row, 2] = alk
                result[row, 3] = index if ca_t > 0.0 and ct > 0.0 else math.nan
                result[row, 6] = co2_co3 * co3
                result[row, 7] = slope * ln10
                result[row, 8] = strength
                result[row, 9] = hydroxide
                # Charges as analysed: pairs do not change the balance.
                held = single + 2.0 * double
                result[row, 10] = 2.0 * (ca_t + mg_t) + na_t + k_t + nh_t + hydrogen
                result[row, 11] = 2.0 * so4_t + cl + no3 + held * co3 + other + hydrogen
                if not want_calcite:
                    break
                limit = min(ca_t, ct)
                stage = 2
                moved = 0.0
            # Stage 2: how much calcite brings the index to nought; it rises steadily with what dissolves.
            tries += 1
            if abs(index) < 1e-7 or (have_below and have_above and above - below < 1e-15 + 1e-10 * abs(moved)):
                stage = 9
                continue
            if tries > 100:
                status = 2
                break
            if index < 0.0:
                below = moved
                have_below = True
            else:
                above = moved
                have_above = True
            # The first step goes by what calcite does to calcium, carbon and ln h; then the two last points say it better.
            if tries == 1:
                rise = (1.0 / ca_t + 1.0 / ct + share * share / slope) / ln10 if ca_t > 0.0 and ct > 0.0 else 1e5
                falls = index > 0.0
                rise *= limit if falls else 1.0
            elif falls and limit + moved != limit + before:
                rise = (index - index_before) / math.log((limit + moved) / (limit + before))
            elif not falls and moved != before:
                rise = (index - index_before) / (moved - before)
            if not rise > 0.0:
                rise = 1.0 if falls else 1e5
            # What falls out is sought in the logarithm of what is left, in which the index is nearly straight.
            target = (limit + moved) * math.exp(min(max(-index / rise, -3.0), 3.0)) - limit if falls else moved - index / rise
            if have_below and have_above and (not below < target < above or tries % 12 == 0):
                target = 0.5 * (below + above)
            before = moved
            index_before = index
            ln_h -= min(max(share * (target - moved) / slope, -1.0), 1.0)
            moved = target
            ca_t = base_ca + lime + moved
            ct = base_ct + moved
            alk = base_alk + 2.0 * (lime + moved)
        if stage == 9:
            result[row, 4] = moved
            result[row, 5] = -ln_h / ln10
        result[row, 12] = status


@cache
def _compiled() -> Callable[..., None]:
    """Return the compiled kernel; the compiled code is kept between processes."""
    import numba

    compiled: Callable[..., None] = numba.njit(cache=True, nogil=True, error_model="numpy")(_kernel)
    return compiled


def solve_waters(given: "NDArray[np.float64]", *, calcite: bool, compiled: bool | None = None) -> "NDArray[np.float64]":
    r"""Return the equilibrium of each water, after the lime it takes up, and the calcite that brings it to saturation.

    Parameters
    ----------
    given : numpy.ndarray
        One row a water, columns as in ``GIVEN``; NaN only as pH (then carbon is known) or as carbon (then pH is known). [degC, -, mol/kg]
    calcite : bool
        Whether the calcite that dissolves or falls out is worked out too. [-]
    compiled : bool, optional
        Whether numba runs it; None decides by the number of waters. [-]

    Returns
    -------
    numpy.ndarray
        One row a water, columns as in ``RESULT``; NaN where there is no answer, with the reason as status.

    Notes
    -----
    First, pH and alkalinity give the carbon. Then alkalinity and calcium rise by the lime and carbon is kept (closed to air); Newton on
    :math:`\ln a_H` with the buffer intensity as slope. Calcite: the saturation index rises steadily with the amount that dissolves; a
    secant, held within a bracket, finds where it is nought: over the amount where it dissolves, over the logarithm of what is left where it falls out. It
    starts from the slope that calcium, carbon and buffer give, and each solution starts from where the last one leads. Activity coefficients
    :math:`\log\gamma = -A z^2 \sqrt I / (1 + B a \sqrt I) + b I`; where the data base gives no size, Davies' form with A of the temperature;
    uncharged 0.1 I. Intended range 0 to 50 degC, ionic strength up to sea water. Alkalinity counts OH, HCO3, CO3, H3SiO4, NH3 and
    their pairs less H and HSO4.

    References
    ----------
    Parkhurst, D. L., Appelo, C. A. J. (2013): Description of input and examples for PHREEQC version 3. USGS Techniques and Methods
    6-A43; data base phreeqc.dat of 22 May 2024 (constants, ion sizes). Bradley, D. J., Pitzer, K. S. (1979), J. Phys. Chem. 83, 1599
    (dielectric constant). Wagner, W., Pruss, A. (2002), J. Phys. Chem. Ref. Data 31, 387, equation 2.6 (density).
    """
    import numpy as np

    table = np.ascontiguousarray(given, dtype=np.float64)
    result = np.full((len(table), len(RESULT)), np.nan)
    many = len(table) >= COMPILE_FROM if compiled is None else compiled
    (_compiled() if many else _kernel)(table, result, calcite)
    return result
