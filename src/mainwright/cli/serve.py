"""``mainwright serve``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from mainwright.cli.statuses import DONE, FAULTY_INPUT
from mainwright.cli.terminal import fault_lines, progress_line, say

if TYPE_CHECKING:
    from mainwright.workflow.pairing import Code

__all__ = ["serve"]


_FILE: Final = click.Path(exists=True, dir_okay=False, path_type=Path)


@click.command()
@click.argument("folder", nargs=-1, type=click.Path(exists=True, file_okay=False, path_type=Path), metavar="[FOLDER]...")
@click.option("--store", default=None, metavar="PLACE", help="File or postgresql://... of the store, instead of MAINWRIGHT_STORE.")
@click.option("--port", default=8420, show_default=True, type=click.IntRange(0, 65535), help="Port of the pages; 0 takes a free one.")
@click.option(
    "--feed",
    multiple=True,
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="File of a mapping by which runs that a page begins can be followed; may be given several times.",
)
@click.option("--van", is_flag=True, help="Let phones on the van's network in, by a code; where this machine is on one private network.")
@click.option("--host", default=None, metavar="ADDRESS", help="As --van, on this address of the machine.")
@click.option("--certificate", type=_FILE, help="File of a certificate (PEM): encrypts the pages; with --key.")
@click.option("--key", type=_FILE, help="File of its private key (PEM).")
def serve(
    *,
    folder: tuple[Path, ...],
    store: str | None,
    port: int,
    feed: tuple[Path, ...],
    van: bool,
    host: str | None,
    certificate: Path | None,
    key: Path | None,
) -> int:
    """Serve the pages of all jobs in the store to a browser on this machine, until Ctrl-C. Nothing leaves the machine, unless phones are let in.

    Each FOLDER is taken into the store first, as a revision of its job. A run that a page followed when the program ended is followed on.
    """
    from mainwright import bootstrap
    from mainwright.web.app import create_app
    from mainwright.web.server import LOCAL, Server, address_of_socket, hosts_of, listen

    if (certificate is None) != (key is None):
        raise click.UsageError("--certificate and --key belong together.")
    phones = bootstrap.van_address(host, secret=certificate is not None) if van or host else None
    for one in folder:
        keeping = progress_line("Keeping")
        read, kept, left = bootstrap.import_job(one, store=store, author=bootstrap.user_name(), progress=keeping, command="serve")
        if kept is None:
            for line in fault_lines(read.faults):
                say(line)
            return FAULTY_INPUT
        if left:
            say(f"Not taken in, keep the files: {one}/records/{', records/'.join(left)}")
    sock = listen(LOCAL, port)
    van_sock = None if phones is None else listen(phones, sock.getsockname()[1])
    scheme = "http" if certificate is None else "https"
    address = "" if van_sock is None else address_of_socket(van_sock, scheme)
    with bootstrap.open_store(store) as opened:
        uses = bootstrap.page_use_cases(opened, feeds={one.stem: str(one) for one in feed}, van=address)
        try:
            for told in uses.live.go_on():
                say(told)
            hosts = {name for one in (sock, van_sock) if one is not None for name in hosts_of(*one.getsockname()[:2])}
            files = {"certificate": None if certificate is None else str(certificate), "key": None if key is None else str(key)}
            server = Server(create_app(uses, hosts=hosts), sock, van=van_sock, **files)
            say(f"The pages are at {server.address} (end with Ctrl-C).")
            if uses.pairing is not None:
                _tell_code(address, uses.pairing.offer("crew"), secret=certificate is not None)
            server.run()
        finally:
            uses.live.close()
    return DONE


def _tell_code(address: str, code: Code, *, secret: bool) -> None:
    """Show the first code, as text and, in a terminal, for a camera; further ones are made on the page of devices."""
    import sys
    from urllib.parse import quote

    import segno

    say(f"Phones on the van's network find them at {address}pair")
    say(f"Code for one phone of the crew, good for ten minutes: {code.text}. Further codes: page Devices.")
    if not secret:
        say("These pages are not encrypted: whoever can listen on that network can read them, and take over a phone's place.")
    if sys.stdout.isatty():
        segno.make(f"{address}pair?code={quote(code.text)}", error="m", micro=False).terminal(compact=True)
