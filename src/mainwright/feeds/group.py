"""Several feeds as one."""

from collections.abc import Sequence

from mainwright.workflow.live_ports import Feed

__all__ = ["FeedGroup"]


class FeedGroup:
    """Starts and stops feeds together.

    Parameters
    ----------
    feeds : sequence of Feed
        In the order in which they start.
    """

    def __init__(self, feeds: Sequence[Feed]) -> None:
        self._feeds = tuple(feeds)

    def start(self) -> None:
        """Begin, each in a thread of its own."""
        for feed in self._feeds:
            feed.start()

    def stop(self, timeout: float) -> bool:
        """Stop all; return whether every one has ended in this time [s]."""
        # All are asked before any is waited for.
        ended = [feed.stop(0.0) for feed in self._feeds]
        remaining = [feed for feed, over in zip(self._feeds, ended, strict=True) if not over]
        return all(feed.stop(timeout / len(remaining)) for feed in remaining)

    @property
    def finished(self) -> bool:
        """Whether nothing more will come of any."""
        return all(feed.finished for feed in self._feeds)
