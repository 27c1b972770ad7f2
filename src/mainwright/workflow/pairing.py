"""Letting phones in: a code that somebody reads from the lead's screen, and devices that are known from then on until the lead removes them."""

from __future__ import annotations

import hmac
import threading
from collections import deque
from dataclasses import dataclass, replace
from datetime import timedelta
from hashlib import sha256
from typing import TYPE_CHECKING, Final, Literal, Protocol

from mainwright.errors import MainwrightError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import datetime

__all__ = ["CODE_GOOD_FOR", "IDLE", "MOST_DEVICES", "Code", "Device", "DeviceKeeper", "Pairing", "Refused", "Role", "plain_code"]

Role = Literal["lead", "crew", "viewer"]
"""``lead`` may do all, ``crew`` may mark a run, ``viewer`` may look."""

CODE_GOOD_FOR: Final = timedelta(minutes=10)
IDLE: Final = timedelta(days=30)
"""A device that was not seen for so long must be let in anew."""

MOST_DEVICES: Final = 50

_LETTERS: Final = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""32 signs without I, L, O and U, which are misread."""

_SIGNS: Final = 8
_TOKEN_BYTES: Final = 32
_WRONG_EACH: Final = 5
_WRONG_ALL: Final = 20
_WRONG_CODE: Final = 10
_WINDOW: Final = timedelta(minutes=10)
_SEEN_EVERY: Final = timedelta(minutes=10)


@dataclass(frozen=True, slots=True)
class Code:
    """A code that lets one device in, once.

    Attributes
    ----------
    text
        As it is read aloud.
    role
        What the device may do.
    until
        When it ends.
    """

    text: str
    role: Role
    until: datetime


@dataclass(frozen=True, slots=True)
class Device:
    """A device that was let in. What it brings to be known is not kept, only the hash of it."""

    id: str
    name: str
    role: Role
    digest: str
    paired: datetime
    seen: datetime
    where: str


class DeviceKeeper(Protocol):
    """Keeps the devices of this machine."""

    def load(self) -> Sequence[Device]:
        """Return them."""
        ...

    def save(self, devices: Sequence[Device]) -> None:
        """Keep these and no others, whole or not at all."""
        ...


class Refused(MainwrightError):
    """A code let nobody in: ``wrong``, or ``wait`` after too many that were wrong, or ``full``."""

    def __init__(self, why: Literal["wrong", "wait", "full"]) -> None:
        super().__init__(why)
        self.why = why


class Pairing:
    """Codes and devices; may be called from any thread.

    Parameters
    ----------
    keeper : DeviceKeeper
        Where devices are kept. [-]
    clock : callable
        Gives the time of day, aware. [-]
    random_bytes : callable
        Gives so many bytes that nobody can guess. [-]
    """

    def __init__(self, keeper: DeviceKeeper, *, clock: Callable[[], datetime], random_bytes: Callable[[int], bytes]) -> None:
        self._keeper = keeper
        self._clock = clock
        self._random = random_bytes
        self._lock = threading.RLock()
        self._devices = {one.id: one for one in keeper.load()}
        self._code: Code | None = None
        self._wrong_of_code = 0
        self._wrong: deque[tuple[datetime, str]] = deque()

    def offer(self, role: Role) -> Code:
        """Return a new code; one that was offered before ends."""
        with self._lock:
            text = "".join(_LETTERS[one % len(_LETTERS)] for one in self._random(_SIGNS))
            self._code = Code(f"{text[:4]}-{text[4:]}", role, self._clock() + CODE_GOOD_FOR)
            self._wrong_of_code = 0
            return self._code

    def offered(self) -> Code | None:
        """Return the code that is good now."""
        with self._lock:
            if self._code is not None and self._clock() >= self._code.until:
                self._code = None
            return self._code

    def pair(self, code: str, *, name: str, where: str, old: str = "") -> tuple[Device, str]:
        """Let a device in, and return it with what it must bring from now on; its code is used up.

        Parameters
        ----------
        code : str
            What was typed. [-]
        name : str
            Who holds the device. [-]
        where : str
            Address of the network from which it comes. [-]
        old : str
            What the device brought until now: that ends. [-]

        Returns
        -------
        tuple
            The device and its token, always a new one.

        Raises
        ------
        Refused
            If the code is not right, or too many were not.
        """
        with self._lock:
            now = self._clock()
            while self._wrong and now - self._wrong[0][0] >= _WINDOW:
                self._wrong.popleft()
            if len(self._wrong) >= _WRONG_ALL or sum(one == where for _, one in self._wrong) >= _WRONG_EACH:
                raise Refused("wait")
            offered = self.offered()
            right = plain_code(offered.text) if offered else ""
            same = hmac.compare_digest(sha256(plain_code(code).encode()).digest(), sha256(right.encode()).digest())
            if offered is None or not same:
                self._wrong.append((now, where))
                self._wrong_of_code += 1
                if self._wrong_of_code >= _WRONG_CODE:
                    self._code = None
                raise Refused("wrong")
            former = self._of_token(old)
            if len(self._devices) - (former is not None) >= MOST_DEVICES:
                raise Refused("full")
            self._code = None
            token = self._random(_TOKEN_BYTES).hex()
            device = Device(self._random(6).hex(), name, offered.role, _digest(token), now, now, where)
            kept = {key: one for key, one in self._devices.items() if former is None or key != former.id} | {device.id: device}
            self._keeper.save(list(kept.values()))
            self._devices = kept
            return device, token

    def known(self, token: str) -> Device | None:
        """Return the device that brings this token; None where it was never given out, was taken back, or has ended."""
        with self._lock:
            found, now = self._of_token(token), self._clock()
            if found is None:
                return None
            if now - found.seen >= IDLE:
                self.remove(found.id)
                return None
            if now - found.seen >= _SEEN_EVERY:
                found = replace(found, seen=now)
                self._devices[found.id] = found
                self._keeper.save(list(self._devices.values()))
            return found

    def stands(self, device: str) -> bool:
        """Return whether a device is still let in."""
        return device in self._devices

    def devices(self) -> Sequence[Device]:
        """Return all devices, the latest first."""
        with self._lock:
            return sorted(self._devices.values(), key=lambda one: (one.paired, one.id), reverse=True)

    def remove(self, device: str) -> Device | None:
        """Take back that a device is let in; None where there is none."""
        with self._lock:
            found = self._devices.get(device)
            if found is not None:
                kept = {key: one for key, one in self._devices.items() if key != device}
                self._keeper.save(list(kept.values()))
                self._devices = kept
            return found

    def _of_token(self, token: str) -> Device | None:
        digest = _digest(token)
        return next((one for one in self._devices.values() if hmac.compare_digest(one.digest, digest)), None) if token else None


def plain_code(text: str) -> str:
    """Return a code as it is compared: capitals, no blanks or strokes, letters that are misread as the signs that were meant.

    Examples
    --------
    >>> plain_code(" o1il-abcd ")
    '0111ABCD'
    """
    kept = "".join(one for one in text[:64].upper() if one.isalnum() and one.isascii())
    return kept.translate(str.maketrans("OIL", "011"))


def _digest(token: str) -> str:
    return sha256(token.encode("utf-8", "replace")).hexdigest()
