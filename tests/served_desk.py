"""A desk served on this machine for a browser: started, stopped and started again at the same address."""

import socket
import threading
from pathlib import Path
from typing import Any

import uvicorn
from shops import found, shop_in

from ampwright.desk.cases import jobs, kept_jobs
from ampwright.desk.cases.edit import without_number
from ampwright.desk.web.app import create_app

#: The two sizes of screen that are looked at.
WIDE = {"width": 1280, "height": 900}
PHONE = {"width": 360, "height": 720}


class ServedDesk:
    """The desk of one folder at one address."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.port = 0
        self.start()

    @property
    def address(self) -> str:
        """Where it is."""
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        """Open the shop and serve it; a port once had is taken again."""
        self.shop = shop_in(self.folder)
        listening = socket.socket()
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind(("127.0.0.1", self.port))
        self.port = listening.getsockname()[1]
        listening.listen()
        config = uvicorn.Config(create_app(self.shop), log_level="error", access_log=False, lifespan="off", ws="none")
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(target=self._server.run, kwargs={"sockets": [listening]}, daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Stop serving; what is kept stays in the folder."""
        self._server.should_exit = True
        self._server.force_exit = True
        self._thread.join()
        self.shop.close()

    def job(self, **keys: Any) -> str:
        """Keep a job of a document's keys; its number."""
        document = without_number(jobs.document_of(None, "caller") | {"title": "Twin with a lamp that dims"} | keys)
        return kept_jobs.new_job(self.shop, document).number

    def story(self, name: str) -> str:
        """Keep a job of an invented story; its number."""
        return kept_jobs.new_job(self.shop, without_number(jobs.demo_document(name))).number


#: A reading of every one of the five places; by hand, of a battery that is full and is not charged.
NOT_CHARGING = {
    "at_rest": "12,7",
    "on_load": "12,2",
    "tick_over": "12,4",
    "fast_lights_off": "12,5",
    "fast_lights_on": "12,1",
}

#: What a caller tells of a common machine, as a document holds it.
TWO_WIRES = [
    found("danger", "nothing"),
    found("position", "wires out of the engine case"),
    found("thick_wires", 2),
    found("battery_voltage_V", 12),
]
