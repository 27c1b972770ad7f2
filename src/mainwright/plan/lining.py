"""What is decided about lining one run: plant, aim, speeds, mortar and times."""

from dataclasses import dataclass

from mainwright.job.plant import Hose, LiningHead, Mixer, Pump, Rope
from mainwright.job.survey import Service
from mainwright.plan.result import RunSetting

__all__ = ["Equipment", "Pass", "RunLining"]


@dataclass(frozen=True, slots=True)
class Equipment:
    """What of the plant does one run; None where the plant names none of that kind (or none is needed)."""

    pump: Pump | None
    hose: Hose | None
    head: LiningHead | None
    rope: Rope | None
    mixer: Mixer | None


@dataclass(frozen=True, slots=True)
class Pass:
    """A connection and when it is passed and may be cleared, in seconds from the start of the head.

    Attributes
    ----------
    pass_at
        The spray plane stands at the connection.
    earliest, latest
        Clearing may not begin before the lining is stiff enough, and must be done before the mortar sets.
    cleared
        When the crew is done with it, taking them in the order in which they are passed; None where the crew's rate is not known.
    """

    service: Service
    pass_at: float
    earliest: float
    latest: float
    cleared: float | None


@dataclass(frozen=True, slots=True)
class RunLining:
    """Everything that the plant and the mortar decide about one run.

    Attributes
    ----------
    settings
        One for each length of one bore, in order of chainage; with several coats the speed is that of all of them together.
    coat_settings
        The settings of each coat, first to last: what is really driven. Each coat has the bore that the one before left.
    aim
        Greatest mean thickness aimed at. [m]
    aim_met
        False where the wanted confidence and an upper limit (maximum, single coat) cannot both be kept.
    mortar_per_length
        Ring of the aim, mean by length, nothing added. [m3/m]
    flow
        Output of the pump during the run, the least of the settings' (lowered where the head would be too fast). [m3/s]
    speed, speed_low, speed_high
        Length over lining time, and the band. [m/s]
    lining_time
        Sum of the settings' lengths over their speeds, of all coats. [s]
    coats
        How many coats the aim is laid in. [-]
    ring, joints, pits, hose_filling, waste, mortar
        Parts of what is mixed, and their sum: ring over the deposit efficiency, gaps of joints, pitting, the hose's content, waste. [m3]
    hose_pressure, pressure_limit
        At the pump through the whole hose, and the smaller limit of pump and hose, gauge; None where not known. [Pa]
    residence, usable
        Stay of the mortar in the hose, and its life at the day's temperature. [s]
    rope_pull, working_load
        Pull on the head with the loaded hose, and the rope's breaking load over its safety; None where not known. [N]
    passes
        Connections in the order in which they are passed.
    clearing_end
        When the last connection is cleared, from the start of the head; 0 without any. [s]
    occupied
        Set-up, lining, clearing and closing: what has to fit into one shift. [s]
    supply_length
        Length after which mixer and hopper no longer keep up with the pump; None where they do, or no mixer is known. [m]
    """

    settings: tuple[RunSetting, ...]
    aim: float
    aim_met: bool
    mortar_per_length: float
    flow: float
    speed: float
    speed_low: float
    speed_high: float
    lining_time: float
    coats: int
    ring: float
    joints: float
    pits: float
    hose_filling: float
    waste: float
    mortar: float
    hose_pressure: float | None
    pressure_limit: float | None
    residence: float
    usable: float
    rope_pull: float | None
    working_load: float | None
    passes: tuple[Pass, ...]
    clearing_end: float
    occupied: float
    supply_length: float | None
    coat_settings: tuple[tuple[RunSetting, ...], ...] = ()
