"""Free carbon dioxide."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.science.chemistry.carbonate import first_dissociation_plummer_1982, free_carbon_dioxide_bound


# Printed values as remembered, not looked up for this test: an independent measurement by an older method.
@pytest.mark.outside("Harned and Davis 1943, J. Am. Chem. Soc. 65, 2030: pK1 6.579 at 0 degC, 6.464 at 10 degC, 6.352 at 25 degC")
@pytest.mark.parametrize(("celsius", "printed"), [(0.0, 6.579), (10.0, 6.464), (25.0, 6.352)])
def test_first_dissociation(celsius: float, printed: float) -> None:
    assert first_dissociation_plummer_1982(temperature=celsius + 273.15) == pytest.approx(printed, abs=0.004)


def test_half_the_carbon_is_free_at_ph_equal_to_pk() -> None:
    pk = first_dissociation_plummer_1982(temperature=283.15)
    assert free_carbon_dioxide_bound(ph=pk, alkalinity=2.0, temperature=283.15) == pytest.approx(2.0, rel=1e-3)


@given(st.floats(5.0, 9.9), st.floats(0.0, 10.0), st.floats(273.15, 320.0))
def test_higher_ph_holds_less(ph: float, alkalinity: float, temperature: float) -> None:
    low = free_carbon_dioxide_bound(ph=ph, alkalinity=alkalinity, temperature=temperature)
    assert low > free_carbon_dioxide_bound(ph=ph + 0.1, alkalinity=alkalinity, temperature=temperature)
    assert low < free_carbon_dioxide_bound(ph=ph, alkalinity=alkalinity + 0.1, temperature=temperature)


def test_outside_the_range_is_told() -> None:
    with pytest.raises(InputError, match="ph is 4"):
        free_carbon_dioxide_bound(ph=4.0, alkalinity=1.0, temperature=283.15)
    with pytest.raises(InputError, match="alkalinity"):
        free_carbon_dioxide_bound(ph=7.0, alkalinity=-1.0, temperature=283.15)
    with pytest.raises(InputError, match="temperature"):
        first_dissociation_plummer_1982(temperature=10.0)
