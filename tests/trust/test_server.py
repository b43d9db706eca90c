"""Who may reach the dashboard: this machine's own names, and those that whoever starts it has given."""

from __future__ import annotations

import subprocess
import sys
import time
import tomllib
import urllib.request
from collections.abc import Iterator

import pytest
import websocket
from browser.chrome import ROOT, dashboard, free_port

from costsim.cli.main import LOOPBACK, main

GIVEN = "heat.example.org"


@pytest.fixture(scope="module")
def port() -> Iterator[int]:
    """The command, served under a further name."""
    number = free_port()
    command = [sys.executable, "-m", "costsim.cli.main", "dashboard", "--port", str(number), "--host-name", GIVEN]
    with subprocess.Popen(command, cwd=ROOT.parent, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as server:
        try:
            until = time.monotonic() + 60
            while True:
                try:
                    urllib.request.urlopen(f"http://127.0.0.1:{number}/_stcore/health", timeout=5).close()
                    break
                except OSError:
                    assert time.monotonic() < until
                    time.sleep(0.1)
            yield number
        finally:
            server.terminate()


def takes(port: int, host: str, origin: str | None) -> bool:
    """Whether the socket is opened for a page of an origin that came by a name."""
    try:
        websocket.create_connection(
            f"ws://127.0.0.1:{port}/_stcore/stream", subprotocols=["streamlit"], host=host, origin=origin,
            suppress_origin=origin is None, timeout=20,
        ).close()  # fmt: skip
    except websocket.WebSocketBadStatusException as error:
        assert error.status_code == 403
        return False
    return True


@pytest.mark.parametrize("host", ["localhost:PORT", "127.0.0.1:PORT", "[::1]:PORT", "LOCALHOST", "127.0.0.1"])
def test_this_machine_is_served(host: str, port: int) -> None:
    host = host.replace("PORT", str(port))
    assert takes(port, host, f"http://{host}")


def test_a_name_that_was_given_is_served(port: int) -> None:
    assert takes(port, GIVEN, f"https://{GIVEN}")
    assert takes(port, f"{GIVEN}:443", f"https://{GIVEN}")


@pytest.mark.parametrize(
    "host",
    ["evil.example", "evil.example:PORT", "localhost.evil.example", "evil-localhost", "127.0.0.1.evil.example", "169.254.169.254", "10.0.0.1:PORT",
     "user@localhost", "localhost/x", "sub.heat.example.org", "0.0.0.0", "localhost:99999999"],
)  # fmt: skip
def test_a_page_that_points_its_own_name_at_this_machine_gets_nothing(host: str, port: int) -> None:
    host = host.replace("PORT", str(port))
    assert not takes(port, host, f"http://{host}")


@pytest.mark.parametrize("origin", ["http://evil.example", "https://localhost.evil.example", "null", "file://"])
def test_a_page_of_another_origin_gets_nothing(origin: str, port: int) -> None:
    assert not takes(port, f"localhost:{port}", origin)


@pytest.mark.long
def test_app_py_refuses_other_names_too() -> None:
    settings = tomllib.loads((ROOT / ".streamlit" / "config.toml").read_text(encoding="utf-8"))
    assert settings["server"]["allowedHosts"] == list(LOOPBACK)
    with dashboard() as url:
        number = int(url.rsplit(":", 1)[1])
        assert takes(number, f"localhost:{number}", url)
        assert not takes(number, f"evil.example:{number}", f"http://evil.example:{number}")


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["dashboard", "--port", "99999"], "--port: '99999' is no whole number from 1 to 65,535"),
        (["dashboard", "--port", "0"], "--port: '0' is no whole number"),
        (["dashboard", "--port", "8501.5"], "--port: '8501.5' is no whole number"),
        (["dashboard", "--host-name", "https://heat.example.org"], "--host-name: 'https://heat.example.org' is no host name"),
        (["dashboard", "--host-name", "*"], "--host-name: '*' is no host name"),
        (["portfolio", "h.csv", "-o", "x", "--threads", "-1"], "--threads: '-1' is no whole number from 1"),
        (["portfolio", "h.csv", "-o", "x", "--processes", "0"], "--processes: '0' is no whole number from 1"),
        (["portfolio", "h.csv", "-o", "x", "--block", "1e9"], "--block: '1e9' is no whole number"),
        (["size", "net_loft", "--option", "x", "--source", "0"], "--source: '0' is no whole number from 1 to 3"),
        (["size", "net_loft", "--option", "x", "--hours", "-5"], "--hours: '-5' is no whole number"),
        (["weather", "synthesize", "m.csv", "-o", "x.csv", "--seed", "-1"], "--seed: '-1' is no whole number"),
        (["weather", "synthesize", "m.csv", "-o", "x.csv", "--seed", "9" * 5000], "is no whole number"),
    ],
    ids=lambda value: " ".join(value)[:40] if isinstance(value, list) else "",
)  # fmt: skip
def test_numbers_beyond_their_limits_are_argument_faults(
    arguments: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        main(arguments)
    assert left.value.code == 2
    assert told in " ".join(capsys.readouterr().err.split())
