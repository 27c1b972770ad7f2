"""Values to the text of a row, and back: JSON of one form, moments in UTC, names of runs."""

import json
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from mainwright.errors import InputError
from mainwright.workflow.live_ports import RunKey

__all__ = ["json_text", "moment_text", "plain", "run_name", "run_words"]


def json_text(value: object) -> str:
    """Return the one JSON text of plain data.

    Raises
    ------
    InputError
        If it is no plain data, or holds a number that is not finite.
    """
    try:
        return json.dumps(value, sort_keys=True, ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    except (TypeError, ValueError, RecursionError) as error:
        raise InputError(
            "what is to be kept", f"no plain data ({error})", "", "texts, finite numbers, truths, lists and tables of them"
        ) from None


def moment_text(moment: datetime) -> str:
    """Return a moment as text, in UTC and to the microsecond.

    Raises
    ------
    InputError
        If it does not say its offset.
    """
    if moment.tzinfo is None:
        raise InputError("time", moment.isoformat(), "", "a moment with its offset from UTC")
    return moment.astimezone(UTC).isoformat(timespec="microseconds")


def run_name(key: RunKey) -> str:
    """Return the name of a run's chain."""
    return json_text([key.job, key.run, key.coat, key.part])


def run_words(key: RunKey) -> str:
    """Return a run as a person calls it."""
    more = "" if key.coat == 1 else f", coat {key.coat}"
    more += "" if key.part == 1 else f", part {key.part}"
    return f"run {key.run} of job {key.job}{more}"


def plain(text: str) -> Mapping[str, Any]:
    """Return a JSON table."""
    made: Mapping[str, Any] = json.loads(text)
    return made
