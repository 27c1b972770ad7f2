"""Many viewers of one run: the screen is looked at once for all of them, and each message is encoded once for all who read alike."""

from __future__ import annotations

import asyncio
import json
from dataclasses import fields
from typing import TYPE_CHECKING, Final

from mainwright.web.van import van_view

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

    from mainwright.web.reader import Reader
    from mainwright.web.van import VanView
    from mainwright.workflow.live_runs import FollowedRun
    from mainwright.workflow.visiting import UseCases

__all__ = ["EVERY", "Broadcast", "Broadcasts", "snapshot"]

EVERY: Final = 0.1
"""A page is told no more often. [s]"""


def snapshot(view: VanView, *, number: int = 0, parts: dict[str, str] | None = None) -> str:
    """Return a whole page as a message.

    Parameters
    ----------
    view : VanView
        The page. [-]
    number : int
        Of the message. [-]
    parts : dict, optional
        The parts, where they were encoded before. [-]

    Returns
    -------
    str
        JSON.
    """
    return _joined(number, parts if parts is not None else _parts(view))


def _parts(view: VanView) -> dict[str, str]:
    return {one.name: json.dumps(getattr(view, one.name), ensure_ascii=False, separators=(",", ":")) for one in fields(view)}


def _joined(number: int, parts: dict[str, str]) -> str:
    return f'{{"n":{number},' + ",".join(f'"{name}":{text}' for name, text in parts.items()) + "}"


class _Alike:
    """What all viewers see who read alike."""

    def __init__(self) -> None:
        self.viewers = 0
        self.number = 0
        self.whole: str | None = None
        self.changes = ""
        self.parts: dict[str, str] = {}
        self.changed = asyncio.Condition()

    async def show(self, view: VanView) -> None:
        parts = _parts(view)
        fresh = {name: text for name, text in parts.items() if self.parts.get(name) != text}
        if not fresh:
            return
        async with self.changed:
            self.parts = parts
            self.number += 1
            self.changes = _joined(self.number, fresh)
            self.whole = None
            self.changed.notify_all()

    def message(self, seen: int) -> str:
        """Return what leads from one message to the present: the changes where none was missed, else all."""
        if seen == self.number - 1 and seen > 0:
            return self.changes
        if self.whole is None:
            self.whole = _joined(self.number, self.parts)
        return self.whole


class Broadcast:
    """Tells the viewers of one run. A viewer that is slow misses messages and is told all when it can take it; nobody waits for it.

    Parameters
    ----------
    run : FollowedRun
        The run. [-]
    uses : UseCases
        Clock and zone. [-]
    """

    def __init__(self, run: FollowedRun, uses: UseCases) -> None:
        self.run = run
        self._uses = uses
        self._alike: dict[tuple[str, str], tuple[Reader, _Alike]] = {}
        self._task: asyncio.Task[None] | None = None

    async def messages(self, reader: Reader) -> AsyncIterator[str]:
        """Yield what a viewer is told, as long as it listens."""
        _, alike = self._alike.setdefault((reader.language, reader.units), (reader, _Alike()))
        alike.viewers += 1
        try:
            if self._task is None or self._task.done():
                self._task = asyncio.create_task(self._look())
            seen = 0
            while True:
                async with alike.changed:
                    while alike.number == seen:
                        await alike.changed.wait()
                told = alike.message(seen)
                seen = alike.number
                yield told
        finally:
            alike.viewers -= 1

    async def _look(self) -> None:
        while any(alike.viewers for _, alike in self._alike.values()):
            screen = await asyncio.to_thread(self.run.screen)
            for reader, alike in list(self._alike.values()):
                if alike.viewers:
                    await alike.show(van_view(screen, self.run.plan, reader, self._uses.zone))
            await asyncio.sleep(EVERY)


class Broadcasts:
    """One broadcast for each run that is followed.

    Parameters
    ----------
    uses : UseCases
        With the runs. [-]
    """

    def __init__(self, uses: UseCases) -> None:
        self._uses = uses
        self._kept: dict[tuple[str, str], Broadcast] = {}

    def of(self, job: str, run: str) -> Broadcast | None:
        """Return the broadcast of a run of a job; None where it is not followed."""
        followed = self._uses.live.get(job, run)
        if followed is None:
            return None
        there = self._kept.get((job, run))
        if there is None or there.run is not followed:
            there = self._kept[job, run] = Broadcast(followed, self._uses)
        return there
