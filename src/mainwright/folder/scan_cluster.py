"""Rings reduced on a Dask cluster that is named by its address."""

from __future__ import annotations

from collections import deque
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, Final

from mainwright.errors import InputError, MissingExtra

if TYPE_CHECKING:
    from collections.abc import Callable, Generator, Iterator

    from mainwright.science.rings.reduced import ReducedRings
    from mainwright.workflow.scan_ports import Reducer, RingChunk

__all__ = ["cluster_reducer"]

_PATIENCE: Final = "20s"
_AHEAD: Final = 2
"""Chunks under way for each core of the cluster."""


@contextmanager
def cluster_reducer(address: str) -> Iterator[Reducer]:
    """Connect to a cluster, and disconnect from it in the end; the cluster itself is left alone.

    Parameters
    ----------
    address : str
        Of its scheduler, as ``tcp://10.0.0.5:8786``; the workers have the same version of this program.

    Yields
    ------
    Reducer
        Sends rings there, a few pieces ahead, and gives the answers in their order.

    Raises
    ------
    MissingExtra
        If the extra ``cluster`` is not installed.
    InputError
        If nobody answers at the address.
    """
    connect: Any
    try:
        from distributed import Client as connect  # noqa: N813 - called, and without types
    except ImportError as error:
        raise MissingExtra("cluster", "reading scans on a cluster") from error
    try:
        client = connect(address, timeout=_PATIENCE, set_as_default=False)
    except (OSError, ValueError) as error:
        raise InputError("address of the cluster", address, "", f"where a scheduler answers, as tcp://10.0.0.5:8786 ({error})") from None

    def reduced(chunks: Generator[RingChunk], how: Callable[[RingChunk], ReducedRings]) -> Generator[tuple[RingChunk, ReducedRings]]:
        most = _AHEAD * max(1, sum(client.ncores().values()))
        waiting: deque[tuple[RingChunk, Any]] = deque()
        for chunk in chunks:
            waiting.append((chunk, client.submit(how, chunk, pure=False)))
            if len(waiting) >= most:
                yield _first(waiting)
        while waiting:
            yield _first(waiting)

    try:
        yield reduced
    finally:
        client.close()


def _first(waiting: deque[tuple[RingChunk, Any]]) -> tuple[RingChunk, ReducedRings]:
    chunk, future = waiting.popleft()
    found: ReducedRings = future.result()
    return chunk, found
