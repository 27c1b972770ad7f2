"""Compiled code gives the same answer."""

import numpy as np
import pytest

from mainwright.science.rings.fit import reduce_rings
from tests.unit.science.rings.simulated import Sensor, make_truth, scan


@pytest.mark.parametrize(
    "sensor",
    [Sensor(empty=0.02), Sensor(offset=0.088), Sensor(outliers=0.4), Sensor(missing=1.0)],
    ids=["usual", "off", "outliers", "missing"],
)
def test_both_ways_agree(sensor: Sensor) -> None:
    rng = np.random.default_rng(7)
    seen = scan(make_truth(rng, length=2.0), sensor, rng, lined=True)
    one = reduce_rings(radii=seen.radii, roll=seen.roll)
    two = reduce_rings(radii=seen.radii, roll=seen.roll, compiled=True)
    for name in ("radius", "up", "right", "oval_up", "oval_right"):
        ours, theirs = getattr(one, name), getattr(two, name)
        assert (np.isnan(ours) == np.isnan(theirs)).all()
        # A point on the edge of a gate may fall to either side.
        assert np.nanquantile(np.abs(ours - theirs), 0.99) < 1e-6
        assert np.nanmax(np.abs(ours - theirs)) < 5e-5
    assert np.nanmedian(np.abs(one.wall - two.wall)) < 1e-6
    assert np.mean(one.points != two.points) < 0.01
    assert np.abs(one.outward - two.outward)[np.isfinite(one.outward)].max() < 0.01
