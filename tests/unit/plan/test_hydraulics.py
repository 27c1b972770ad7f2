"""Before and after: what is known is reckoned, what is not is None with a warning, what is assumed is listed."""

import math
from dataclasses import replace

import pytest

from mainwright.job.survey import Feature, Stretch
from mainwright.plan.host import resolve_host
from mainwright.plan.hydraulics import Gains, gain_of_main, hydraulics
from mainwright.plan.result import HydraulicResult, LinedStretch
from tests.unit.plan.small_job import small_job

STRETCH = Stretch(0.0, 94.0, 150, "grey_iron", 0.1524, "record", deposit=0.008, roughness=0.005, flow=0.0036)


def lined(stretch: Stretch, aim: float | None = 0.0053) -> LinedStretch:
    bore = stretch.bore or stretch.dn / 1000.0
    return LinedStretch(
        stretch.start,
        stretch.end,
        stretch.dn,
        bore,
        "record",
        0.005,
        0.004,
        None,
        None,
        aim,
        None if aim is None else bore - 2 * aim,
        None,
        "",
    )


def gains(stretch: Stretch = STRETCH, *, aim: float | None = 0.0053, features: tuple[Feature, ...] = ()) -> Gains:
    job = small_job(main=(stretch,), features=features)
    return hydraulics(job, host=resolve_host(job), stretches=(lined(stretch, aim),))


def result(stretch: Stretch = STRETCH, **changes: object) -> HydraulicResult:
    return gains(replace(stretch, **changes)).results[0]  # type: ignore[arg-type]


@pytest.mark.outside("fluids 1.x: friction_factor(method='Colebrook'), with nu = 1.3065e-6 m2/s of water at 10 degC")
def test_head_losses_agree_with_a_library() -> None:
    fluids = pytest.importorskip("fluids")
    found = result()

    def loss(bore: float, wall: float) -> float:
        area = math.pi / 4 * bore**2
        speed = 0.0036 / area
        factor = fluids.friction_factor(Re=speed * bore / 1.3065e-6, eD=wall / bore, Method="Colebrook")
        return float(factor * 94.0 / bore * speed**2 / (2 * 9.80665))

    assert found.head_loss_before == pytest.approx(loss(0.1364, 0.005), rel=1e-4)
    assert found.head_loss_after == pytest.approx(loss(0.1418, 0.0001), rel=1e-3)


def test_gain_is_the_flow_at_todays_head_loss() -> None:
    found = result()
    assert found.capacity_gain is not None
    same = gains(replace(STRETCH, flow=0.0036 * found.capacity_gain)).results[0]
    assert same.head_loss_after == pytest.approx(found.head_loss_before, rel=1e-9)


def test_velocities_reynolds_and_c_value() -> None:
    found = result()
    assert found.velocity_before == pytest.approx(0.0036 / (math.pi / 4 * 0.1364**2))
    assert found.velocity_after == pytest.approx(0.0036 / (math.pi / 4 * 0.1418**2))
    assert found.velocity_after is not None
    assert found.reynolds_after == pytest.approx(found.velocity_after * 0.1418 / 1.3065e-6, rel=1e-3)
    assert found.hazen_williams_after is not None
    assert 130.0 < found.hazen_williams_after < 150.0


def test_local_losses_stand_apart() -> None:
    bare = gains().results[0]
    fittings = (
        Feature(20.0, "bend", math.radians(22.5)), Feature(50.0, "gate_valve"), Feature(60.0, "gate_valve", after="remove"),
        Feature(94.0, "end"),
    )  # fmt: skip
    found = gains(features=fittings).results[0]
    assert found.head_loss_after == bare.head_loss_after
    assert bare.local_loss_after == 0.0
    assert found.velocity_after is not None
    assert found.local_loss_after == pytest.approx((0.25 * 0.5 + 0.2) * found.velocity_after**2 / (2 * 9.80665))


def test_without_a_flow_nothing_is_invented() -> None:
    found = gains(replace(STRETCH, flow=None))
    one = found.results[0]
    assert [one.flow, one.velocity_before, one.head_loss_after, one.capacity_gain, one.hazen_williams_after, one.local_loss_after] == [
        None
    ] * 6
    assert [warning.code for warning in found.warnings] == ["flow_unknown"]


def test_standing_water_loses_nothing_and_has_no_gain() -> None:
    one = result(flow=0.0)
    assert (one.velocity_before, one.head_loss_before, one.head_loss_after, one.capacity_gain) == (0.0, 0.0, 0.0, None)


def test_unknown_roughness_comes_from_the_table_and_is_listed() -> None:
    found = gains(replace(STRETCH, roughness=None))
    assert [one.what for one in found.assumed] == ["main.roughness_mm[0-94]"]
    # 8 mm of deposits in 152.4 mm is more than a twentieth: poor.
    assert found.assumed[0].value == 3.0
    assert found.results[0].roughness_before == pytest.approx(0.003)
    assert gains(replace(STRETCH, roughness=None, deposit=0.002)).results[0].roughness_before == pytest.approx(0.0015)
    assert gains(replace(STRETCH, roughness=None, existing_lining="cement_mortar")).results[0].roughness_before == pytest.approx(0.00015)
    assert found.sources


def test_a_material_without_a_table_gives_no_before_and_says_so() -> None:
    found = gains(replace(STRETCH, roughness=None, material="other"))
    one = found.results[0]
    assert [warning.code for warning in found.warnings] == ["roughness_unknown"]
    assert (one.head_loss_before, one.capacity_gain) == (None, None)
    assert one.head_loss_after is not None


def test_unknown_deposits_count_as_none_and_are_listed() -> None:
    found = gains(replace(STRETCH, deposit=None))
    assert [one.what for one in found.assumed] == ["main.deposit_mm[0-94]"]
    assert found.results[0].velocity_before == pytest.approx(0.0036 / (math.pi / 4 * 0.1524**2))


def test_deposits_that_fill_the_bore_are_told() -> None:
    found = gains(replace(STRETCH, deposit=0.0762))
    assert [warning.code for warning in found.warnings] == ["bore_full"]
    assert found.results[0].head_loss_before is None


def test_a_stretch_that_is_not_lined_has_no_after() -> None:
    one = gains(aim=None).results[0]
    assert one.head_loss_before is not None
    assert (one.head_loss_after, one.capacity_gain) == (None, None)


def test_gain_of_the_main_takes_todays_head_loss_from_end_to_end() -> None:
    job = small_job()
    first, second = result(), result(flow=0.002, start=94.0, end=150.0)
    gain = gain_of_main(job, results=(first, second), bores=(0.1418, 0.13))
    assert gain is not None
    after = sum(
        gains(replace(STRETCH, start=one.start, end=one.end, flow=(one.flow or 0.0) * gain, bore=bore + 0.0106)).results[0].head_loss_after
        or 0.0
        for one, bore in ((first, 0.1418), (second, 0.13))
    )
    assert after == pytest.approx((first.head_loss_before or 0.0) + (second.head_loss_before or 0.0), rel=1e-9)


def test_gain_of_one_stretch_is_its_own_and_a_wider_pipe_carries_more() -> None:
    job, one = small_job(), result()
    assert one.capacity_gain is not None
    assert gain_of_main(job, results=(one,), bores=(0.1418,)) == pytest.approx(one.capacity_gain, rel=1e-9)
    assert (gain_of_main(job, results=(one,), bores=(0.2,)) or 0.0) > one.capacity_gain


def test_gain_of_the_main_is_not_known_where_a_part_of_it_is_not() -> None:
    job, one = small_job(), result()
    assert gain_of_main(job, results=(one,), bores=(None,)) is None
    assert gain_of_main(job, results=(replace(one, flow=None),), bores=(0.2,)) is None
    assert gain_of_main(job, results=(result(flow=0.0),), bores=(0.2,)) is None
