"""The main and what lies along it. Chainage is counted from the zero of the main; everything is in SI."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

__all__ = [
    "Alignment",
    "BoreReading",
    "BoreSource",
    "Feature",
    "FeatureKind",
    "Feed",
    "Ground",
    "Level",
    "Material",
    "OpeningChoice",
    "OpeningRule",
    "Service",
    "Side",
    "Stretch",
    "Surface",
]

Material = Literal["grey_iron", "ductile_iron", "steel", "asbestos_cement", "concrete", "pvc", "pe", "other"]
BoreSource = Literal["table", "record", "caliper", "scan"]
FeatureKind = Literal[
    "bend",
    "tee",
    "cross",
    "gate_valve",
    "butterfly_valve",
    "check_valve",
    "air_valve",
    "hydrant",
    "washout",
    "reducer",
    "meter",
    "flange_adaptor",
    "repair_clamp",
    "branch",
    "end",
]
OpeningRule = Literal["must", "may"]
Surface = Literal["verge", "footway", "carriageway", "main_road", "paved_square", "railway", "watercourse", "private"]
Side = Literal["left", "right"]


@dataclass(frozen=True, slots=True)
class Stretch:
    """A row of ``main.csv``: one length of host pipe.

    Attributes
    ----------
    start, end
        Chainage. [m]
    dn
        Nominal size, a label. [-]
    bore
        Clean inside diameter, None where not known. [m]
    wall, deposit, roughness, joint
        Wall, mean thickness of deposits, hydraulic roughness today, length of one pipe. [m]
    flow
        Design flow. [m3/s]
    pressure
        Working pressure, gauge. [Pa]
    """

    start: float
    end: float
    dn: int
    material: Material
    bore: float | None = None
    bore_source: BoreSource | None = None
    wall: float | None = None
    year: int | None = None
    deposit: float | None = None
    deposit_kind: str | None = None
    existing_lining: str | None = None
    roughness: float | None = None
    joint: float | None = None
    joint_type: str | None = None
    flow: float | None = None
    pressure: float | None = None


@dataclass(frozen=True, slots=True)
class BoreReading:
    """A row of ``bore.csv``: a caliper reading at a cut. Chainage and bore in metres; clock 0 to 12, crown = 12, looking up-chainage."""

    chainage: float
    bore: float
    clock: float | None = None
    method: str | None = None
    time: datetime | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class Feature:
    """A row of ``features.csv``: a fitting. Chainage and radius in metres, angle in radians, size a DN label."""

    chainage: float
    kind: FeatureKind
    angle: float | None = None
    radius: float | None = None
    size: int | None = None
    opening: OpeningRule | None = None
    state: Literal["holds", "lets_by", "seized"] | None = None
    after: Literal["keep", "replace", "remove"] | None = None
    confidence: Literal["recorded", "seen", "measured"] | None = None
    ref: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Ground:
    """A row of ``ground.csv``: what lies over the main. Lengths in metres; ``dig`` None where not said."""

    start: float
    end: float
    surface: Surface | None = None
    cover: float | None = None
    dig: bool | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Level:
    """A row of ``levels.csv``: heights of ground and pipe axis, metres above one datum."""

    chainage: float
    ground: float | None = None
    pipe: float | None = None


@dataclass(frozen=True, slots=True)
class Service:
    """A row of ``services.csv``: a connection. Size in metres; side looking up-chainage."""

    chainage: float
    side: Side | None = None
    clock: float | None = None
    size: float | None = None
    material: Literal["lead", "copper", "pe", "iron", "steel", "other"] | None = None
    dwellings: int | None = None
    use: Literal["dwelling", "shop", "school", "hospital", "dialysis", "works", "farm", "fire_line"] | None = None
    stop_tap: Literal["holds", "lets_by", "missing"] | None = None
    live: bool | None = None
    ref: str | None = None


@dataclass(frozen=True, slots=True)
class Feed:
    """A row of ``feeds.csv``: where temporary supply can be fed. Pressure gauge [Pa], level [m], flow [m3/s]."""

    chainage: float
    side: Side | None = None
    kind: Literal["hydrant", "neighbouring_main", "washout", "tanker"] | None = None
    pressure: float | None = None
    level: float | None = None
    flow_max: float | None = None
    ref: str | None = None


@dataclass(frozen=True, slots=True)
class OpeningChoice:
    """A row of ``openings.csv``: where the road must or may not be opened, as somebody chose. Chainage in metres."""

    chainage: float
    choice: Literal["locked", "forbidden"]
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Alignment:
    """The line of the main on the map: points in the axes of ``crs``, chainage 0 at the first."""

    crs: str | None
    points: tuple[tuple[float, float], ...]
    source: str
