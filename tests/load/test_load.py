"""The dashboard as a server: who may reach it, what it takes, and that visitors do not see each other.

The big run is `python tests/load/run.py --sessions 20 --reruns 500`.
"""

from __future__ import annotations

import contextlib
import csv
import http.client
import io
import subprocess
import sys
import time
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import openpyxl
import psutil
import pytest
from browser.chrome import ROOT, dashboard, free_port
from load.run import together
from load.sessions import Session
from streamlit.testing.v1 import AppTest

from costsim import load_weather, read_study, simulate
from costsim.portfolio.run import run_portfolio
from costsim.study.case import built_in_studies, case_from
from costsim.views.tables import write_hourly

pytestmark = pytest.mark.long

EVIL = "=1+cmd|' /C calc'!A0"
HTML = '<img src=x onerror=alert(1)> <script>alert("x")</script> [a](javascript:b) $x$'


@pytest.fixture(scope="module")
def url() -> Iterator[str]:
    with dashboard() as found:
        yield found


def test_visitors_at_once_see_their_own_figures(url: str) -> None:
    wrong, times = together(url, sessions=4, turns=2)
    assert wrong == []
    assert len(times) == 8


def test_the_command_listens_on_this_machine_alone() -> None:
    port = free_port()
    command = [sys.executable, "-m", "costsim.cli.main", "dashboard", "--port", str(port)]
    with subprocess.Popen(command, cwd=ROOT.parent, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as server:
        try:
            process, found, end = psutil.Process(server.pid), [], time.monotonic() + 60
            while not found and time.monotonic() < end:
                time.sleep(0.2)
                found = [c.laddr.ip for c in process.net_connections(kind="inet") if c.status == psutil.CONN_LISTEN]
            assert found
            assert set(found) <= {"127.0.0.1", "::1"}
        finally:
            server.terminate()


def test_app_py_listens_on_this_machine_alone(url: str) -> None:
    port = int(url.rsplit(":", 1)[1])
    found = [c for one in psutil.Process().children(recursive=True) for c in one.net_connections(kind="inet")]
    listening = {c.laddr.ip for c in found if c.laddr.port == port and c.status == psutil.CONN_LISTEN}
    assert listening
    assert listening <= {"127.0.0.1", "::1"}
    settings = tomllib.loads((ROOT / ".streamlit" / "config.toml").read_text(encoding="utf-8"))
    assert settings["server"]["address"] == "localhost"
    assert settings["browser"]["gatherUsageStats"] is False


@pytest.mark.parametrize(
    "path",
    ["/../../etc/passwd", "/media/../../../../etc/passwd", "/media/..%2f..%2f..%2fetc%2fpasswd", "/app/static/..%2f..%2fpyproject.toml",
     "/component/x/..%2f..%2f..%2fetc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "//etc/passwd"],
)  # fmt: skip
def test_no_path_leads_out(url: str, path: str) -> None:
    _, text = ask(url, "GET", path)
    assert b"root:" not in text
    assert b"[build-system]" not in text


def ask(url: str, method: str, path: str, **more: Any) -> tuple[int, bytes]:
    """Status and body of one request, its path sent as it stands."""
    with contextlib.closing(http.client.HTTPConnection(url.removeprefix("http://"), timeout=20)) as asked:
        asked.request(method, path, **more)
        with asked.getresponse() as answer:
            return answer.status, answer.read(2_000_000)


def test_a_stranger_may_not_upload(url: str) -> None:
    kind = {"Content-Type": "multipart/form-data; boundary=a"}
    status, _ = ask(url, "PUT", "/_stcore/upload_file/no-session/1", body=b"x" * 1000, headers=kind)
    assert status >= 400


def test_uploads_are_limited() -> None:
    settings = tomllib.loads((ROOT / ".streamlit" / "config.toml").read_text(encoding="utf-8"))
    assert settings["server"]["maxUploadSize"] <= 50
    assert '"server.maxUploadSize": 50' in (ROOT / "costsim" / "cli" / "main.py").read_text(encoding="utf-8")


def test_a_page_of_another_place_gets_no_session(url: str) -> None:
    import websocket

    with pytest.raises(websocket.WebSocketBadStatusException):
        websocket.create_connection(
            url.replace("http", "ws") + "/_stcore/stream",
            subprotocols=["streamlit"],
            origin="http://evil.example",
            timeout=20,
        )


def test_a_name_in_one_session_is_nobody_elses(url: str) -> None:
    first, second = Session(url), Session(url)
    first.run("sources")
    first.run("sources", **{"option[1].name": "Secret house"})
    second.run("sources")
    assert any("Secret house" in word for word in first.words)
    assert not any("Secret house" in word for word in second.words)
    first.close()
    second.close()


def evil_study(name: str) -> dict[str, Any]:
    data = tomllib.loads(built_in_studies()["lantern_cottage"].read_text(encoding="utf-8"))
    data["title"] = data["option"][0]["name"] = name
    data["option"][0]["source"][0]["name"] = name
    return data


@pytest.mark.parametrize("suffix", [".csv", ".xlsx"])
def test_no_cell_of_the_hours_is_a_formula(suffix: str, tmp_path: Path) -> None:
    data = evil_study(EVIL)
    for option, name in zip(data["option"], [EVIL, "@SUM(A1)", "-1+1", "\t=1"], strict=True):
        option["name"] = option["source"][0]["name"] = name
    case = case_from(data)
    path = tmp_path / f"hours{suffix}"
    write_hourly(simulate(case, load_weather(case)), path)
    if suffix == ".csv":
        heading = next(csv.reader(io.StringIO(path.read_text(encoding="utf-8"), newline="")))
        assert not [cell for cell in heading if cell[:1] in "=+-@\t\r"]
        return
    with contextlib.closing(openpyxl.load_workbook(path, read_only=True)) as book:
        first = next(book["hours"].iter_rows(max_row=1))
        assert len(first) > 20
        assert all(cell.data_type == "s" and str(cell.value)[:1] not in "=+-@\t\r" for cell in first)


def test_no_cell_of_the_rows_set_aside_is_a_formula(tmp_path: Path) -> None:
    table = tmp_path / "homes.csv"
    names = [EVIL, "@x", "+1+1", "\t=1+1", "a"]
    table.write_text(
        "home,house.design_heat_loss [kW]\n" + "".join(f'"{name}","=2+3"\n' for name in names) + "good,7\n",
        encoding="utf-8",
    )
    case = read_study("lantern_cottage")
    run_portfolio(case, load_weather(case), table, tmp_path / "out")
    rows = list(csv.reader(io.StringIO((tmp_path / "out" / "set_aside.csv").read_text(encoding="utf-8"), newline="")))
    assert len(rows) == 1 + len(names)
    assert not [cell for row in rows for cell in row if cell[:1] in ("=", "+", "-", "@", "\t", "\r")]


def test_html_in_names_stays_text() -> None:
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60)
    app.session_state["typed"] = evil_study(HTML[:80])
    app.session_state["study_name"] = HTML
    app.run()
    assert not app.exception
    for kind in ("markdown", "title", "subheader", "caption", "warning", "error", "header"):
        for one in getattr(app, kind):
            assert not one.proto.allow_html if hasattr(one.proto, "allow_html") else True
            assert "<img" not in one.value.replace("\\<", ""), one.value
    for script in (ROOT / "costsim" / "dashboard").glob("*.py"):
        assert "unsafe_allow_html" not in script.read_text(encoding="utf-8")
