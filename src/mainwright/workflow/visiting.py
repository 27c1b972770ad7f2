"""Everything that a person can ask for on the pages."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC
from typing import TYPE_CHECKING

from mainwright.workflow.board import Board
from mainwright.workflow.live_runs import NoLiveRuns

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import datetime, tzinfo

    from mainwright.job.document import Document
    from mainwright.words.message import Message
    from mainwright.workflow.deeds import DeedKeeper
    from mainwright.workflow.desk import Desk
    from mainwright.workflow.jobs_at_hand import JobsAtHand
    from mainwright.workflow.layout_desk import LayoutDesk
    from mainwright.workflow.library_parts import LibraryFiles
    from mainwright.workflow.live_runs import LiveRuns
    from mainwright.workflow.pairing import Pairing
    from mainwright.workflow.searching import Searches
    from mainwright.workflow.sheets import Sheets

__all__ = ["UseCases"]


@dataclass(frozen=True, slots=True)
class UseCases:
    """Everything that a person can ask for on the pages.

    Attributes
    ----------
    jobs
        The jobs at hand.
    clock
        Gives the time of day, aware.
    token
        What a form must bring back: nobody who cannot read our pages knows it.
    zone
        Where the clock on the wall hangs.
    live
        The runs that are followed in this program.
    sheets
        Sets a plan into texts, tables and figures.
    papers
        Makes papers and proofs.
    bring
        Takes files of a job folder into a document: gives the document, the names of what was taken, and what is to be told.
    desk
        The layout at work.
    board
        The list of jobs.
    pairing
        The phones that are let in; None where only this machine may ask.
    deeds
        Who did what.
    entry_files
        The values of entries of the library as files.
    van
        Address of the pages for phones, empty where there is none.
    searches
        Looks longer for better programmes; None where nobody does.
    """

    jobs: JobsAtHand
    clock: Callable[[], datetime]
    token: str = field(repr=False)
    sheets: Sheets
    papers: Desk
    zone: tzinfo = UTC
    live: LiveRuns = field(default_factory=NoLiveRuns)
    bring: Callable[[Document, Mapping[str, bytes]], tuple[Document, Sequence[str], Sequence[Message]]] | None = None
    desk: LayoutDesk | None = None
    pairing: Pairing | None = None
    deeds: DeedKeeper | None = None
    entry_files: LibraryFiles | None = None
    van: str = ""
    searches: Searches | None = None
    board: Board = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Set the list of jobs up."""
        object.__setattr__(self, "board", Board(self.jobs))
