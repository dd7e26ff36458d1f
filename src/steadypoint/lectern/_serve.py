"""Starting the lectern: a port on loopback, the address printed, the browser opened."""

from __future__ import annotations

import asyncio
import ipaddress
import logging
import os
import secrets
import socket
import sys
import threading
from typing import Final

from steadypoint.errors import OutputError
from steadypoint.lectern._app import lectern_app
from steadypoint.lectern._folder import Folder

PORT: Final = 8460
"""Port that is tried first; the next free one is taken where it is in use."""

_TRIES: Final = 20


def serve_lectern(
    folder: str | os.PathLike[str] = ".",
    *,
    port: int | None = None,
    host: str = "127.0.0.1",
    open_browser: bool = False,
) -> None:
    """Serve the lectern until it is interrupted.

    Parameters
    ----------
    folder : path-like
        Folder with circuits and lessons.
    port : int, optional
        Port; the first free one from 8460 by default. [-]
    host : str
        Address to listen on. Another one than loopback needs the printed token.
    open_browser : bool, default False
        Open the page in the browser.

    Raises
    ------
    OutputError
        If there is no such folder, or the port cannot be had.
    """
    import uvicorn

    place = Folder(folder)
    listening = _listen(host, port)
    token = "" if _is_loopback(host) else secrets.token_urlsafe(24)
    address = _address(listening, token)
    sys.stdout.write(f"The lectern stands at {address}\nPress Ctrl+C to end it.\n")
    sys.stdout.flush()
    app = lectern_app(place, hosts=_hosts(listening, host), token=token)
    if open_browser:
        import webbrowser

        threading.Timer(0.3, webbrowser.open, [address]).start()
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=2,
        limit_concurrency=200,
        ws="none",
    )
    logging.getLogger("uvicorn.error").addFilter(Quiet())
    uvicorn.Server(config).run(sockets=[listening])


class Quiet(logging.Filter):
    """Keeps to itself that an answer in the making was given up at the end: nobody waits for it."""

    def filter(self, record: logging.LogRecord) -> bool:
        """True for everything else."""
        fault = record.exc_info[1] if record.exc_info else None
        given_up = "timeout graceful shutdown" in record.getMessage()
        return not (given_up or isinstance(fault, asyncio.CancelledError))


def _is_loopback(host: str) -> bool:
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def _hosts(listening: socket.socket, host: str) -> tuple[str, ...]:
    names = {"localhost", "127.0.0.1", "::1", host, listening.getsockname()[0]}
    if not _is_loopback(host):
        names |= {socket.gethostname(), socket.getfqdn()}
        names |= _addresses()
    return tuple(sorted(names))


def _addresses() -> set[str]:
    try:
        return {str(info[4][0]) for info in socket.getaddrinfo(socket.gethostname(), None)}
    except OSError:
        return set()


def _address(listening: socket.socket, token: str) -> str:
    host, port = listening.getsockname()[:2]
    host = f"[{host}]" if ":" in host else host
    return f"http://{host}:{port}/" + (f"?token={token}" if token else "")


def _listen(host: str, port: int | None) -> socket.socket:
    """A listening socket; the port is taken before anything is printed."""
    first = PORT if port is None else port
    ports = [first] if port is not None else range(first, first + _TRIES)
    try:
        family = socket.getaddrinfo(host, None)[0][0]
    except OSError as fault:
        raise OutputError(
            f"There is no address '{host}'. Leave --host out for loopback."
        ) from fault
    for number in ports:
        # asyncio sends small pieces at once only on sockets that name their protocol; without it
        # every other answer waits 40 ms for an acknowledgement.
        listening = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((host, number))
        except (OSError, OverflowError):
            listening.close()
            continue
        listening.listen(64)
        listening.set_inheritable(False)
        return listening
    raise OutputError(
        f"Port {first} of {host} cannot be had. Name another one with --port, such as "
        f"--port {PORT + 100}."
    )
