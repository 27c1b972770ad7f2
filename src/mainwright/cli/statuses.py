"""Exit statuses, as the file contract gives them."""

from typing import Final

__all__ = ["ANSWER_IS_NO", "DONE", "FAULTY_INPUT", "INTERRUPTED", "OUTSIDE_FAILED"]

DONE: Final = 0
ANSWER_IS_NO: Final = 1
"""Done, and the answer is no; only where ``--strict`` asks for it."""
FAULTY_INPUT: Final = 2
OUTSIDE_FAILED: Final = 3
"""Disk, database, network, a feed; or a fault of Mainwright itself."""
INTERRUPTED: Final = 130
