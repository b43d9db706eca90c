"""A page whose code fails says so in one plain sentence, without a traceback or links elsewhere."""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest
from dashboard.app import SCRIPT
from streamlit.testing.v1 import AppTest

from costsim.cli import main
from costsim.dashboard import shell
from costsim.dashboard.style import STYLE


def test_a_page_that_fails_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: Any) -> None:
        raise ImportError("cannot import name 'x'")

    monkeypatch.setattr(shell, "_context", fails)
    app = AppTest.from_file(str(SCRIPT), default_timeout=90).run()
    (told,) = [one.value for one in app.error if "Something went wrong in the program" in one.value]
    # a study that is too long for the address does not outlast a reload: what keeps it comes first
    assert told.index("Save your study first") < told.index("reload this page")
    assert "is kept" not in told
    assert app.exception  # still told to the terminal, and to tests
    assert "[data-testid=stException] { display: none; }" in STYLE


def test_no_way_to_start_it_shows_tracebacks(monkeypatch: pytest.MonkeyPatch) -> None:
    from streamlit.web import cli as streamlit_cli

    monkeypatch.setattr(streamlit_cli, "main", lambda: 0)
    monkeypatch.setattr(sys, "argv", ["costsim"])
    with pytest.raises(SystemExit):
        main.main(["dashboard"])
    assert {"--client.showErrorDetails=none", "--client.showErrorLinks=false"} <= set(sys.argv)
    config = tomllib.loads((Path(__file__).parents[2] / ".streamlit" / "config.toml").read_text())
    assert config["client"]["showErrorDetails"] == "none"
    assert config["client"]["showErrorLinks"] is False
