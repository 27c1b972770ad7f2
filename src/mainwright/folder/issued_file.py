"""The document of an issued plan, from its file."""

import json
from pathlib import Path
from typing import Final

from mainwright.errors import InputError

__all__ = ["read_issued_file"]

_LONGEST: Final = 1 << 28


def read_issued_file(path: Path) -> object:
    """Return what an issued ``plan.json`` holds, as a JSON reader gives it.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    object
        Its content, not yet checked.

    Raises
    ------
    InputError
        If it is no JSON, or holds a number that is not finite.
    """

    def refuse(word: str) -> None:
        raise InputError("issued plan", word, "", "finite numbers")

    if path.stat().st_size > _LONGEST:
        raise InputError("issued plan", f"{path} with {path.stat().st_size} bytes", "", f"a plan of at most {_LONGEST} bytes")
    try:
        return json.loads(path.read_bytes(), parse_constant=refuse)
    except InputError:
        raise
    except (ValueError, RecursionError) as error:
        raise InputError("issued plan", str(path), "", f"a plan.json that this program wrote; {str(error)[:120]}") from None
