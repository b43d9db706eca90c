"""Whole tasks of people, in a real browser, from nothing to their answer."""

from __future__ import annotations

import time
from collections.abc import Iterator

import pytest
from browser.chrome import Page, browser, chromium, dashboard

pytestmark = [
    pytest.mark.long,
    pytest.mark.browser,
    pytest.mark.skipif(chromium() is None, reason="no Chromium on this machine; Debian's package chromium brings it"),
]


@pytest.fixture(scope="module")
def server() -> Iterator[str]:
    with dashboard() as url:
        yield url


@pytest.fixture(scope="module")
def page() -> Iterator[Page]:
    with browser() as one:
        yield one


def title(page: Page) -> str:
    """The first heading of the page."""
    return str(page.run("document.querySelector('[data-testid=stMain] h1').innerText"))


def test_a_stranger_asks_whether_gas_or_a_heat_pump(server: str, page: Page) -> None:
    page.size(1280, 900)
    page.open(server)
    start = time.monotonic()
    page.click_text("button", "My own house")
    page.until("document.querySelector('[data-testid=stMain] h1').innerText.includes('five questions')")
    page.settle()
    page.fill("Heated floor area", "1,500 sq ft")
    assert "Read as 1500 ft²" in page.text()
    page.fill("Electricity price", "22c")
    page.fill("Natural gas price", "$1.30")
    assert "Read as 1.30 $/therm" in page.text()
    page.click_text("button", "Show my answer")
    page.until("document.querySelector('[data-testid=stMain] h1').innerText.includes('costs least to run')")
    page.settle()
    assert "Heat pump with electric backup" in page.text()
    assert "Natural gas" in title(page)
    assert "a year" in title(page)
    # the machine's part of three minutes; a person's is reading and typing
    assert time.monotonic() - start < 120


def test_an_option_is_added_from_a_template_and_decides(server: str, page: Page) -> None:
    page.size(1280, 1200)
    page.open(f"{server}/sources?study=your_house")
    page.click_text("button", "Add option")
    page.until("document.querySelector('[role=dialog]') !== null")
    page.settle()
    with page.rerun():
        page.run("document.querySelector('[role=dialog] .st-key-template-heat_pump button').click()")
    assert "Heat pump with electric backup" in page.text()
    link = str(page.run("location.href")).replace("/sources", "/")
    page.open(link)
    assert "Heat pump with electric backup" in page.run(
        "[...document.querySelectorAll('.js-plotly-plot .ytick text')].map(e => e.textContent)"
    )
