"""What `costsim dashboard` hands to Streamlit: the page behind a server that is ready early and sends its scripts compressed.

What the first page needs is imported while the browser loads Streamlit's scripts, without the collector of garbage, which finds
nothing in it. Streamlit sends its scripts as they are, 9 MB for the first page; compressed once and kept, they are under a third
of that.
"""

from __future__ import annotations

import asyncio
import contextlib
import gc
import gzip
import importlib
import threading
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

from starlette.datastructures import Headers, MutableHeaders
from starlette.middleware import Middleware
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from streamlit import delta_generator
from streamlit.starlette import App

LEAST_BYTES, LEVEL = 1000, 6
ENDINGS = (".js", ".css")
FIRST_NEEDS = ("costsim.dashboard", "costsim.dashboard.page_decide", "plotly.graph_objects")


class Compressed:
    """Send scripts and styles that never change compressed, each compressed once."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app
        self._kept: dict[str, bytes] = {}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        path = str(scope.get("path", ""))
        if scope["type"] != "http" or scope["method"] != "GET" or not path.endswith(ENDINGS) or not _wanted(scope):
            await self._app(scope, receive, send)
            return
        start: Message = {}
        parts: list[bytes] = []

        async def catch(message: Message) -> None:
            nonlocal start
            if message["type"] == "http.response.start":
                start = message
                return
            parts.append(message.get("body", b""))
            if not message.get("more_body", False):
                await self._send(path, start, b"".join(parts), send)

        await self._app(scope, receive, catch)

    async def _send(self, path: str, start: Message, body: bytes, send: Send) -> None:
        headers = MutableHeaders(scope=start)
        if start["status"] == 200 and len(body) >= LEAST_BYTES and "content-encoding" not in headers:
            if path not in self._kept:
                self._kept[path] = await asyncio.to_thread(gzip.compress, body, LEVEL)
            body = self._kept[path]
            headers["content-encoding"] = "gzip"
            headers["content-length"] = str(len(body))
            headers.add_vary_header("Accept-Encoding")
        await send(start)
        await send({"type": "http.response.body", "body": body})


def _wanted(scope: Scope) -> bool:
    headers = Headers(scope=scope)
    return "gzip" in headers.get("accept-encoding", "") and "range" not in headers


def _import_ahead() -> None:
    # or Streamlit looks once, for half a second, whether it was started in a console
    delta_generator._use_warning_has_been_displayed = True
    try:
        for name in FIRST_NEEDS:
            importlib.import_module(name)
    finally:
        gc.freeze()
        gc.enable()


@contextlib.asynccontextmanager
async def _ready(_: App) -> AsyncIterator[dict[str, Any] | None]:
    """Begin to import as soon as the server answers."""
    gc.disable()
    threading.Thread(target=_import_ahead, name="imports", daemon=True).start()
    yield None


app = App(Path(__file__).with_name("page.py"), middleware=[Middleware(Compressed)], lifespan=_ready)
