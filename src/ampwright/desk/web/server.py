"""The desk served on this machine."""

import gc
import socket
import sys
import threading
import webbrowser

import uvicorn

from ampwright.desk.cases.kept_jobs import delete_due
from ampwright.desk.cases.shop import open_shop
from ampwright.desk.web.app import create_app
from ampwright.desk.web.daily import Daily
from ampwright.desk.web.guard import LOOPBACK
from ampwright.errors import AmpwrightError, BadReading

# Two pages at once is what a counter of several people comes to.
_WORKERS, _FIRST_PAGE_s = 2, 2.0


def serve(host: str = "127.0.0.1", port: int = 8417, folder: str | None = None, *, open_page: bool = True) -> None:
    """Serve until stopped; ``port`` 0 takes one that is free."""
    if host not in LOOPBACK:
        raise BadReading(
            f"{host}: the desk is served on this machine only for now, since it asks nobody who they are."
            " Leave --host out, or give 127.0.0.1 or localhost."
        )
    shop = open_shop(folder)
    listening = _listen(host, port)
    address = f"http://{'[::1]' if host == '::1' else host}:{listening.getsockname()[1]}"
    _say(f"The desk is open at {address}  (stop it with Ctrl+C)")
    if open_page:
        threading.Timer(0.3, webbrowser.open, [address]).start()
    # A command runs without the collector; what is served for days needs it, but not for what is there from the start.
    gc.enable()
    gc.freeze()
    app = create_app(shop)
    # After the first page, which they would only hold up.
    starting = threading.Timer(_FIRST_PAGE_s, app.state.workers.start, [_WORKERS])
    starting.daemon = True
    starting.start()
    daily = Daily(lambda: delete_due(shop), _say)
    daily.start()
    config = uvicorn.Config(app, log_level="warning", access_log=False, server_header=False)
    try:
        uvicorn.Server(config).run(sockets=[listening])
    finally:
        starting.cancel()
        daily.stop()
        app.state.workers.stop()
        shop.close()


def _say(words: str) -> None:
    print(words, file=sys.stderr, flush=True)


def _listen(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if host == "::1" else socket.AF_INET
    # Named TCP, or the server would wait for more to send with every answer, a twenty-fifth of a second each time.
    listening = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
        listening.listen(64)  # who comes before the desk is up waits a moment and is not turned away
    except (OSError, OverflowError) as fault:
        listening.close()
        why = getattr(fault, "strerror", None) or fault
        raise AmpwrightError(f"Port {port} on {host} cannot be had ({why}). Give another by --port, or 0.") from None
    return listening
