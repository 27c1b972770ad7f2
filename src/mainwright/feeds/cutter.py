"""Bytes into lines, whatever the pieces in which they come."""

__all__ = ["Cutter"]


class Cutter:
    """Cuts bytes at line feeds, and keeps what has no end yet; never more than the longest line.

    Parameters
    ----------
    longest : int
        Bytes of the longest line. [-]
    from_middle : bool
        Whether the first line may have begun before one began to listen: it is dropped, for half a number is a number too. [-]
    """

    def __init__(self, longest: int, *, from_middle: bool = False) -> None:
        self._longest = longest
        self._dropping = from_middle
        self._place = 0
        self.rest = b""
        self.read = 0

    def cut(self, came: bytes) -> list[tuple[int, bytes | None]]:
        """Return the lines that end in these bytes.

        Parameters
        ----------
        came : bytes
            What follows what came before. [-]

        Returns
        -------
        list of tuple
            At which byte each begins, and the line without its end; None in place of one that is too long, told when that is noticed.
        """
        self.read += len(came)
        *lines, rest = (self.rest + came).split(b"\n")
        found: list[tuple[int, bytes | None]] = []
        for line in lines:
            if self._dropping:
                self._dropping = False
            else:
                found.append((self._place, line if len(line) <= self._longest else None))
            self._place += len(line) + 1
        if not self._dropping and len(rest) > self._longest:
            found.append((self._place, None))
            self._dropping = True
        if self._dropping:
            self._place += len(rest)
            rest = b""
        self.rest = rest
        return found
