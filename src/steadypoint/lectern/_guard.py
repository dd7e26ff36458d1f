"""What every request passes: host, origin, token, size and rate; and what every answer carries."""

from __future__ import annotations

import hmac
import time
from collections.abc import Callable, Iterable
from http.cookies import SimpleCookie
from typing import Final
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LARGEST_BODY: Final = 1_200_000
"""Largest body of a request. [bytes]"""
PER_SECOND: Final = 120.0
"""Requests that are answered in the long run. [1/s]"""
BURST: Final = 480.0
"""Requests that may come at once. [-]"""
COOKIE: Final = "steadypoint-token"

POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "font-src 'self'; connect-src 'self'; frame-src 'self'; base-uri 'none'; "
    "form-action 'self'; frame-ancestors 'none'"
)
PREVIEW_POLICY: Final = (
    "sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'self'"
)
_HEADERS: Final = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
}
_SAFE: Final = frozenset({"GET", "HEAD"})


class Guard:
    """The middleware.

    Parameters
    ----------
    app : ASGI application
        What is guarded.
    hosts : iterable of str
        Names under which the lectern may be asked for, without port.
    token : str
        Secret that every request needs, in a cookie or once in the address; empty on loopback.
    clock : callable
        Gives the time. [s]
    """

    def __init__(
        self,
        app: ASGIApp,
        hosts: Iterable[str],
        token: str = "",
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.app = app
        self.hosts = frozenset(host.casefold() for host in hosts)
        self.token = token
        self._tokens = BURST
        self._clock = clock
        self._at = clock()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer why not."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        refusal = self._refusal(scope)
        if refusal is not None:
            await refusal(scope, receive, _with_headers(send))
            return
        body = _Body(receive)
        try:
            await self.app(scope, body.receive, _with_headers(send))
        except _TooLargeError:
            await _plain(413, "The request is too large.")(scope, receive, _with_headers(send))

    def _refusal(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        if _bare(host) not in self.hosts:
            return _plain(421, "The lectern does not answer to this host name.")
        if not self._has_token(scope, headers):
            return self._welcome(scope)
        if scope["method"] not in _SAFE and not _same_origin(headers, host):
            return _plain(403, "The lectern takes changes from its own pages only.")
        if scope["method"] not in _SAFE and _type(headers) != "application/json":
            return _plain(415, "The lectern takes JSON.")
        if int(headers.get("content-length") or 0) > LARGEST_BODY:
            return _plain(413, "The request is too large.")
        if not self._in_rate():
            return _plain(429, "Too many requests at once. Wait a second.")
        return None

    def _has_token(self, scope: Scope, headers: Headers) -> bool:
        if not self.token:
            return True
        jar: SimpleCookie = SimpleCookie(headers.get("cookie", ""))
        said = jar[COOKIE].value if COOKIE in jar else ""
        return hmac.compare_digest(said.encode(), self.token.encode())

    def _welcome(self, scope: Scope) -> Response:
        """The first visit: the token in the address becomes a cookie, then leaves the address."""
        query = parse_qs(scope.get("query_string", b"").decode("latin-1"))
        said = query.get("token", [""])[0]
        if not hmac.compare_digest(said.encode(), self.token.encode()):
            return _plain(401, "Open the lectern by the whole address that it printed.")
        answer = RedirectResponse(scope["path"], 303)
        answer.set_cookie(COOKIE, self.token, httponly=True, samesite="strict")
        return answer

    def _in_rate(self) -> bool:
        now = self._clock()
        self._tokens = min(BURST, self._tokens + PER_SECOND * (now - self._at))
        self._at = now
        if self._tokens < 1.0:
            return False
        self._tokens -= 1.0
        return True


class _TooLargeError(Exception):
    pass


class _Body:
    """Counts a body that states no length, or a wrong one."""

    def __init__(self, receive: Receive) -> None:
        self._receive = receive
        self._size = 0

    async def receive(self) -> Message:
        message = await self._receive()
        self._size += len(message.get("body", b""))
        if self._size > LARGEST_BODY:
            raise _TooLargeError
        return message


def _bare(host: str) -> str:
    name = host.rsplit(":", 1)[0] if not host.endswith("]") else host
    return name.strip("[]").casefold()


def _type(headers: Headers) -> str:
    return headers.get("content-type", "").partition(";")[0].strip().casefold()


def _same_origin(headers: Headers, host: str) -> bool:
    if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        return False
    origin = headers.get("origin")
    return origin is None or origin in (f"http://{host}", f"https://{host}")


def _plain(status: int, sentence: str) -> Response:
    return PlainTextResponse(f"{sentence}\n", status)


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers[name] = value
            headers.setdefault("content-security-policy", POLICY)
            headers.setdefault("cache-control", "no-store")
        await send(message)

    return sending
