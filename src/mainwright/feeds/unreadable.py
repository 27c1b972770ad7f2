"""What a sender said and nobody can read."""

from mainwright.errors import MainwrightError
from mainwright.words.message import Value, message
from mainwright.words.wording import Wording

__all__ = ["Unreadable"]


class Unreadable(MainwrightError, ValueError):
    """A number, a time, a line or a message that cannot be read.

    Parameters
    ----------
    text : str
        What is wrong, with named places. [-]
    **values : Value
        What stands in them.
    """

    def __init__(self, text: str, /, **values: Value) -> None:
        self.message = message(text, **values)
        super().__init__(Wording().sentence(self.message).format(**values))
