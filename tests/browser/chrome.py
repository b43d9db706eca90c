"""A small driver of headless Chromium over its DevTools protocol, and a dashboard to look at."""

from __future__ import annotations

import base64
import contextlib
import json
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import websocket
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

ROOT = Path(__file__).parents[2]
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--remote-allow-origins=*",
    "--hide-scrollbars",
]

COUNT_RUNS = """(() => {
  window.runs = 0;
  const finished = bytes => {  // is this message a script_finished of value 0, which is FINISHED_SUCCESSFULLY
    let at = 0;
    const number = () => {
      let value = 0, scale = 1, one;
      do { one = bytes[at++]; value += (one & 127) * scale; scale *= 128; } while (one & 128);
      return value;
    };
    while (at < bytes.length) {
      const tag = number(), value = number();
      if (tag === FIELD * 8) return value === 0;
      if ((tag & 7) === 2) at += value;
    }
    return false;
  };
  const Plain = window.WebSocket;
  window.WebSocket = class extends Plain {
    constructor(...given) {
      super(...given);
      this.addEventListener('message', event => { window.runs += finished(new Uint8Array(event.data)); });
    }
  };
})()""".replace("FIELD", str(ForwardMsg.DESCRIPTOR.fields_by_name["script_finished"].number))
"""Counts in `window.runs` how often the server has told this page that a run of its script is finished."""


def chromium() -> str | None:
    """Path of Chromium where there is one."""
    return shutil.which("chromium") or shutil.which("chromium-browser")


def free_port() -> int:
    """A port nobody listens on."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def _wait(url: str, seconds: float = 30.0) -> bytes:
    end = time.monotonic() + seconds
    while True:
        try:
            with urllib.request.urlopen(url, timeout=5) as answer:
                return bytes(answer.read())
        except OSError:
            if time.monotonic() > end:
                raise
            time.sleep(0.1)


@contextlib.contextmanager
def dashboard() -> Iterator[str]:
    """Run the dashboard on the loopback address and give its address."""
    port = free_port()
    command = [
        sys.executable,
        "-m",
        "streamlit",
        "run",
        str(ROOT / "costsim" / "dashboard" / "server.py"),
        "--server.headless",
        "true",
        "--server.port",
        str(port),
    ]
    command += ["--server.address", "localhost", "--browser.gatherUsageStats", "false"]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as server:
        try:
            _wait(f"http://localhost:{port}/_stcore/health")
            yield f"http://localhost:{port}"
        finally:
            server.terminate()


class Page:
    """One page of Chromium."""

    def __init__(self, address: str) -> None:
        self._socket = websocket.create_connection(address, timeout=60)
        self._number = 0
        self.call("Page.enable")
        self.call("Page.addScriptToEvaluateOnNewDocument", source=COUNT_RUNS)

    def call(self, method: str, **parameters: Any) -> dict[str, Any]:
        """Call the protocol and wait for the answer."""
        self._number += 1
        self._socket.send(json.dumps({"id": self._number, "method": method, "params": parameters}))
        while True:
            answer = json.loads(self._socket.recv())
            if answer.get("id") == self._number:
                if "error" in answer:
                    raise RuntimeError(f"{method}: {answer['error']}")
                return dict(answer["result"])

    def close(self) -> None:
        """Close the connection."""
        self._socket.close()

    def run(self, script: str) -> Any:
        """Evaluate JavaScript."""
        return self.call("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True)["result"].get(
            "value"
        )

    def size(self, width: int, height: int) -> None:
        """Set the window's size; below 500 px as a phone, which the server is told when the page is opened."""
        name = str(self.call("Browser.getVersion")["userAgent"]).replace(" Mobile", "")
        self.call(
            "Emulation.setUserAgentOverride",
            userAgent=name.replace(" Safari", " Mobile Safari") if width < 500 else name,
        )
        self.call(
            "Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=width < 500
        )

    def scheme(self, name: str) -> None:
        """Be a machine that prefers ``light`` or ``dark``."""
        self.call("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": name}])

    def open(self, url: str, *, wait: bool = True) -> None:
        """Open an address and wait until the page has been drawn."""
        self.call("Page.navigate", url=url)
        if wait:
            self.settle()

    def settle(self, seconds: float = 120.0) -> None:
        """Wait until Streamlit runs nothing and the page has stopped changing; a run that has yet to begin is not seen: `rerun`."""
        end, last, still = time.monotonic() + seconds, None, 0
        while time.monotonic() < end:
            now = self.run(
                "(() => { const app = document.querySelector('[data-testid=stApp]');"
                " const busy = !app || app.getAttribute('data-test-script-state') !== 'notRunning'"
                " || document.querySelector('[data-testid=stSkeleton]') || document.querySelector('[data-testid=stSpinner]');"
                " return busy ? null : document.body.innerText.length + ':' + document.querySelectorAll('.js-plotly-plot').length; })()"
            )
            still = still + 1 if now is not None and now == last else 0
            last = now
            if still >= 4:
                return
            time.sleep(0.1)
        raise TimeoutError("the page did not come to rest")

    def until(self, script: str, seconds: float = 120.0) -> None:
        """Wait until an expression in JavaScript is true."""
        end = time.monotonic() + seconds
        while not self.run(script):
            if time.monotonic() > end:
                raise TimeoutError(f"never true: {script}")
            time.sleep(0.05)

    @contextlib.contextmanager
    def rerun(self) -> Iterator[None]:
        """Wait, after what is done inside, until the script has run because of it and its page has been drawn."""
        before = self.run("window.runs")
        yield
        self.until(f"window.runs > {before}")
        self.settle()

    def text(self) -> str:
        """All visible text."""
        return str(self.run("document.body.innerText"))

    def click_text(self, selector: str, text: str) -> None:
        """Click the first element of a kind that holds a text."""
        done = self.run(
            f"(() => {{ const found = [...document.querySelectorAll({selector!r})].find(e => e.innerText.includes({text!r}));"
            " if (!found) return false; found.scrollIntoView(); found.click(); return true; })()"
        )
        assert done, f"no {selector} with the text {text!r}"
        self.settle()

    def fill(self, label: str, text: str) -> None:
        """Type into the first text field of a label, as a person does, and leave it by Enter."""
        done = self.run(
            f"(() => {{ const box = [...document.querySelectorAll('input[type=text]')].find(e => e.ariaLabel === {label!r});"
            " if (!box) return false; box.scrollIntoView(); box.focus(); box.select(); return true; })()"
        )
        assert done, f"no field with the label {label!r}"
        with self.rerun():
            self.type(text)
            self.press("Enter", 13)

    def point(self, selector: str, text: str = "") -> None:
        """Move the pointer to the first visible element of a kind that holds a text, or is named so, and click it.

        A page that is still growing can carry it away from under the pointer; a click that met something else is made again.
        """
        script = (
            f"(() => {{ const meant = e => e && (e.innerText || e.ariaLabel || '').includes({text!r});"
            f" const found = [...document.querySelectorAll({selector!r})].find(e => e.getClientRects().length &&"
            " meant(e) && !e.disabled); if (!found) return null; window.met = false;"
            f" window.meet = e => {{ window.met ||= !!meant(e.target.closest({selector!r})); }};"
            " if (!window.meets) { window.meets = true; document.addEventListener('click', e => window.meet(e), true); }"
            " found.scrollIntoView({block: 'center'}); const box = found.getBoundingClientRect();"
            " return [box.left + box.width / 2, box.top + box.height / 2]; })()"
        )
        for _ in range(5):
            place, before = self.run(script), None
            while place != before:  # what is still on its way to its place is missed
                time.sleep(0.1)
                place, before = self.run(script), place
            assert place, f"no {selector} with the text {text!r}"
            for kind in ("mouseMoved", "mousePressed", "mouseReleased"):
                self.call("Input.dispatchMouseEvent", type=kind, x=place[0], y=place[1], button="left", clickCount=1)
            if self.run("window.met") is not False:  # nothing is left of it where another page has come
                return
        raise AssertionError(f"{selector} with the text {text!r} was not met by five clicks")

    def tab_to(self, text: str, most: int = 160) -> None:
        """Press Tab until what has the focus is called by a text; only the keyboard is used."""
        for _ in range(most):
            self.press("Tab", 9)
            name = self.run(
                "(e => e && ['A', 'BUTTON', 'INPUT', 'SUMMARY'].includes(e.tagName)"
                " ? [e.ariaLabel, e.innerText].filter(Boolean).join(' ') : '')"
                "(document.activeElement)"
            )
            if text in str(name):
                return
        raise AssertionError(f"{text!r} is not within {most} Tabs")

    def enter(self, key: str = "Enter") -> None:
        """Press Enter, or the space bar, on what has the focus."""
        code, text = (13, "\r") if key == "Enter" else (32, " ")
        name = "Enter" if key == "Enter" else " "
        for kind in ("keyDown", "keyUp"):
            more = {"text": text} if kind == "keyDown" else {}
            self.call("Input.dispatchKeyEvent", type=kind, key=name, code=name, windowsVirtualKeyCode=code, **more)

    def upload(self, label: str, file: Path) -> None:
        """Give a file to the upload field of a label, as the file dialog would."""
        found = (
            "[...document.querySelectorAll('[data-testid=stFileUploader]')].find(e => e.getClientRects().length &&"
            f" e.innerText.includes({label!r}))"
        )
        self.until(f"!!{found}")
        node = self.call("Runtime.evaluate", expression=f"{found}.querySelector('input[type=file]')")["result"]
        with self.rerun():
            self.call("DOM.setFileInputFiles", objectId=node["objectId"], files=[str(file)])

    def download(self, label: str, folder: Path, seconds: float = 60.0, *, keyboard: bool = False) -> Path:
        """Click a button that saves, or reach it by Tab, and give the file that came."""
        self.call("Browser.setDownloadBehavior", behavior="allow", downloadPath=str(folder))
        before = set(folder.iterdir())
        if keyboard:
            self.tab_to(label)
            self.enter()
        else:
            self.point("[data-testid=stDownloadButton] button", label)
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            new = [one for one in folder.iterdir() if one not in before and one.suffix != ".crdownload"]
            if new and new[0].stat().st_size:
                return new[0]
            time.sleep(0.1)
        raise TimeoutError(f"{label} saved nothing")

    def press(self, key: str, code: int) -> None:
        """Press a key."""
        for kind in ("keyDown", "keyUp"):
            self.call("Input.dispatchKeyEvent", type=kind, key=key, code=key, windowsVirtualKeyCode=code)

    def type(self, text: str) -> None:
        """Type text where the focus is."""
        self.call("Input.insertText", text=text)

    def picture(self, path: Path) -> None:
        """Write a screenshot of the window."""
        shot = self.call("Page.captureScreenshot", format="png", captureBeyondViewport=False)
        path.write_bytes(base64.b64decode(shot["data"]))


@contextlib.contextmanager
def browser(*flags: str) -> Iterator[Page]:
    """Start Chromium with an empty profile and give its first page."""
    port, folder = free_port(), tempfile.mkdtemp(prefix="costsim-chromium-")
    command = [
        chromium() or "chromium",
        *FLAGS,
        *flags,
        f"--remote-debugging-port={port}",
        f"--user-data-dir={folder}",
        "about:blank",
    ]
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as process:
        try:
            pages = json.loads(_wait(f"http://127.0.0.1:{port}/json"))
            page = Page(next(page["webSocketDebuggerUrl"] for page in pages if page["type"] == "page"))
            try:
                yield page
            finally:
                page.close()
        finally:
            process.terminate()
            process.wait()
            shutil.rmtree(folder, ignore_errors=True)
