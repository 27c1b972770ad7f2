"""``mainwright serve``."""

from __future__ import annotations

from pathlib import Path

import click

from mainwright.cli.statuses import DONE
from mainwright.cli.terminal import say

__all__ = ["serve"]


@click.command()
@click.argument("folder", nargs=-1, type=click.Path(exists=True, file_okay=False, path_type=Path), metavar="[FOLDER]...")
@click.option("--port", default=8420, show_default=True, type=click.IntRange(0, 65535), help="Port of the pages; 0 takes a free one.")
def serve(*, folder: tuple[Path, ...], port: int) -> int:
    """Serve the pages of job folders to a browser on this machine, until Ctrl-C. Nothing leaves the machine."""
    from mainwright import bootstrap
    from mainwright.web.app import create_app
    from mainwright.web.server import LOCAL, Server, hosts_of, listen

    sock = listen(LOCAL, port)
    app = create_app(bootstrap.page_use_cases(folder), hosts=hosts_of(*sock.getsockname()[:2]))
    server = Server(app, sock)
    say(f"The pages are at {server.address} (end with Ctrl-C).")
    server.run()
    return DONE
