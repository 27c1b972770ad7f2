"""An issued plan, read back from its own document: what is frozen when the rest is planned anew."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final, cast, get_args

from mainwright.errors import InputError
from mainwright.job.survey import Surface
from mainwright.plan.result import Batch, Caution, ConnectionWindow, Direction, HoldPoint, Mark, Opening, Run, RunSetting
from mainwright.units import to_si
from mainwright.words.message import Message, message

__all__ = ["Issued", "read_issued"]

_MOST: Final = 1e300
_ID: Final = re.compile(r"[A-Za-z0-9-]+")


@dataclass(frozen=True, slots=True)
class Issued:
    """What a new plan needs of the one that was issued.

    Attributes
    ----------
    revision
        Of the job that it was made from.
    job
        Name of that job.
    cost
        Sum of its priced bill, in the job's currency, None where nothing was priced.
    retired
        Ids of runs of still earlier issues that no longer stood.
    begins
        When each activity of its programme begins, by the clock of the job; empty where it had none.
    """

    revision: str
    job: str
    runs: tuple[Run, ...]
    openings: tuple[Opening, ...]
    cost: float | None
    retired: tuple[str, ...]
    begins: Mapping[str, datetime] = field(default_factory=dict)


def read_issued(document: object) -> Issued:
    """Return an issued plan from the document ``plan.json``.

    Parameters
    ----------
    document : object
        The document, as a JSON reader gives it. [-]

    Returns
    -------
    Issued
        Its runs and openings in SI, as they were issued.

    Raises
    ------
    InputError
        If it is not a plan, or a value in it is not what a plan holds; the place is named.
    """
    whole = _Table(document, "")
    if not isinstance(document, Mapping) or "mainwright" not in document or "runs" not in document:
        raise InputError("issued plan", "this file", "", "a plan.json that this program wrote, with the keys mainwright, revision and runs")
    runs = tuple(_run(item) for item in whole.tables("runs"))
    seen: set[str] = set()
    for run in runs:
        if run.id in seen:
            raise InputError("issued plan: runs", run.id, "", "each id once")
        seen.add(run.id)
    return Issued(
        revision=whole.text("revision"),
        job=whole.table("job").text("name"),
        runs=runs,
        openings=tuple(_opening(item) for item in whole.tables("openings")),
        cost=whole.table("cost").maybe("rate", ""),
        retired=tuple(whole.texts("retired_ids")),
        begins={one.text("id"): one.moment("begin") for one in whole.table("programme").tables("activities")},
    )


class _Table:
    """One object of the document; every reading checks what it finds and says where it stands."""

    def __init__(self, content: object, place: str) -> None:
        self.place = place
        if not isinstance(content, Mapping):
            raise InputError(f"issued plan{place}", type(content).__name__, "", "an object")
        self.content: Mapping[str, object] = content

    def _wrong(self, key: str, allowed: str) -> InputError:
        found = self.content.get(key)
        shown = found if isinstance(found, str | int | float) and len(str(found)) <= 40 else type(found).__name__
        return InputError(f"issued plan{self.place}: {key}", "missing" if key not in self.content else shown, "", allowed)

    def maybe(self, key: str, unit: str) -> float | None:
        found = self.content.get(key)
        return None if found is None else self.number(key, unit)

    def number(self, key: str, unit: str = "") -> float:
        found = self.content.get(key)
        if isinstance(found, bool) or not isinstance(found, int | float) or not -_MOST < found < _MOST:
            raise self._wrong(key, "a finite number")
        return to_si(float(found), unit)

    def positive(self, key: str, unit: str = "") -> float:
        found = self.number(key, unit)
        if found <= 0.0:
            raise self._wrong(key, "more than 0")
        return found

    def count(self, key: str) -> int:
        found = self.number(key)
        if found != int(found) or found < 0:
            raise self._wrong(key, "a whole number, 0 or more")
        return int(found)

    def text(self, key: str) -> str:
        found = self.content.get(key)
        if not isinstance(found, str):
            raise self._wrong(key, "a text")
        return found

    def moment(self, key: str) -> datetime:
        """Return a moment by the clock of the job, which is that of its own offset."""
        try:
            return datetime.fromisoformat(self.text(key)).replace(tzinfo=None)
        except ValueError:
            raise self._wrong(key, "a moment as 2026-04-13T07:00:00+02:00") from None

    def maybe_text(self, key: str) -> str | None:
        return None if self.content.get(key) is None else self.text(key)

    def yes(self, key: str) -> bool:
        found = self.content.get(key, False)
        if not isinstance(found, bool):
            raise self._wrong(key, "true or false")
        return found

    def _list(self, key: str) -> Sequence[object]:
        found = self.content.get(key)
        found = () if found is None else found
        if not isinstance(found, list | tuple):
            raise self._wrong(key, "a list")
        return found

    def table(self, key: str) -> "_Table":
        return _Table(self.content.get(key, {}), f"{self.place}: {key}")

    def tables(self, key: str) -> "list[_Table]":
        return [_Table(item, f"{self.place}: {key}[{number}]") for number, item in enumerate(self._list(key))]

    def texts(self, key: str) -> list[str]:
        found = self._list(key)
        if not all(isinstance(item, str) for item in found):
            raise self._wrong(key, "a list of texts")
        return [str(item) for item in found]


def _said(text: str) -> Message:
    """Return a message that says a text as it was printed."""
    return message("{said}", said=text)


def _direction(item: _Table) -> Direction:
    found = item.text("direction")
    if found not in get_args(Direction):
        raise InputError(f"issued plan{item.place}: direction", found, "", "increasing or decreasing")
    return cast("Direction", found)


def _opening(item: _Table) -> Opening:
    surface = item.maybe_text("surface")
    if surface is not None and surface not in get_args(Surface):
        raise InputError(f"issued plan{item.place}: surface", surface, "", ", ".join(get_args(Surface)))
    return Opening(
        chainage=item.number("chainage_m"),
        reasons=tuple(_said(text) for text in item.texts("reason")),
        surface=cast("Surface | None", surface),
        cover=item.maybe("cover_m", "m"),
        pump_here=item.yes("pump_here"),
        cost=item.maybe("cost", ""),
        must=item.yes("must"),
        cautions=tuple(Caution(one.text("code"), _said(one.text("text"))) for one in item.tables("cautions")),
    )


def _run(item: _Table) -> Run:
    name = item.text("id")
    if not _ID.fullmatch(name):
        raise InputError(f"issued plan{item.place}: id", name, "", "letters, digits and hyphens")
    start, end = _span(item)
    settings = tuple(_setting(one) for one in item.tables("settings"))
    if not settings:
        raise InputError(f"issued plan{item.place}: settings", "empty", "", "one for each length of one bore")
    return Run(
        id=name,
        start=start,
        end=end,
        direction=_direction(item),
        length=item.positive("length_m"),
        dn=item.count("dn"),
        bends_total=item.number("bends_total_deg", "deg"),
        connections=item.count("connections"),
        aim=item.positive("aim_mm", "mm"),
        mortar_per_length=item.positive("mortar_l_per_m", "l_m"),
        mortar=item.positive("mortar_l", "l"),
        hose_filling=item.number("hose_filling_l", "l"),
        batches=item.count("batches"),
        last_batch=item.number("last_batch_l", "l"),
        cement=item.number("cement_kg"),
        sand=item.number("sand_kg"),
        water=item.number("water_l", "l"),
        pump_setting=item.maybe("pump_setting", ""),
        setting_low=item.maybe("pump_setting_low", ""),
        setting_high=item.maybe("pump_setting_high", ""),
        flow=item.positive("flow_l_min", "l_min"),
        speed=item.positive("speed_m_min", "m_min"),
        speed_low=item.positive("speed_low_m_min", "m_min"),
        speed_high=item.positive("speed_high_m_min", "m_min"),
        lining_time=item.positive("lining_minutes", "minutes"),
        limit=item.text("limit"),
        limit_text=_said(item.text("limit_text")),
        coats=item.count("coats"),
        hose_pressure=item.maybe("hose_pressure_bar", "bar"),
        pump=item.maybe_text("pump"),
        hose=item.maybe_text("hose"),
        lining_head=item.maybe_text("lining_head"),
        rope=item.maybe_text("rope"),
        mixer=item.maybe_text("mixer"),
        settings=settings,
        marks=tuple(Mark(one.number("chainage_m"), one.number("elapsed_s")) for one in item.tables("marks")),
        windows=tuple(
            ConnectionWindow(
                chainage=one.number("chainage_m"),
                ref=one.maybe_text("ref"),
                pass_at=one.number("pass_s"),
                earliest=one.maybe("earliest_s", ""),
                latest=one.maybe("latest_s", ""),
            )
            for one in item.tables("connection_windows")
        ),
        hold_points=tuple(HoldPoint(one.text("code"), _said(one.text("text"))) for one in item.tables("hold_points")),
        cautions=tuple(Caution(one.text("code"), _said(one.text("text"))) for one in item.tables("cautions")),
        done=item.yes("done"),
        batch_clock=tuple(_batch(one) for one in item.tables("batch_clock")),
        bags=item.count("bags"),
        longest_stop=item.maybe("longest_stop_minutes", "minutes"),
        coat_settings=tuple(tuple(_setting(one) for one in coat.tables("settings")) for coat in item.tables("coat_cards")),
    )


def _span(item: _Table) -> tuple[float, float]:
    start, end = item.number("from_m"), item.number("to_m")
    if start >= end:
        raise InputError(f"issued plan{item.place}: from_m", start, "m", f"less than to_m, {end} m")
    return start, end


def _setting(item: _Table) -> RunSetting:
    start, end = _span(item)
    return RunSetting(
        start=start,
        end=end,
        bore=item.positive("bore_mm", "mm"),
        aim=item.positive("aim_mm", "mm"),
        mortar_per_length=item.positive("mortar_l_per_m", "l_m"),
        speed=item.positive("speed_m_min", "m_min"),
        speed_low=item.positive("speed_low_m_min", "m_min"),
        speed_high=item.positive("speed_high_m_min", "m_min"),
    )


def _batch(item: _Table) -> Batch:
    return Batch(
        number=item.count("batch"),
        volume=item.number("volume_l", "l"),
        cement=item.number("cement_kg"),
        sand=item.number("sand_kg"),
        water=item.number("water_l", "l"),
        mixing=item.number("mixing_s"),
        placed_from=item.maybe("placed_from_s", ""),
        placed_to=item.maybe("placed_to_s", ""),
        latest=item.maybe("latest_s", ""),
    )
