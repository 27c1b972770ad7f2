"""What the contractor owns, with limits: ``plant.toml``, in SI."""

from dataclasses import dataclass
from typing import Literal

__all__ = ["Hose", "LiningHead", "Mixer", "MortarFlow", "Plant", "Pump", "Rope", "SupplyPipe"]


@dataclass(frozen=True, slots=True)
class Pump:
    """Working output [m3/s], greatest pressure, gauge [Pa]; ``points`` = its own test, (setting [-], output [m3/s])."""

    name: str
    flow: float
    pressure_max: float | None = None
    points: tuple[tuple[float, float], ...] = ()
    tested_through_hose: bool | None = None
    volume_per_stroke: float | None = None


@dataclass(frozen=True, slots=True)
class Hose:
    """Length, length that no run can use, bore [m]; greatest pressure, gauge [Pa]."""

    name: str
    length: float
    dead_length: float
    bore: float
    pressure_max: float | None = None


@dataclass(frozen=True, slots=True)
class LiningHead:
    """Range of DN, greatest speed [m/s], greatest single bend [rad], distance of the trowel behind the spray plane [m]."""

    name: str
    dn_from: int
    dn_to: int
    kind: Literal["winched", "self_propelled"]
    speed_max: float | None = None
    bend_max: float | None = None
    trowel: float = 0.0


@dataclass(frozen=True, slots=True)
class Rope:
    """Length [m], breaking load [N], safety factor [-]."""

    name: str
    length: float
    breaking: float
    safety: float


@dataclass(frozen=True, slots=True)
class Mixer:
    """Batch [m3], time of one batch [s], mixed mortar that can wait [m3]."""

    name: str
    batch: float
    cycle: float
    hopper: float = 0.0


@dataclass(frozen=True, slots=True)
class SupplyPipe:
    """Stock pipe of the temporary supply: bore, roughness, stock [m], price [currency/m]."""

    name: str
    bore: float
    roughness: float
    stock: float | None = None
    price: float | None = None


@dataclass(frozen=True, slots=True)
class MortarFlow:
    """Flow of the mortar in the hose: yield stress [Pa] and plastic viscosity [Pa s], or readings (flow [m3/s], length [m], pressure [Pa])."""

    yield_stress: float | None = None
    plastic_viscosity: float | None = None
    readings: tuple[tuple[float, float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Plant:
    """All of ``plant.toml``; ``clearing_rate`` = house connections cleared [1/s]."""

    pumps: tuple[Pump, ...] = ()
    hoses: tuple[Hose, ...] = ()
    heads: tuple[LiningHead, ...] = ()
    ropes: tuple[Rope, ...] = ()
    mixers: tuple[Mixer, ...] = ()
    supply_pipes: tuple[SupplyPipe, ...] = ()
    clearing_rate: float | None = None
    mortar_flow: MortarFlow | None = None
