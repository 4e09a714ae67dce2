"""Whether a reply of the desk is sound: no break-down, nothing hostile become markup, nobody led elsewhere."""

import re
from html.parser import HTMLParser
from typing import Any

#: What every hostile text carries, so that it is found wherever it went.
MARK = "zqx"


class Seen(HTMLParser):
    """A page as a browser takes it apart: its elements, their attributes, and the scripts in it."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.scripts: list[str] = []
        self._in_script = False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self._in_script = tag == "script"

    def handle_endtag(self, tag: str) -> None:
        self._in_script = False

    def handle_data(self, data: str) -> None:
        if self._in_script:
            self.scripts.append(data)


#: Lines of pages that were taken apart already: most of a page is as it was before.
KNOWN_LINES: set[str] = set()


def new_lines(page: str) -> str:
    """The lines of a page that no page before had, each form's ticket left out."""
    lines = dict.fromkeys(re.sub(r'name="ticket" value="[^"]*"', "", page).splitlines())
    new = [line for line in lines if line not in KNOWN_LINES]
    KNOWN_LINES.update(new)
    return "\n".join(new)


def is_sound(reply: Any, *, whole: bool = False) -> None:
    """An answer that is no break-down, and a page in which nothing hostile became markup; ``whole`` reads all of it."""
    assert reply.status_code < 500, reply.text[:500]
    assert "set-cookie" not in reply.headers
    # nobody is led elsewhere
    assert re.match(r"/(?!/)", reply.headers.get("location", "/"))
    if not reply.headers.get("content-type", "").startswith("text/html"):
        return
    seen = Seen(reply.text if whole else new_lines(reply.text))
    for tag, attributes in seen.tags:
        assert MARK not in tag
        # no handler, and no address of a script, is ever written by the desk
        assert not [name for name in attributes if name.startswith("on") or MARK in name], (tag, attributes)
        for name in ("href", "src", "action", "formaction"):
            assert not re.match(r"\s*(javascript|data):", attributes.get(name) or ""), (tag, attributes)
        assert tag != "script" or "src" in attributes or attributes.get("type") == "application/json"
    assert not [script for script in seen.scripts if "</" in script]
    assert "Traceback" not in reply.text
    assert "sqlalchemy" not in reply.text
