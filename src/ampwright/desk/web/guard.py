"""
What the desk lets in and out: this machine only, its own pages only, bodies of a bounded size.

Every answer carries a content policy by which a page may load nothing from anywhere else.
"""

from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

#: The names this machine has for itself.
LOOPBACK = frozenset({"localhost", "127.0.0.1", "::1"})
#: The most that may be sent at once: a photo of 15 MB with its form.
MOST_BYTES = 16_000_000
_LONGEST_LENGTH = 12
_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self';"
        " connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    # Not no-referrer: with that a form is sent with the origin "null", which cannot be told from a stranger's.
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
}


class TooLarge(Exception):
    """More was sent than is taken."""


class Guard:
    """The gate before every route."""

    def __init__(self, app: ASGIApp, most_bytes: int = MOST_BYTES) -> None:
        self.app = app
        self.most_bytes = most_bytes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it here."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        refused = refusal(scope["method"], headers, self.most_bytes)
        begun = False

        async def send_guarded(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                found = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    found[name] = value
                found.setdefault("Cache-Control", "no-store")
            await send(message)

        if refused is not None:
            await refused(scope, receive, send_guarded)
            return
        try:
            await self.app(scope, _counted(receive, self.most_bytes), send_guarded)
        except TooLarge:
            if begun:
                raise
            await too_large(self.most_bytes)(scope, receive, send_guarded)
        except Exception:
            # The server would answer too, past what every answer carries.
            if not begun:
                await _broken()(scope, receive, send_guarded)
            raise


def refusal(method: str, headers: Headers, most_bytes: int) -> PlainTextResponse | None:
    """Why a request is not let in, as an answer; None where it is."""
    host = _name_of(headers.get("host", ""))
    if host not in LOOPBACK:
        return PlainTextResponse(
            "The desk answers on this machine only, as http://127.0.0.1 or http://localhost.", status_code=421
        )
    if method in _SAFE:
        return None
    if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        return _foreign()
    origin = headers.get("origin")
    if origin is not None and origin not in _own_origins(headers):
        return _foreign()
    length = headers.get("content-length", "0")
    # Other scripts have digits of their own, of which not every one is a number.
    if not (length.isascii() and length.isdecimal()) or len(length) > _LONGEST_LENGTH or int(length) > most_bytes:
        return too_large(most_bytes)
    return None


def _own_origins(headers: Headers) -> tuple[str, str]:
    """How a browser names the desk as where a request came from."""
    host = headers.get("host", "")
    return f"http://{host}", f"https://{host}"


def _name_of(host: str) -> str:
    """The name in a Host header, its port left off."""
    try:
        return urlsplit(f"//{host}").hostname or ""
    except ValueError:
        return ""


def _counted(receive: Receive, most_bytes: int) -> Receive:
    """Receive no more than so many bytes, whatever the length that was announced."""
    seen = 0

    async def counted() -> Message:
        nonlocal seen
        message = await receive()
        seen += len(message.get("body", b""))
        if seen > most_bytes:
            raise TooLarge
        return message

    return counted


def _foreign() -> PlainTextResponse:
    return PlainTextResponse(
        "This came from a page that is not the desk's own, and nothing was done. Open the desk and say it there.",
        status_code=403,
    )


def _broken() -> PlainTextResponse:
    return PlainTextResponse(
        "The desk made a mistake and stopped there. Nothing half done was kept. Go back and try again.", status_code=500
    )


def too_large(most_bytes: int) -> PlainTextResponse:
    """What is said where more was sent than is taken."""
    return PlainTextResponse(
        f"That is more than the {most_bytes // 1_000_000} MB taken at once, and nothing was kept. Send less.",
        status_code=413,
    )
