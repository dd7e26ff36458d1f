"""The application: its addresses, and what of the folder they show."""

from __future__ import annotations

import json
import mimetypes
import threading
from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import asynccontextmanager
from functools import cache
from importlib.resources import files
from typing import Any, Final

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from steadypoint.errors import SteadypointError
from steadypoint.lectern._area import area_named
from steadypoint.lectern._folder import ChangedOutsideError, Folder
from steadypoint.lectern._guard import PREVIEW_POLICY, Guard
from steadypoint.lectern._page import LOOKS, State, address, desk_page, document, start_page
from steadypoint.lectern._worker import QUICK_SECONDS, SLOW_SECONDS, Inline, Work, Worker

_LOCAL: Final = ("localhost", "127.0.0.1", "::1")
_SLOW: Final = frozenset({"leaf", "lesson", "picture", "build", "arrangements"})
_ASKED: Final = frozenset({"view", "answers", "present", *_SLOW})
_PREVIEWS: Final = 8  # previews that are kept for the frames that show them
_WAIT: Final = "The lectern is busy with this address. Try again in a moment."


class Lectern:
    """What the addresses share: the folder and who works.

    Parameters
    ----------
    folder : Folder
        The lecturer's files.
    quick, slow : Work
        Who answers key presses, and who does what takes longer.
    """

    def __init__(self, folder: Folder, quick: Work, slow: Work) -> None:
        self.folder = folder
        self.quick = quick
        self.slow = slow
        self.previews: dict[str, str] = {}

    def warm(self) -> None:
        """Load the numerics, and draw the first circuit, before anybody waits for it."""
        names = self.folder.names()
        sheet = self.folder.read(names[0]).text if names else "VCC = 9 V\n"
        self.quick.call({"do": "view", "sheet": sheet, "area": "loadline"})
        self.quick.call({"do": "answers", "sheet": sheet})

    async def work(self, request: dict[str, Any]) -> dict[str, Any]:
        """Have something worked out without holding up the other pages."""
        who = self.slow if request.get("do") in _SLOW else self.quick
        if request.get("do") == "leaf" and not _is_slow(request):
            who = self.quick
        return await run_in_threadpool(who.call, request)


def _is_slow(request: dict[str, Any]) -> bool:
    try:
        return area_named(str(request.get("area"))).slow
    except SteadypointError:
        return False


def lectern_app(
    folder: Folder, *, hosts: Sequence[str] = _LOCAL, token: str = "", inline: bool = False
) -> Starlette:
    """The web application of a folder.

    Parameters
    ----------
    folder : Folder
        Circuits and lessons.
    hosts : sequence of str
        Host names that it answers to, without port.
    token : str
        Secret of everybody who may use it; empty for loopback.
    inline : bool, default False
        Compute in this process instead of in working processes: nothing is cancelled then.

    Returns
    -------
    Starlette
        An ASGI application.
    """
    quick: Work = Inline() if inline else Worker(QUICK_SECONDS)
    slow: Work = Inline() if inline else Worker(SLOW_SECONDS)
    lectern = Lectern(folder, quick, slow)

    @asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncIterator[None]:
        if isinstance(quick, Worker):
            quick.start()
            threading.Thread(target=lectern.warm, daemon=True).start()
        yield
        quick.close()
        slow.close()

    app = Starlette(
        routes=_routes(),
        lifespan=lifespan,
        middleware=[Middleware(Guard, hosts=hosts, token=token)],
        exception_handlers={404: _not_found, 405: _not_found},
    )
    app.state.lectern = lectern
    return app


def _routes() -> list[Route]:
    return [
        Route("/", _home),
        Route("/new", _new_page),
        Route("/desk/{file}", _to_area),
        Route("/desk/{file}/{area}", _desk),
        Route("/present/{file}", _present),
        Route("/script/{file}", _script),
        Route("/look/{name:path}", _look),
        Route("/arrangement/{name}.svg", _arrangement),
        Route("/preview/{key}", _preview),
        Route("/api/file", _api_file, methods=["POST"]),
        Route("/api/version", _api_version, methods=["POST"]),
        Route("/api/save", _api_save, methods=["POST"]),
        Route("/api/new", _api_new, methods=["POST"]),
        Route("/api/{do}", _api_work, methods=["POST"]),
    ]


def _lectern(request: Request) -> Lectern:
    found: Lectern = request.app.state.lectern
    return found


def _theme(request: Request) -> str:
    look = request.query_params.get("look") or request.cookies.get("steadypoint-look", "auto")
    return look if look in LOOKS else "auto"


async def _home(request: Request) -> Response:
    names = _lectern(request).folder.names()
    return RedirectResponse(address(names[0], "working") if names else "/new", 303)


async def _new_page(request: Request) -> Response:
    found = await _lectern(request).work({"do": "arrangements"})
    return HTMLResponse(start_page(found.get("names", []), _theme(request)))


async def _to_area(request: Request) -> Response:
    return RedirectResponse(address(request.path_params["file"], "working"), 303)


async def _desk(request: Request) -> Response:
    lectern, file = _lectern(request), request.path_params["file"]
    try:
        area = area_named(request.path_params["area"])
        text = lectern.folder.read(file)
    except SteadypointError as fault:
        return _fault_page(str(fault), _theme(request))
    options = {k: v[:2000] for k, v in request.query_params.items() if k not in ("model", "look")}
    model = request.query_params.get("model", "exact")
    asked = {
        "do": "view",
        "file": file,
        "folder": str(lectern.folder.path),
        "sheet": text.text,
        "area": area.name,
        "model": model,
        "options": options,
    }
    # While the numerics still load, the page comes without them and asks again by itself.
    shown = await lectern.work(asked) if lectern.quick.ready else {}
    state = State(
        file,
        text.text,
        text.version,
        area.name,
        model if model in ("board", "exact", "device") else "exact",
        _theme(request),
        lectern.folder.names(),
        options,
        {} if "fault" in shown or "refused" in shown else shown,
    )
    return HTMLResponse(desk_page(state))


async def _present(request: Request) -> Response:
    return await _talk(request, "present")


async def _script(request: Request) -> Response:
    return await _talk(request, "script")


async def _talk(request: Request, kind: str) -> Response:
    from steadypoint.lectern._talk import script_page, talk_page

    lectern, file = _lectern(request), request.path_params["file"]
    try:
        text = lectern.folder.read(file)
    except SteadypointError as fault:
        return _fault_page(str(fault), _theme(request))
    query = dict(request.query_params)
    asked = {"do": "present", "sheet": text.text, "file": file, "options": query}
    shown = await lectern.work(asked)
    if "refused" in shown:
        return _fault_page(shown["refused"], _theme(request))
    look = request.query_params.get("look", "projector" if kind == "present" else _theme(request))
    page = talk_page if kind == "present" else script_page
    return HTMLResponse(page(file, shown, look if look in LOOKS else "projector"))


@cache
def _style(name: str) -> bytes:
    """A style sheet or script of the lectern; the tokens are those of everything published."""
    if name == "tokens.css":
        from steadypoint.lectern._style import tokens

        return tokens().encode()
    if name.startswith("font/"):
        from steadypoint.lectern._style import font

        return font(name.removeprefix("font/"))
    place = files("steadypoint.lectern").joinpath("look", name)
    if "/" in name or name.startswith(".") or not place.is_file():
        raise FileNotFoundError(name)
    return place.read_bytes()


async def _look(request: Request) -> Response:
    name = request.path_params["name"]
    try:
        data = await run_in_threadpool(_style, name)
    except (FileNotFoundError, OSError, ValueError):
        return await _not_found(request, FileNotFoundError(name))
    kind = "font/ttf" if name.startswith("font/") else mimetypes.guess_type(name)[0]
    keep = "max-age=86400" if name.startswith("font/") else "no-cache"
    kind = "text/javascript" if name.endswith(".js") else kind
    return Response(data, media_type=kind, headers={"cache-control": keep})


async def _arrangement(request: Request) -> Response:
    look = request.query_params.get("look", "light")
    asked = {"do": "picture", "name": request.path_params["name"], "look": look}
    found = await _lectern(request).work(asked)
    if "svg" not in found:
        return await _not_found(request, KeyError("arrangement"))
    return Response(
        found["svg"], media_type="image/svg+xml", headers={"cache-control": "max-age=600"}
    )


async def _preview(request: Request) -> Response:
    page = _lectern(request).previews.get(request.path_params["key"])
    if page is None:
        return await _not_found(request, KeyError("preview"))
    return HTMLResponse(page, headers={"content-security-policy": PREVIEW_POLICY})


async def _json(request: Request) -> dict[str, Any]:
    try:
        data = json.loads(await request.body())
    except (ValueError, RecursionError):
        return {}
    return data if isinstance(data, dict) else {}


def _refused(sentence: str, status: int = 200, **more: Any) -> Response:
    return JSONResponse({"refused": sentence, **more}, status)


async def _with_folder(request: Request, do: Callable[[Folder, dict[str, Any]], Any]) -> Response:
    data = await _json(request)
    folder = _lectern(request).folder
    try:
        return JSONResponse(await run_in_threadpool(do, folder, data))
    except ChangedOutsideError as fault:
        return _refused(str(fault), conflict=True)
    except SteadypointError as fault:
        return _refused(str(fault))


async def _api_file(request: Request) -> Response:
    def read(folder: Folder, data: dict[str, Any]) -> dict[str, str]:
        found = folder.read(str(data.get("name", "")))
        return {"name": found.name, "text": found.text, "version": found.version}

    return await _with_folder(request, read)


async def _api_version(request: Request) -> Response:
    return await _with_folder(
        request, lambda folder, data: {"version": folder.version(str(data.get("name", "")))}
    )


async def _api_save(request: Request) -> Response:
    def write(folder: Folder, data: dict[str, Any]) -> dict[str, str]:
        name, text = str(data.get("name", "")), str(data.get("text", ""))
        return {"version": folder.write(name, text, str(data.get("version", "")))}

    return await _with_folder(request, write)


async def _api_new(request: Request) -> Response:
    """A new file from an arrangement or from a text."""
    data = await _json(request)
    text = data.get("text")
    if not isinstance(text, str):
        found = await _lectern(request).work(
            {"do": "arrangements", "name": data.get("arrangement")}
        )
        text = found.get("sheet", "")
        if not text:
            return _refused(found.get("refused", "Choose an arrangement to begin with."))
    name = f"{str(data.get('name', '')).strip().removesuffix('.circuit')}.circuit"
    try:
        await run_in_threadpool(_lectern(request).folder.write, name, text, "")
    except ChangedOutsideError:
        return _refused(f"There is a '{name}' already. Choose another name.")
    except SteadypointError as fault:
        return _refused(str(fault))
    return JSONResponse({"name": name, "address": address(name, "drawing")})


async def _api_work(request: Request) -> Response:
    do = request.path_params["do"]
    data = await _json(request)
    if do not in _ASKED:
        return _refused("The page asked for something that the lectern does not know.", 404)
    lectern = _lectern(request)
    found = await lectern.work({**data, "do": do, "folder": str(lectern.folder.path)})
    if "page" in found:
        found["key"] = _keep(lectern.previews, found.pop("page"))
    return JSONResponse(found)


def _keep(previews: dict[str, str], page: str) -> str:
    import secrets

    key = secrets.token_urlsafe(12)
    previews[key] = page
    while len(previews) > _PREVIEWS:
        previews.pop(next(iter(previews)))
    return key


def _fault_page(sentence: str, look: str) -> Response:
    from steadypoint.lectern._markup import fault_block

    body = (
        '<main class="alone" id="leaf"><h1>This page is not here</h1>'
        f'{fault_block(sentence)}<p><a class="btn" href="/">To the circuits of the folder</a></p>'
        "</main>"
    )
    return HTMLResponse(document("Not here", body, look=look, name="alonepage"), 404)


async def _not_found(request: Request, fault: Exception) -> Response:
    if request.url.path.startswith("/api/"):
        return _refused("The page asked for something that the lectern does not know.", 404)
    return _fault_page("The lectern has no such page. Go back to the circuits.", _theme(request))
