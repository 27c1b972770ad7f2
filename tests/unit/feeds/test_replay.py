"""A run once more."""

import time
from pathlib import Path

import pytest

from mainwright.errors import InputError
from mainwright.feeds.replay import Replay
from tests.unit.feeds.rig import Bench, running, until


def replay(folder: Path, bench: Bench, *, speed: float, seconds: tuple[float, ...]) -> Replay:
    lines = ["time,odometer_m,flow_l_min,pressure_bar,strokes,head_air_bar,head_rpm,coat,flow_source"]
    lines += [f"2026-05-04T14:00:{second:06.3f}+02:00,{second},30,12,,5,600,1,sensor" for second in seconds]
    (folder / "run_R1.csv").write_text("\n".join(lines))
    return Replay(source="replay", path=str(folder / "run_R1.csv"), speed=speed, desk=bench.desk)


def test_readings_have_the_times_of_then(tmp_path: Path) -> None:
    bench = Bench()
    with running(replay(tmp_path, bench, speed=float("inf"), seconds=(0.0, 1.0, 30.0))) as feed:
        found = bench.take(3)
        until(lambda: feed.finished)
    assert [one.reading.time.isoformat() for one in found] == [f"2026-05-04T12:00:{second:02d}+00:00" for second in (0, 1, 30)]
    assert set(found[0].reading.values) == {"odometer", "flow", "pressure", "head_air", "head_speed", "coat"}
    assert {"connected", "ended"} <= set(bench.kinds())


def test_the_speed_is_kept(tmp_path: Path) -> None:
    bench = Bench()
    began = time.monotonic()
    with running(replay(tmp_path, bench, speed=20.0, seconds=(0.0, 4.0, 8.0))) as feed:
        assert len(bench.take(1, timeout=0.15)) == 1
        assert len(bench.take(2)) == 2
        until(lambda: feed.finished)
    assert 0.4 <= time.monotonic() - began < 3.0


def test_a_slow_replay_stops_at_once(tmp_path: Path) -> None:
    bench = Bench()
    feed = replay(tmp_path, bench, speed=1e-3, seconds=(0.0, 4.0))
    feed.start()
    bench.take(1)
    assert feed.stop(1.0)


def test_no_speed_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="speed"):
        replay(tmp_path, Bench(), speed=0.0, seconds=())
