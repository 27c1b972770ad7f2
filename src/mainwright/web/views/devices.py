"""Words of the devices that were let in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from mainwright.web.roles import ROLES
from mainwright.words.message import message

if TYPE_CHECKING:
    from datetime import datetime

    from mainwright.words.wording import Wording
    from mainwright.workflow.visiting import UseCases

__all__ = ["devices_view", "refusal_text"]


def devices_view(uses: UseCases, say: Wording) -> dict[str, Any]:
    """Return what the page of devices shows."""
    pairing = uses.pairing
    if pairing is None:
        return {"answer": [say.text("Only this machine can open these pages.")], "van": "", "offer": None, "devices": [], "roles": []}
    devices, code = pairing.devices(), pairing.offered()

    def moment(value: datetime) -> str:
        local = value.astimezone(uses.zone)
        return f"{say.day(local.date(), short=True)} {local:%H:%M}"

    answer = message("{n} {n:device was/devices were} let in.", n=len(devices))
    return {
        "answer": [say.word(answer), say.word(message("Phones on the van's network find the pages at {address}.", address=uses.van))],
        "van": uses.van,
        "secret": uses.van.startswith("https:"),
        "offer": None
        if code is None
        else {
            "text": code.text,
            "role": say.word(ROLES[code.role]),
            "until": f"{code.until.astimezone(uses.zone):%H:%M}",
            "address": f"{uses.van}pair",
            "picture": _qr(f"{uses.van}pair?code={quote(code.text)}"),
        },
        "roles": [(name, say.word(text)) for name, text in ROLES.items()],
        "devices": [
            {
                "id": one.id,
                "name": one.name,
                "role": say.word(ROLES[one.role]),
                "paired": moment(one.paired),
                "seen": moment(one.seen),
                "where": one.where,
            }
            for one in devices
        ],
    }


def refusal_text(why: str, say: Wording) -> str:
    """Return why a code let nobody in."""
    if why == "wait":
        return say.text("Too many wrong codes came from here. Wait ten minutes; then ask the lead for a new code.")
    if why == "full":
        return say.text("No more devices can be let in: the lead must remove one first.")
    return say.text("This code is wrong, used up or too old. Ask the lead for a new one.")


def _qr(text: str) -> str:
    """Return a code for a camera, dark on white in any light."""
    import segno

    return segno.make(text, error="m", micro=False).svg_inline(scale=6, border=4, dark="#000", light="#fff", omitsize=True)
