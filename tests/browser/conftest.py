"""What every test in a real browser stands on: a dashboard, a browser, and the marks that keep them out of the short suite."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from browser.chrome import Page, browser, chromium, dashboard


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = f"{Path(__file__).parent}{os.sep}"
    for item in items:
        if str(item.path).startswith(here):
            item.add_marker(pytest.mark.browser)
            item.add_marker(pytest.mark.long)
            why = "no Chromium on this machine; Debian's package chromium brings it"
            item.add_marker(pytest.mark.skipif(chromium() is None, reason=why))


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    with dashboard() as url:
        yield url


@pytest.fixture(scope="module")
def page() -> Iterator[Page]:
    with browser() as one:
        yield one
