"""From two ring scans to bore, thickness and thin areas: streamed, in bounded memory, and resumed where it was stopped."""

from __future__ import annotations

from collections import deque
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from mainwright.errors import InputError
from mainwright.science.rings.align import align_chainage
from mainwright.science.rings.fit import COMPILED_FROM, reduce_rings
from mainwright.workflow.read_ahead import ahead
from mainwright.workflow.scan_comparison import Comparison
from mainwright.workflow.scan_passes import bore_alone, check_length, gathered, metre_rows

if TYPE_CHECKING:
    from collections.abc import Callable, Generator

    from mainwright.science.rings.reduced import ReducedRings
    from mainwright.workflow.ports import Progress
    from mainwright.workflow.scan_ports import PieceStore, Reducer, RingChunk, RingSource, ScanOptions, ScanSummary, ScanWriter, WhichPass

__all__ = ["PIECE", "scan_rings"]

PIECE: Final = 2048
"""Rings of a piece."""

_AT_ONCE: Final = 2
"""Pieces that are reduced at the same time."""

_PIECES: Final = 3
"""Pieces of another version are not gone on with."""


def scan_rings(
    *,
    cleaned: RingSource,
    lined: RingSource | None,
    options: ScanOptions,
    store: PieceStore,
    writer: ScanWriter,
    reducer: Reducer | None = None,
    progress: Progress | None = None,
) -> ScanSummary:
    """Read one or two scans, and write what they show.

    Parameters
    ----------
    cleaned : RingSource
        The pass before lining.
    lined : RingSource, optional
        The pass after it; without it only the bore is known.
    options : ScanOptions
        What a person says beside the scans.
    store : PieceStore
        Keeps reduced rings; what it has of the same files is not read again.
    writer : ScanWriter
        Writes what was found.
    reducer : Reducer, optional
        Where the rings are reduced, if not here.
    progress : callable, optional
        Told how many rings were read; to stop, it raises, and the pieces stay.

    Returns
    -------
    ScanSummary
        What the whole says of itself.

    Raises
    ------
    InputError
        If the scans have nothing in common, or too few sound rings.
    """
    total = cleaned.rings + (lined.rings if lined else 0)
    how = partial(_reduced, compiled=total >= COMPILED_FROM, wall=lined is not None)
    counts = {"cleaned": _read("cleaned", cleaned, store, how=how, reducer=reducer or _here, progress=progress, done=0, total=total)}
    if lined is not None:
        counts["lined"] = _read(
            "lined", lined, store, how=how, reducer=reducer or _here, progress=progress, done=cleaned.rings, total=total
        )
    first = gathered("cleaned", counts["cleaned"], store, options)
    check_length(first)
    if lined is None:
        summary = bore_alone(first)
        writer.finish(profile=metre_rows(first, None, {}), areas=None, summary=summary)
        store.clear()
        return summary
    second = gathered("lined", counts["lined"], store, options)
    aligned = align_chainage(
        chainage=first.chainage, radius=first.radius, outward=first.outward, second_odometer=second.chainage, second_radius=second.radius,
        second_outward=second.outward,
    )  # fmt: skip
    second = replace(second, chainage=aligned.chainage)
    summary = Comparison(first, second, store, options, compiled=total >= COMPILED_FROM).write(writer)
    summary = replace(
        summary, lag_start=float(aligned.lag[0]), lag_end=float(aligned.lag[-1]), match=float(np.median(aligned.correlation)),
    )  # fmt: skip
    store.clear()
    return summary


def _reduced(chunk: RingChunk, *, compiled: bool, wall: bool) -> ReducedRings:
    return reduce_rings(radii=chunk.radii, roll=chunk.roll, compiled=compiled, wall=wall)


def _here(chunks: Generator[RingChunk], how: Callable[[RingChunk], ReducedRings]) -> Generator[tuple[RingChunk, ReducedRings]]:
    """Read what comes next and reduce what came meanwhile, a piece on each of two threads, so that whoever asks can keep what is done."""
    with closing(ahead(chunks)) as coming, ThreadPoolExecutor(_AT_ONCE) as pool:
        waiting: deque[tuple[RingChunk, Future[ReducedRings]]] = deque()
        try:
            for chunk in coming:
                waiting.append((chunk, pool.submit(how, chunk)))
                if len(waiting) > _AT_ONCE:
                    first, made = waiting.popleft()
                    yield first, made.result()
            for first, made in waiting:
                yield first, made.result()
        finally:
            for _, made in waiting:
                made.cancel()


def _read(
    which: WhichPass,
    source: RingSource,
    store: PieceStore,
    *,
    how: Callable[[RingChunk], ReducedRings],
    reducer: Reducer,
    progress: Progress | None,
    done: int,
    total: int,
) -> int:
    """Reduce the rings of a pass that are not kept yet, and return how many pieces it has."""
    kind = "bore" if total == source.rings else "wall"
    count = store.begin(which, f"{source.identity}|{kind}|{_PIECES}")
    with closing(source.chunks(size=PIECE, skip=count)) as chunks, closing(reducer(chunks, how)) as reduced:
        for chunk, rings in reduced:
            store.save(which, count, chunk, rings)
            count += 1
            if progress is not None:
                progress(min(done + count * PIECE, done + source.rings, total), total)
    if progress is not None:
        progress(min(done + source.rings, total), total)
    if count == 0:
        raise InputError(f"rings of the {which} pass", 0, "", "at least 20")
    return count
