"""``mainwright serve``."""

from __future__ import annotations

from pathlib import Path

import click

from mainwright.cli.statuses import DONE, FAULTY_INPUT
from mainwright.cli.terminal import fault_lines, progress_line, say

__all__ = ["serve"]


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
def serve(*, folder: tuple[Path, ...], store: str | None, port: int, feed: tuple[Path, ...]) -> int:
    """Serve the pages of all jobs in the store to a browser on this machine, until Ctrl-C. Nothing leaves the machine.

    Each FOLDER is taken into the store first, as a revision of its job. A run that a page followed when the program ended is followed on.
    """
    from mainwright import bootstrap
    from mainwright.web.app import create_app
    from mainwright.web.server import LOCAL, Server, hosts_of, listen

    for one in folder:
        read, kept, left = bootstrap.import_job(one, store=store, author=bootstrap.user_name(), progress=progress_line("Keeping"))
        if kept is None:
            for line in fault_lines(read.faults):
                say(line)
            return FAULTY_INPUT
        if left:
            say(f"Not taken in, keep the files: {one}/records/{', records/'.join(left)}")
    sock = listen(LOCAL, port)
    with bootstrap.open_store(store) as opened:
        uses = bootstrap.page_use_cases(opened, feeds={one.stem: str(one) for one in feed})
        try:
            for told in uses.live.go_on():
                say(told)
            server = Server(create_app(uses, hosts=hosts_of(*sock.getsockname()[:2])), sock)
            say(f"The pages are at {server.address} (end with Ctrl-C).")
            server.run()
        finally:
            uses.live.close()
    return DONE
