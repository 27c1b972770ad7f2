"""Bends of the bore."""

import math

import pytest

from mainwright.errors import InputError
from mainwright.science.bore.bend import bend_length, rigid_length_through_bend


def test_a_full_circle() -> None:
    assert bend_length(radius=2.0, angle=2.0 * math.pi) == pytest.approx(4.0 * math.pi)


def test_longest_body_touches_inside_and_outside() -> None:
    bore, radius, width = 0.2, 0.9, 0.12
    half = 0.5 * rigid_length_through_bend(bore=bore, radius=radius, width=width)
    # The middle of the inner side lies on the inner wall, both outer corners on the outer wall.
    assert math.hypot(half, radius - 0.5 * bore + width) == pytest.approx(radius + 0.5 * bore)


def test_body_grows_without_bound_in_a_straight() -> None:
    lengths = [rigid_length_through_bend(bore=0.15, radius=radius, width=0.1) for radius in (0.3, 1.0, 10.0, 1000.0)]
    assert lengths == sorted(lengths)
    assert lengths[-1] > 10.0


def test_body_wider_than_the_bore_is_told() -> None:
    with pytest.raises(InputError, match=r"width is 0\.15 m; allowed: over 0 and under 0\.15"):
        rigid_length_through_bend(bore=0.15, radius=0.5, width=0.15)
    with pytest.raises(InputError, match=r"radius is 0\.05 m; allowed: 0\.075 m or more"):
        rigid_length_through_bend(bore=0.15, radius=0.05, width=0.1)
