"""Whether the main is released for use: by a signature for the state that is proved now, never by a gate that was skipped."""

from dataclasses import dataclass
from typing import Literal

from mainwright.prove.signing import Signing
from mainwright.words.message import Message, message

__all__ = ["Release", "Released", "release_of"]

Released = Literal["not_signed", "refused", "outdated", "no_reason", "with_reason", "released"]
"""``with_reason``: signed while a gate is open, for a reason that stands there; ``no_reason``: signed so without one, which counts for nothing."""


@dataclass(frozen=True, slots=True)
class Release:
    """What the signatures for the water say together, in words too."""

    verdict: Released
    signing: Signing
    said: tuple[Message, ...]

    @property
    def in_use(self) -> bool:
        """Whether the main may be used: signed for this state, gates shut or the reason given."""
        return self.verdict in ("released", "with_reason")


def release_of(signing: Signing, *, quick: str | None) -> Release:
    """Return whether the main is released for use.

    Parameters
    ----------
    signing : Signing
        Of the water. [-]
    quick : str or None
        Who signed a quick return, where the document's floor of curing is set aside. [-]

    Returns
    -------
    Release
        A signature never shuts a gate: with one open, or with a quick return, it needs a reason.
    """
    last = signing.last
    if last is None:
        return Release("not_signed", signing, (message("Nobody has signed the release: nothing of the relined main is used."),))
    record = last.record
    name = f"{record.name} ({record.role})" if record.role else record.name
    if record.decision == "dissents":
        text = message("{name} refused the release: {reason}.", name=name, reason=record.note or message("no reason was written down"))
        return Release("refused", signing, (text,))
    if not last.current:
        text = message("{name} signed an earlier state: records or rules have changed since. The main is not released until it is signed again.", name=name)  # fmt: skip
        return Release("outdated", signing, (text,))
    said = []
    if quick is not None:
        said.append(message("The lining was filled before the document's floor, by a deviation that {who} signed.", who=quick))
    if not signing.needs_reason and quick is None:
        return Release("released", signing, (message("{name} signed the release; every gate is proved.", name=name),))
    if not record.note:
        text = message("{name} signed without a reason, although a gate is open or the floor of curing was set aside: that releases nothing.", name=name)  # fmt: skip
        return Release("no_reason", signing, (*said, text))
    text = (
        message("{name} signed the release with a gate open, for this reason: {reason}. The gate stays open until a record shuts it.", name=name, reason=record.note)
        if signing.needs_reason
        else message("{name} signed the release, for this reason: {reason}.", name=name, reason=record.note)
    )  # fmt: skip
    return Release("with_reason", signing, (*said, text))
