"""The command that serves the page."""

from typing import Annotated

import typer


def serve(
    port: Annotated[int, typer.Option(help="The port; 0 takes one that is free.", min=0, max=65535)] = 8417,
    host: Annotated[str, typer.Option(help="This machine's own address: nothing else is served on.")] = "127.0.0.1",
    data: Annotated[
        str | None, typer.Option(help="Folder of the shop's data; left out, AMPWRIGHT_DATA or the user's own folder.")
    ] = None,
    no_browser: Annotated[bool, typer.Option("--no-browser", help="Do not open the page.")] = False,
) -> None:
    """The desk as a page on this machine: jobs kept, answers as they are told, papers to print."""
    from ampwright.desk.web.server import serve as run  # the web libraries, which no other command needs

    run(host, port, data, open_page=not no_browser)
