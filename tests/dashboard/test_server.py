"""Scripts of the dashboard are sent compressed to whoever takes that, and to nobody else."""

from __future__ import annotations

import ast
import asyncio
import gzip
import subprocess
import sys

import pytest
from starlette.types import Message, Receive, Scope, Send
from streamlit import delta_generator

from costsim.dashboard.registry import load_pages
from costsim.dashboard.server import FIRST_NEEDS, Compressed

BODY = b"let heat = 1;\n" * 500


async def script(scope: Scope, receive: Receive, send: Send) -> None:
    await send(
        {"type": "http.response.start", "status": 200, "headers": [(b"content-length", str(len(BODY)).encode())]}
    )
    await send({"type": "http.response.body", "body": BODY[:100], "more_body": True})
    await send({"type": "http.response.body", "body": BODY[100:]})


def answer(path: str, **headers: str) -> tuple[dict[str, str], bytes]:
    sent: list[Message] = []

    async def send(message: Message) -> None:
        sent.append(message)

    async def receive() -> Message:
        return {"type": "http.request"}

    pairs = [(key.replace("_", "-").encode(), value.encode()) for key, value in headers.items()]
    scope = {"type": "http", "method": "GET", "path": path, "headers": pairs}
    asyncio.run(Compressed(script)(scope, receive, send))
    found = {key.decode().lower(): value.decode() for key, value in sent[0]["headers"]}
    return found, b"".join(message.get("body", b"") for message in sent[1:])


def test_a_script_comes_compressed_with_its_length() -> None:
    headers, body = answer("/static/js/a.js", accept_encoding="gzip, br")
    assert headers["content-encoding"] == "gzip"
    assert int(headers["content-length"]) == len(body) < len(BODY) / 10
    assert gzip.decompress(body) == BODY


@pytest.mark.parametrize(
    ("path", "headers"),
    [
        ("/static/js/a.js", {}),
        ("/static/js/a.js", {"accept_encoding": "gzip", "range": "bytes=0-9"}),
        ("/media/report.pdf", {"accept_encoding": "gzip"}),
    ],
)
def test_everything_else_comes_as_it_is(path: str, headers: dict[str, str]) -> None:
    found, body = answer(path, **headers)
    assert "content-encoding" not in found
    assert body == BODY


@pytest.mark.long
def test_what_the_first_page_needs_comes_without_what_other_pages_do() -> None:
    code = f"import importlib, sys\nfor one in {FIRST_NEEDS}: importlib.import_module(one)\nprint(sorted(sys.modules))"
    made = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(ast.literal_eval(made.stdout))
    assert not loaded & {
        "scipy",
        "pvlib",
        "numba",
        "distributed",
        "openpyxl",
        "costsim.portfolio.run",
        "costsim.report.pdf",
    }
    assert (
        "pandas" in loaded
    )  # whole before a page runs, since Streamlit looks into it as soon as any thread has begun with it
    assert [one.key for one in load_pages() if one.module in loaded] == ["decide"]


def test_streamlit_still_has_what_is_told_to_it() -> None:
    assert isinstance(delta_generator._use_warning_has_been_displayed, bool)
