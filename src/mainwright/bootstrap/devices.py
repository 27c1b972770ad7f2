"""Keeps the devices that were let in, in a file of the user's folder for data that nobody else can read."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from mainwright.workflow.pairing import Device

__all__ = ["DeviceFile", "devices_place"]


def devices_place() -> Path:
    """Return the file of this user's devices."""
    import os
    from pathlib import Path

    base = os.environ.get("XDG_DATA_HOME") or os.environ.get("LOCALAPPDATA") or str(Path.home() / ".local" / "share")
    return Path(base) / "mainwright" / "devices.json"


class DeviceFile:
    """Devices as JSON, written anew as a whole.

    Parameters
    ----------
    place : Path
        The file.
    """

    def __init__(self, place: Path) -> None:
        self._place = place

    def load(self) -> Sequence[Device]:
        """Return the devices; raises ``InputError`` where the file is not what was written."""
        import json
        from datetime import datetime
        from typing import get_args

        from mainwright.errors import InputError
        from mainwright.workflow.pairing import Device, Role

        try:
            rows = json.loads(self._place.read_text(encoding="utf-8"))
            found = [
                Device(**{**row, "paired": datetime.fromisoformat(row["paired"]), "seen": datetime.fromisoformat(row["seen"])})
                for row in rows
            ]
            texts = [text for one in found for text in (one.id, one.name, one.digest, one.where)]
            good = all(isinstance(one, str) for one in texts) and all(one.role in get_args(Role) and one.seen.tzinfo for one in found)
        except FileNotFoundError:
            return ()
        except (OSError, ValueError, TypeError, KeyError, AttributeError):
            good = False
        if not good:
            raise InputError(
                "the file of devices that were let in", str(self._place), "", "as it was written; remove it to let all in anew"
            )
        return found

    def save(self, devices: Sequence[Device]) -> None:
        """Keep these: in a new file that takes the place of the old one once it is on disk."""
        import json
        import os
        from dataclasses import asdict

        from mainwright.errors import StoreError

        rows = [{**asdict(one), "paired": one.paired.isoformat(), "seen": one.seen.isoformat()} for one in devices]
        fresh = self._place.with_name(self._place.name + ".new")
        try:
            self._place.parent.mkdir(parents=True, exist_ok=True)
            fresh.unlink(missing_ok=True)
            with os.fdopen(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as file:
                json.dump(rows, file, indent=1)
                file.flush()
                os.fsync(file.fileno())
            fresh.replace(self._place)
        except OSError as error:
            raise StoreError(f"{self._place}: the devices that were let in cannot be kept ({error.strerror}).") from error
