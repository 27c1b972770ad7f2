"""A main with a known wall and lining, and a sensor that looks at it badly."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
STEP = 0.005
CELLS = 360


@dataclass(frozen=True)
class Truth:
    """Wall and lining on a grid of 5 mm by one degree, from chainage 0."""

    wall: Floats
    lining: Floats
    patches: list[tuple[float, float, float, float]]
    """Chainage and clock (hours) of the middle of each thin patch, its half length and half width [m]."""

    @property
    def length(self) -> float:
        return len(self.wall) * STEP

    def cell_thickness(self) -> Floats:
        """Mean thickness of the cells of 0.05 m by 5 degrees."""
        rows = len(self.lining) // 10
        thick = self.lining[: rows * 10].reshape(rows, 10, 72, 5).mean(axis=(1, 3))
        return np.asarray(thick)


def make_truth(rng: np.random.Generator, *, length: float, radius: float = 0.203, eccentric: float = 0.0, patches: int = 4) -> Truth:
    rows = round(length / STEP)
    x = (np.arange(rows) + 0.5) * STEP
    clock = (np.arange(CELLS) + 0.5) * (2 * np.pi / CELLS)
    rough = rng.normal(size=(rows, CELLS))
    rough = rough + np.roll(rough, 1, axis=1) + np.roll(rough, 1, axis=0)
    rough *= 0.0004 / rough.std()
    oval = 0.0005 * (0.8 + 0.4 * np.sin(x / 3.0))
    wall = radius + oval[:, None] * np.cos(2 * (clock[None, :] - 0.4)) + rough
    at = 1.3
    lining = 0.006 + 0.0006 * np.sin(2 * np.pi * x / 7.3)[:, None] + 0.0003 * np.sin(2 * np.pi * x / 0.9 + 1)[:, None]
    lining = (
        lining + 0.0004 * np.cos(3 * clock + 0.5)[None, :] + 0.0005 * np.cos(2 * clock)[None, :] + eccentric * np.cos(clock - 0.7)[None, :]
    )
    lining = lining + 0.7 * rough
    while at < length:
        part = _near(at, 0.05, rows)
        joint = np.exp(-0.5 * ((x[part] - at) / 0.006) ** 2)[:, None] * rng.uniform(0.002, 0.004)
        wall[part] += joint
        lining[part] += 0.5 * joint
        at += rng.uniform(5.35, 5.65)
    found = []
    for _ in range(patches):
        middle, hour = rng.uniform(0.6, length - 0.6), rng.uniform(0, 12)
        half_length, half_width = rng.uniform(0.06, 0.15), rng.uniform(0.045, 0.08)
        turn = np.angle(np.exp(1j * (clock - hour * np.pi / 6)))
        part = _near(middle, half_length, rows)
        inside = ((x[part, None] - middle) / half_length) ** 2 + (turn[None, :] * radius / half_width) ** 2
        lining[part] -= 0.003 * (inside < 1.0)
        found.append((middle, hour, half_length, half_width))
    at = 2.0
    while at < length:
        hour = rng.uniform(0, 12)
        turn = np.angle(np.exp(1j * (clock - hour * np.pi / 6)))
        part = _near(at, 0.012, rows)
        wall[part] += 0.03 * ((x[part, None] - at) ** 2 + (turn[None, :] * radius) ** 2 < 0.012**2)
        at += rng.uniform(4.0, 12.0)
    return Truth(wall, lining, found)


def _near(at: float, reach: float, rows: int) -> slice:
    return slice(max(int((at - reach) / STEP) - 1, 0), min(int((at + reach) / STEP) + 2, rows))


@dataclass(frozen=True)
class Sensor:
    offset: float = 0.015
    roll: float = np.deg2rad(8.0)
    roll_noise: float = np.deg2rad(0.3)
    mounting: float = 0.0
    noise: float = 0.0003
    outliers: float = 0.05
    dropouts: float = 0.02
    empty: float = 0.001
    points: int = 720
    drift: float = 0.0
    start: float = 0.0
    slip: float = 0.0
    missing: float = 0.0
    water: float = 0.0
    tilt: float = np.deg2rad(1.0)
    """Of the plane that the beam sweeps against the cross-section, at most; the slowest swing of a head. [rad]"""


@dataclass(frozen=True)
class Scan:
    radii: NDArray[np.float32]
    roll: Floats
    odometer: Floats
    chainage: NDArray[np.floating[Any]] = field(repr=False)
    up: NDArray[np.floating[Any]] = field(repr=False)
    right: NDArray[np.floating[Any]] = field(repr=False)


def scan(truth: Truth, sensor: Sensor, rng: np.random.Generator, *, lined: bool) -> Scan:
    surface = truth.wall - truth.lining if lined else truth.wall
    rows = len(surface)
    chainage = (np.arange(rows) + 0.5) * STEP
    phase = rng.uniform(0, 6.28, 3)
    up = sensor.offset * 0.7 * np.sin(chainage / 4.1 + phase[0])
    right = sensor.offset * 0.7 * np.sin(chainage / 5.3 + phase[1])
    roll = sensor.roll * np.sin(chainage / 6.0 + phase[2])
    squeeze = np.cos(sensor.tilt * np.sin(chainage / 3.7 + phase[0] + phase[1]))
    angle = np.arange(sensor.points) * (2 * np.pi / sensor.points)
    radii = np.empty((rows, sensor.points), dtype=np.float32)
    for start in range(0, rows, 1000):
        part = slice(start, min(start + 1000, rows))
        # The sensor's frame is turned by the roll and by how it is mounted; offsets are in the sensor's frame.
        turned = roll[part, None] + sensor.mounting
        a, b = up[part, None], right[part, None]
        c, s = np.cos(angle)[None, :], np.sin(angle)[None, :]
        # A tilted plane cuts an ellipse: its up-direction is seen shortened on the cross-section.
        stretch = 1.0 / np.hypot(c * squeeze[part, None], s)
        c, s = c * squeeze[part, None] * stretch, s * stretch
        along, across = a * c + b * s, b * c - a * s
        shown = along + np.sqrt(truth.wall.mean() ** 2 - across**2)
        for _ in range(3):
            direction = np.arctan2(shown * s - b, shown * c - a) + turned
            place = direction * (CELLS / (2 * np.pi)) - 0.5
            low = np.floor(place)
            share = place - low
            low = low.astype(int) % CELLS
            index = np.arange(part.start, part.stop)[:, None]
            true = surface[index, low] * (1 - share) + surface[index, (low + 1) % CELLS] * share
            shown = along + np.sqrt(true**2 - across**2)
        shown = shown * stretch + rng.normal(0.0, sensor.noise, shown.shape)
        wild = rng.random(shown.shape) < sensor.outliers * 0.7
        shown = np.where(wild, shown + rng.uniform(-0.060, 0.020, shown.shape), shown)
        debris = rng.random(len(shown)) < sensor.outliers * 0.3 * sensor.points / 18
        first = (np.round((np.pi - turned[:, 0]) / (2 * np.pi) * sensor.points) + rng.integers(-40, 41, len(shown))).astype(int)
        for row in np.flatnonzero(debris):
            shown[row, np.arange(first[row], first[row] + 18) % sensor.points] -= rng.uniform(0.004, 0.03)
        if sensor.water:
            # The level of water standing in the invert: a chord.
            below = np.cos(direction) < np.cos(np.pi - sensor.water / 2)
            height = -truth.wall.mean() * np.cos(sensor.water / 2)
            true_turn = angle[None, :] + turned
            level = (height - a) / np.where(below, np.cos(true_turn), -1.0)
            shown = np.where(below, level + rng.normal(0.0, sensor.noise, shown.shape), shown)
        gone = rng.random(shown.shape) < sensor.dropouts
        gone |= rng.random((len(shown), 1)) < sensor.empty
        if sensor.missing:
            gone |= (np.abs(np.angle(np.exp(1j * (angle - 2.0)))) < sensor.missing / 2)[None, :]
        radii[part] = np.where(gone, np.nan, shown)
    slip = sensor.slip * np.sin(chainage / 3.0)
    odometer = sensor.start + chainage * (1.0 + sensor.drift) + slip
    return Scan(radii, np.asarray(roll + rng.normal(0.0, sensor.roll_noise, rows), dtype=np.float64), odometer, chainage, up, right)
