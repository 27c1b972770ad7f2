"""Two simulated ring scans of one run of the invented job, from bare pipe to bare pipe, with a thin area planted in the lining."""

import io
from datetime import UTC, date, datetime, timedelta
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mainwright.job.job import Job
from mainwright.plan.result import Run
from mainwright.units import from_si, significant

__all__ = ["BEYOND", "PLANTED", "SCANNED", "bare_rows", "demo_scans"]

PLANTED: Final = (0.4, 5.0, 0.30, 0.045, 0.4)
"""The planted area: share of the run's length where its middle lies, clock [hours], half length and half width [m], share of the aim that is missing."""

SCANNED: Final = 5
"""The run that was scanned, by its place in the plan."""

BEYOND: Final = 0.6
"""So far the scans go on in bare pipe beyond either end of the lining: the reference that both have in common. [m]"""

_SEED: Final = 20260512
_POINTS: Final = 144
_STEP: Final = 0.05 / 4.0
"""Four rings to a cell of the thickness grid: coarse, for a small file. [m]"""
_ROUND: Final = 0.1
"""To what the radii are rounded: a file of an eighth of the size. [mm]"""
_PIPE: Final = 5.5
_NOISE: Final = 0.3e-3
_BLOCK: Final = 1000

_Floats = NDArray[np.float64]


class _Main:
    """The wall before and after lining, as functions of chainage along the run and the angle from the crown."""

    def __init__(self, rng: np.random.Generator, run: Run, *, radius: float) -> None:
        self._radius, self._aim, self._length = radius, run.aim, run.length
        harmonics = np.arange(4, 15)
        self._harmonics = harmonics
        # Marks of the wall that both scans see: their phases wander along the main.
        self._pace = rng.uniform(2.0, 9.0, harmonics.size)
        self._phase = rng.uniform(0.0, 2.0 * np.pi, harmonics.size)
        count = int(run.length / _PIPE) + 2
        self._joints = 1.7 + np.cumsum(rng.uniform(_PIPE - 0.1, _PIPE + 0.1, count)) - _PIPE
        self._depths = rng.uniform(0.002, 0.004, count)

    def cleaned(self, chainage: _Floats, angle: _Floats) -> _Floats:
        """Return the radius of the cleaned wall."""
        wall = self._radius + 0.0005 * np.cos(2.0 * (angle - 0.4))
        for harmonic, pace, phase in zip(self._harmonics, self._pace, self._phase, strict=True):
            wall = wall + 0.0002 * np.cos(harmonic * angle + phase + chainage * pace)
        return np.asarray(wall + self._joint(chainage))

    def lining(self, chainage: _Floats, angle: _Floats) -> _Floats:
        """Return the thickness of the lining."""
        share, hour, half_length, half_width, missing = PLANTED
        thick = self._aim * (1.0 + 0.03 * np.sin(chainage / 2.3) + 0.02 * np.cos(2.0 * angle) + 0.02 * np.cos(3.0 * angle + 0.5))
        across = np.angle(np.exp(1j * (angle - hour * np.pi / 6.0))) * self._radius
        inside = ((chainage - share * self._length) / half_length) ** 2 + (across / half_width) ** 2 < 1.0
        lined = (chainage >= 0.0) & (chainage <= self._length)
        return np.asarray(lined * (thick - missing * self._aim * inside + 0.5 * self._joint(chainage)))

    def _joint(self, chainage: _Floats) -> _Floats:
        near = np.clip(np.searchsorted(self._joints, chainage), 1, self._joints.size - 1)
        near = np.where(chainage - self._joints[near - 1] < self._joints[near] - chainage, near - 1, near)
        return np.asarray(self._depths[near] * np.exp(-0.5 * ((chainage - self._joints[near]) / 0.02) ** 2))


def demo_scans(job: Job, run: Run, *, bore: float) -> dict[str, bytes]:
    """Return the scans of a run before and after lining.

    Parameters
    ----------
    job : Job
        The invented job: its first day gives the times. [-]
    run : Run
        The run. [-]
    bore : float
        Of its cleaned main. [m]

    Returns
    -------
    dict
        File name within ``records/`` to content; the same bytes each time. Odometers of the cleaned pass are chainages of the main; the lined
        pass starts 0.12 m off, drifts by 0.3 % and is mounted 4 degrees further round.
    """
    rng = np.random.default_rng(_SEED)
    main = _Main(rng, run, radius=bore / 2.0)
    day = datetime.combine(job.info.first_day or date(2000, 1, 1), datetime.min.time(), tzinfo=UTC)
    return {
        f"rings_{run.id}_cleaned.parquet": _scan(rng, main, run, bore=bore, lined=False, begin=day + timedelta(days=20, hours=10)),
        f"rings_{run.id}_lined.parquet": _scan(rng, main, run, bore=bore, lined=True, begin=day + timedelta(days=23, hours=10)),
    }


def bare_rows(run: Run) -> list[str]:
    """Return the rows of ``bare_places.csv`` that go with the scans of a run."""
    ends = ((run.start - BEYOND, run.start), (run.end, run.end + BEYOND))
    return [f"{run.id},{significant(start)!r},{significant(end)!r},pit,,open pipe in both scans,scan crew" for start, end in ends]


def _scan(rng: np.random.Generator, main: _Main, run: Run, *, bore: float, lined: bool, begin: datetime) -> bytes:
    along = np.arange(0.5 * _STEP - BEYOND, run.length + BEYOND, _STEP)
    phase = rng.uniform(0.0, 6.0, 3)
    up, right = 0.004 * np.sin(along / 4.1 + phase[0]), 0.004 * np.sin(along / 5.3 + phase[1])
    roll = np.radians(6.0) * np.sin(along / 6.0 + phase[2])
    mounting = np.radians(4.0) if lined else 0.0
    sensor = np.arange(_POINTS) * (2.0 * np.pi / _POINTS)
    radii = np.empty((along.size, _POINTS), dtype=np.float32)
    for start in range(0, along.size, _BLOCK):
        part = slice(start, start + _BLOCK)
        chainage, a, b = along[part, None], up[part, None], right[part, None]
        forward = a * np.cos(sensor) + b * np.sin(sensor)
        across = b * np.cos(sensor) - a * np.sin(sensor)
        # Seen from off the centre the wall stands in another direction than the beam by the angle whose sine is across / radius.
        angle = sensor + roll[part, None] + mounting - across / (0.5 * bore)
        wall = main.cleaned(chainage, angle)
        if lined:
            wall = wall - main.lining(chainage, angle)
        shown = forward + np.sqrt(wall**2 - across**2) + rng.normal(0.0, _NOISE, angle.shape)
        wild = rng.random(angle.shape) < 0.02
        shown = np.where(wild, shown - rng.uniform(0.008, 0.04, angle.shape), shown)
        shown[rng.random(angle.shape) < 0.01] = np.nan
        radii[part] = np.round(from_si(1.0, "mm") * shown / _ROUND) * _ROUND
    way = along * 1.003 + 0.12 if lined else along
    return _file(run.start + way, roll + rng.normal(0.0, np.radians(0.2), along.size), radii, begin)


def _file(odometer: _Floats, roll: _Floats, radii: NDArray[np.float32], begin: datetime) -> bytes:
    import pyarrow as pa
    import pyarrow.parquet as pq

    first = round(begin.timestamp() * 1000.0)
    table = pa.table(
        {
            "time": pa.array(first + np.arange(odometer.size) * 100, pa.timestamp("ms", tz="UTC")),
            "odometer_m": np.round(odometer, 4),
            "roll_deg": np.round(from_si(1.0, "deg") * roll, 2),
            "radius_mm": pa.FixedSizeListArray.from_arrays(pa.array(radii.ravel()), _POINTS),
        }
    )
    whole = io.BytesIO()
    pq.write_table(table, whole, compression="zstd", compression_level=9, row_group_size=4096)
    return whole.getvalue()
