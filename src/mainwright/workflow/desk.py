"""Papers that are made when somebody asks for them: in the background, with progress, and stopped cleanly. Nothing half made is ever handed out."""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, Literal, Protocol

from mainwright.errors import MainwrightError

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Mapping, Sequence

    from mainwright.job.document import Document
    from mainwright.plan.result import Plan
    from mainwright.prove.proof import Proof
    from mainwright.prove.valuation import Valuation
    from mainwright.workflow.making import Background, Making
    from mainwright.workflow.ports import Progress

__all__ = ["Desk", "Order", "Orders", "Paper", "Pictures"]

_MOST: Final = 60
"""How many papers are kept; the one that nobody asked for longest goes first."""


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper that can be made of a job.

    Attributes
    ----------
    name
        Of its file; also its name in addresses.
    group
        Of what it is made: ``plan``, ``proof`` or ``job``.
    run
        Id of the run that it is of, or name of the crew, where it is of one.
    stamp
        What it is made of beside plan and records, where that can change by itself: another stamp is another paper.
    """

    name: str
    group: Literal["plan", "proof", "job"]
    run: str | None = None
    stamp: str = ""

    @property
    def known_as(self) -> str:
        """Its name with its stamp."""
        return f"{self.name} {self.stamp}" if self.stamp else self.name


@dataclass(frozen=True, slots=True)
class Order:
    """Where a paper stands: how far it is from 0 to 1, its content once it is whole, and what went wrong, if anything."""

    share: float = 0.0
    content: bytes | None = None
    failed: str | None = None

    @property
    def going_on(self) -> bool:
        """Whether it is still being made."""
        return self.content is None and self.failed is None


@dataclass(frozen=True, slots=True)
class Pictures:
    """What is shown beside a proof.

    Attributes
    ----------
    walls
        Least thickness of each run that was scanned, by steps of the run and of the clock, as `mainwright.figures` draws it. [m]
    photos
        Photographs that can be shown, by their names in ``records/``.
    stamp
        Differs where the files are others.
    """

    walls: Mapping[str, Sequence[Sequence[float | None]]] = field(default_factory=dict)
    photos: Mapping[str, bytes] = field(default_factory=dict)
    stamp: str = ""


class Desk(Protocol):
    """Makes the papers and the proof of a job, by the name of the job in addresses."""

    def recorded(self, name: str) -> bool:
        """Return whether anything at all is on record of a job."""
        ...

    def proof(self, name: str, plan: Plan) -> Proof | Making | None:
        """Return what the records of a job prove, or how far that is; None where nothing is on record. Made once a state of plan and records."""
        ...

    def pictures(self, name: str, plan: Plan) -> Pictures:
        """Return what is shown beside the proof that was made; nothing where none was."""
        ...

    def valuation(self, name: str, plan: Plan) -> Valuation | None:
        """Return what is owed for what is on record; None where nothing is, or while the proof is made."""
        ...

    def plan_text(self, plan: Plan) -> str:
        """Return a plan as the text of ``plan.json``."""
        ...

    def folder(self, document: Document) -> bytes:
        """Return the job folder of a document as a zip, without records: whole or faulty, as it was typed."""
        ...

    def papers(self, name: str, plan: Plan, current: Plan) -> Sequence[tuple[Paper, Order | None]]:
        """Return the papers that can be made now, each with where it stands; None where nobody asked for it.

        Those of the programme are made of the plan as it goes on from the issued one, all others of the plan of the job.
        """
        ...

    def ask(self, name: str, plan: Plan, current: Plan, paper: str) -> bool:
        """Have a paper made; return whether there is one of that name."""
        ...

    def stop(self, name: str, plan: Plan, current: Plan, paper: str) -> bool:
        """Stop making a paper; return whether there is one of that name."""
        ...


class _Stopped(Exception):
    """Somebody no longer wants it."""


class _Work:
    """One order while it is worked on."""

    def __init__(self) -> None:
        self.order = Order()
        self.stopped = False


class Orders:
    """Keeps what was ordered, by everything that it depends on.

    Parameters
    ----------
    background : Background
        Where it is made. [-]
    """

    def __init__(self, background: Background) -> None:
        self._background = background
        self._lock = threading.Lock()
        self._kept: OrderedDict[Hashable, _Work] = OrderedDict()

    def state(self, key: Hashable) -> Order | None:
        """Return where an order stands; None where there is none."""
        with self._lock:
            work = self._kept.get(key)
            return None if work is None else work.order

    def ask(self, key: Hashable, make: Callable[[Progress], bytes]) -> None:
        """Have something made, once; what failed is tried again.

        Parameters
        ----------
        key : hashable
            Everything that it depends on. [-]
        make : callable
            Makes it; it tells how far it is, and an exception that comes back from there must pass. [-]
        """
        with self._lock:
            there = self._kept.get(key)
            if there is not None and there.order.failed is None:
                self._kept.move_to_end(key)
                return
            work = self._kept[key] = _Work()
            self._kept.move_to_end(key)
            for old in [one for one, other in self._kept.items() if not other.order.going_on][: max(0, len(self._kept) - _MOST)]:
                del self._kept[old]
        self._background(lambda: self._make(work, make))

    def stop(self, key: Hashable) -> None:
        """Forget an order; if it is being made, that ends at its next step, and nothing of it is kept."""
        with self._lock:
            work = self._kept.pop(key, None)
            if work is not None:
                work.stopped = True

    def _make(self, work: _Work, make: Callable[[Progress], bytes]) -> None:
        def told(done: int, of: int) -> None:
            with self._lock:
                if work.stopped:
                    raise _Stopped
                work.order = Order(0.0 if of <= 0 else min(done / of, 1.0))

        try:
            told(0, 1)
            ended = Order(1.0, content=make(told))
        except _Stopped:
            return
        except (MainwrightError, OSError) as error:
            ended = Order(failed=str(error))
        except BaseException:
            with self._lock:
                work.order = Order(failed="It could not be made; the log of this program says more.")
            raise
        with self._lock:
            if not work.stopped:
                work.order = ended
