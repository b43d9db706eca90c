"""A hostile page in a real browser: a name that points at this machine, another origin, a link, an upload."""

from __future__ import annotations

import contextlib
import http.server
import tempfile
import threading
import time
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browser.chrome import Page, browser
from trust.test_labels import NAMES, study

from costsim.dashboard.link import packed
from costsim.dashboard.registry import load_pages
from costsim.study.case import built_in_studies, write_study

EVIL = "evil.example"


@pytest.fixture(scope="module")
def page() -> Iterator[Page]:
    """A browser for which the name of the hostile page is this machine, as after a rebinding of its name."""
    with browser(f"--host-resolver-rules=MAP {EVIL} 127.0.0.1") as one:
        yield one


@contextlib.contextmanager
def hostile_site() -> Iterator[str]:
    """A page of another origin."""

    class Quiet(http.server.BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.end_headers()
            self.wfile.write(b"<title>hostile</title>")

        def log_message(self, *_: object) -> None:
            pass

    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), Quiet) as site:
        threading.Thread(target=site.serve_forever, daemon=True).start()
        yield f"http://{EVIL}:{site.server_address[1]}/"
        site.shutdown()


def socket_opens(page: Page, port: str, host: str) -> Any:
    return page.run(
        "new Promise(done => {"
        f" const one = new WebSocket('ws://{host}:{port}/_stcore/stream', 'streamlit');"
        " one.onopen = () => done('open'); one.onerror = () => done('refused'); setTimeout(() => done('silent'), 20000); })"
    )


def test_a_name_that_is_pointed_at_this_machine_shows_nothing(server: str, page: Page) -> None:
    port = server.rsplit(":", 1)[1]
    page.open(f"http://{EVIL}:{port}/?study=net_loft", wait=False)
    page.until("document.readyState === 'complete'")
    assert socket_opens(page, port, EVIL) == "refused"
    time.sleep(3)
    assert page.run("document.querySelector('[data-testid=stMain] h1') === null")
    page.open(f"{server}/?study=net_loft")
    assert page.run("document.querySelector('[data-testid=stMain] h1') !== null")
    assert socket_opens(page, port, "localhost") == "open"


def test_a_page_of_another_origin_reads_and_sends_nothing(server: str, page: Page) -> None:
    port = server.rsplit(":", 1)[1]
    with hostile_site() as url:
        page.open(url, wait=False)
        page.until("document.title === 'hostile'")
        for host in ("localhost", "127.0.0.1"):
            assert socket_opens(page, port, host) == "refused"
        for path in ("/", "/_stcore/host-config", "/_stcore/health"):
            read = f"fetch('{server}{path}').then(answer => answer.text()).catch(() => 'refused')"
            assert page.run(read) == "refused", path
        put = f"fetch('{server}/_stcore/upload_file/a/b', {{method: 'PUT', body: 'x'}}).then(() => 'sent').catch(() => 'refused')"
        assert page.run(put) == "refused"


def quiet(page: Page, where: str) -> None:
    """Nothing of a hostile name is a link, an image or a request."""
    found = page.run(
        "[...document.querySelectorAll('[data-testid=stApp] a[href], [data-testid=stApp] img, [data-testid=stApp] iframe')]"
        ".map(e => String(e.href || e.src)).filter(e => e.toLowerCase().includes('evil') && !e.includes('study='))"
    )
    assert found == [], where
    asked = page.run(
        "performance.getEntriesByType('resource').map(e => e.name).filter(e => new URL(e).hostname.includes('evil'))"
    )
    assert asked == [], where


def test_a_link_with_hostile_names_loads_and_links_nothing(server: str, page: Page) -> None:
    code = packed(study(0))
    assert code
    assert len(NAMES) > 60
    for one in load_pages():
        page.open(f"{server}/{'' if one.key == 'decide' else one.key}?study={code}&persona=planner")
        assert page.run("document.querySelectorAll('[data-testid=stException]').length") == 0, one.key
        quiet(page, one.key)
    page.open(f"{server}/?study={code}")
    assert "evil" in page.text()


@pytest.mark.parametrize("key", ["place", "uncertainty"])
def test_a_link_and_an_upload_that_name_a_file_of_the_machine_show_none_of_it(
    server: str, page: Page, key: str
) -> None:
    data = tomllib.loads(built_in_studies()["lantern_cottage"].read_text(encoding="utf-8"))
    data[key] = {**data.get(key, {}), "weather": "/etc/passwd" if key == "place" else ["/etc/passwd"]}
    for name in ("", "certainty"):
        page.open(f"{server}/{name}?study={packed(data)}")
        assert page.run("document.querySelectorAll('[data-testid=stException]').length") == 0
        assert "root:" not in page.text()
    assert "leads out of the study" in page.text()
    page.open(f"{server}/")
    page.click_text("button", "Open or save")
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "mine.toml"
        file.write_text(write_study(data), encoding="utf-8")
        root = page.call("DOM.getDocument")["root"]["nodeId"]
        node = page.call("DOM.querySelector", nodeId=root, selector="input[type=file]")["nodeId"]
        with page.rerun():
            page.call("DOM.setFileInputFiles", nodeId=node, files=[str(file)])
    assert "root:" not in page.text()
    assert page.run("document.querySelectorAll('[data-testid=stException]').length") == 0
