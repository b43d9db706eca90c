"""What `costsim dashboard` hands to Streamlit: the page behind a server that sends its scripts compressed.

Streamlit sends them as they are, 9 MB for the first page; compressed once and kept, they are under a third of that.
"""

from __future__ import annotations

import asyncio
import gzip
from pathlib import Path

from starlette.datastructures import Headers, MutableHeaders
from starlette.middleware import Middleware
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from streamlit.starlette import App

LEAST_BYTES, LEVEL = 1000, 6
ENDINGS = (".js", ".css")


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


app = App(Path(__file__).with_name("page.py"), middleware=[Middleware(Compressed)])
