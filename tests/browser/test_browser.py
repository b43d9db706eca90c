"""The dashboard in a real browser."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from browser.chrome import Page, browser, chromium, dashboard

from costsim.screens.doors import DOORS

pytestmark = [
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


def answer(page: Page) -> str:
    return str(page.run("document.querySelector('h3').innerText"))


def test_every_part_loads_without_an_exception(server: str, page: Page) -> None:
    page.size(1300, 1400)
    page.open(server)
    assert "likelier to be cheaper" in answer(page)
    for part in DOORS["owner"].names[1:]:
        page.click_text("button", part)
        text = page.text()
        assert "Traceback" not in text
        assert page.run("document.querySelectorAll('[data-testid=stException]').length") == 0


def test_a_moved_slider_changes_the_answer(server: str, page: Page) -> None:
    page.size(1300, 1400)
    page.open(server)
    before = answer(page)
    page.click_text("summary", "What if prices change")
    page.run("[...document.querySelectorAll('[data-testid=stSlider] input[type=range]')].at(-1).focus()")
    for _ in range(12):
        page.press("ArrowRight", 39)
    page.settle()
    assert answer(page) != before
    assert "$1.22" not in page.run("[...document.querySelectorAll('[data-testid=stSlider]')].at(-1).innerText")


def test_a_phone_needs_no_sideways_scrolling(server: str, page: Page) -> None:
    page.size(390, 844)
    page.open(server)
    assert page.run("document.documentElement.scrollWidth") <= 390
    assert page.run(
        "[...document.querySelectorAll('.js-plotly-plot')].every(e => e.getBoundingClientRect().right <= 391)"
    )


def test_keys_alone_reach_the_parts(server: str, page: Page) -> None:
    page.size(1300, 1400)
    page.open(server)
    reached = []
    for _ in range(60):
        page.press("Tab", 9)
        reached.append(
            str(
                page.run(
                    "document.activeElement ? document.activeElement.innerText || document.activeElement.ariaLabel : ''"
                )
            )
        )
    assert any("Cost of a year" in text or "Cold hours" in text for text in reached)


def test_titles_cannot_smuggle_markup(server: str, page: Page) -> None:
    page.size(1300, 1400)
    page.open(server)
    script = "<img src=x onerror=window.stolen=1>"
    page.run("[...document.querySelectorAll('summary')].find(e => e.innerText.includes('Option: Natural gas')).click()")
    page.settle()
    page.run(
        "(() => { const box = [...document.querySelectorAll('input[type=text]')].find(e => e.value === 'Natural gas'); box.focus(); box.select(); })()"
    )
    page.type(script)
    page.press("Enter", 13)
    page.settle()
    assert page.run("window.stolen === undefined")
    assert page.run("document.querySelectorAll('img[src=x]').length") == 0


def test_nothing_is_asked_of_other_machines(server: str, page: Page) -> None:
    page.size(1300, 1400)
    page.open(server)
    hosts = page.run("[...new Set(performance.getEntriesByType('resource').map(e => new URL(e.name).hostname))]")
    assert set(hosts) <= {"localhost", "127.0.0.1", ""}


def test_dark_can_be_read(page: Page) -> None:
    with dashboard(theme="dark") as url:
        page.size(1300, 1400)
        page.open(url)
        colours = page.run(
            "(() => { const c = e => getComputedStyle(e); return [c(document.querySelector('[data-testid=stApp]')).backgroundColor,"
            " c(document.querySelector('h3')).color, c(document.querySelector('.js-plotly-plot .gtitle')).fill]; })()"
        )
    back, *texts = (sum(int(part) for part in colour[colour.index("(") + 1 : -1].split(",")[:3]) for colour in colours)
    assert back < 150
    assert all(text > 450 for text in texts)
