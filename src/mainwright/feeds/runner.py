"""The thread in which a feed works, and how it tries again after a failure."""

import threading
from collections.abc import Callable

from mainwright.errors import InputError
from mainwright.feeds.outlet import Backoff, Outlet
from mainwright.words.message import message

__all__ = ["Runner"]


class Runner:
    """Runs a feed's work in a thread: again after a connection fails, until it is stopped or has come to its end.

    Parameters
    ----------
    outlet : Outlet
        Where the feed says how it stands.
    work : callable
        One attempt: takes the stop event and what to call once connected. Returns at the end of its source, raises an ``OSError`` where
        the connection is lost.
    backoff : Backoff, optional
        Waits between attempts, where they are not those of the desk.
    """

    def __init__(
        self, outlet: Outlet, work: Callable[[threading.Event, Callable[[], None]], None], *, backoff: Backoff | None = None
    ) -> None:
        self._outlet = outlet
        self._work = work
        self._backoff = outlet.desk.backoff if backoff is None else backoff
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None
        self._failures = 0
        self._lost = False

    def start(self) -> None:
        """Begin."""
        if self._thread is not None:
            raise InputError("feed", self._outlet.source, "", "started once")
        self._thread = threading.Thread(target=self._run, name=f"feed {self._outlet.source}", daemon=True)
        self._thread.start()

    def stop(self, timeout: float) -> bool:
        """Ask for the end and wait for it."""
        self._stop.set()
        if self._thread is None:
            return True
        self._thread.join(timeout)
        return not self._thread.is_alive()

    @property
    def finished(self) -> bool:
        """Whether the thread was started and has ended."""
        return self._thread is not None and not self._thread.is_alive()

    def _connected(self) -> None:
        self._failures = 0
        if self._lost:
            self._lost = False
            self._outlet.tell("lost", message("the connection stands again"), over=True)
        else:
            self._outlet.tell("connected", message("connected"))

    def _run(self) -> None:
        while not self._stop.is_set():
            try:
                self._work(self._stop, self._connected)
            except OSError as error:
                self._failures += 1
                if not self._lost:
                    self._lost = True
                    why = message("no connection: {why}; it is tried again", why=str(error) or type(error).__name__)
                    self._outlet.tell("lost", why)
                self._stop.wait(self._backoff.delay(self._failures, self._outlet.desk.generator))
            except Exception as error:
                # A feed that dies must not look like one that is only quiet.
                self._outlet.tell("lost", message("the feed has failed and is not tried again: {why}", why=repr(error)))
                raise
            else:
                break
        self._outlet.close()
        if not self._stop.is_set():
            self._outlet.tell("ended", message("nothing more comes"))
