"""What a pipe or hose holds."""

import pytest

from mainwright.errors import InputError
from mainwright.science.bore.ring import ring_area
from mainwright.science.bore.volume import bore_area, content, deposit_volume_by_length


@pytest.mark.outside("water content of pipes, litres a metre, handbook table rounded to 0.001")
@pytest.mark.parametrize(
    ("bore", "litres"),
    [(80, 5.027), (100, 7.854), (125, 12.272), (150, 17.671), (200, 31.416), (250, 49.087), (300, 70.686), (400, 125.664), (600, 282.743)],
)
def test_content_by_metre(bore: float, litres: float) -> None:
    assert 1e3 * bore_area(bore / 1e3) == pytest.approx(litres, abs=0.00051)


@pytest.mark.outside("trade figures of hose content, A5: 25, 32, 38 and 50 mm, litres a metre and for 150 m")
@pytest.mark.parametrize(("bore", "litres", "whole"), [(25, 0.49, 74), (32, 0.80, 121), (38, 1.13, 170), (50, 1.96, 295)])
def test_hose_content(bore: float, litres: float, whole: float) -> None:
    assert 1e3 * bore_area(bore / 1e3) == pytest.approx(litres, abs=0.0051)
    assert 1e3 * content(bore=bore / 1e3, length=150.0) == pytest.approx(whole, abs=0.5)


def test_deposits_are_a_ring_until_they_close_the_bore() -> None:
    assert deposit_volume_by_length(bore=0.15, thickness=0.01) == pytest.approx(ring_area(thickness=0.01, bore=0.15))
    assert deposit_volume_by_length(bore=0.15, thickness=0.2) == bore_area(0.15)


def test_impossible_sizes_are_told() -> None:
    with pytest.raises(InputError, match="bore is 0"):
        bore_area(0.0)
    with pytest.raises(InputError, match="length is -1"):
        content(bore=0.1, length=-1.0)
