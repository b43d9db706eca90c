"""The dashboard in a real browser."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from pathlib import Path

import axe_core_python
import pytest
from browser.chrome import Page, browser, chromium, dashboard

from costsim.dashboard.link import packed
from costsim.dashboard.personas import DOORS
from costsim.study.case import built_in_studies

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
        with page.rerun():
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
    page.until(f"document.querySelector('h3').innerText !== {json.dumps(before)}")
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
    with page.rerun():
        page.type(script)
        page.press("Enter", 13)
    assert script in page.run("[...document.querySelectorAll('summary')].map(e => e.innerText).join()")
    assert page.run("window.stolen === undefined")
    assert page.run("document.querySelectorAll('img[src=x]').length") == 0


def test_names_are_drawn_as_typed(server: str, page: Page) -> None:
    names = ["<b>Gas</b> &amp; <i>more", "a<br>b", "2024", "<a href='https://x.example'>y</a>"]
    data = tomllib.loads(built_in_studies()["lantern_cottage"].read_text(encoding="utf-8"))
    for option, name in zip(data["option"], names, strict=True):
        option["name"] = option["source"][0]["name"] = name
    page.size(1300, 1400)
    page.open(f"{server}?door=owner&study={packed(data)}")
    drawn = "[...document.querySelectorAll('.js-plotly-plot .ytick text')].map(e => e.textContent)"
    assert sorted(page.run(drawn)) == sorted(names)
    with page.rerun():
        page.click_text("button", "Cold hours")
    assert names[0] in page.run("document.querySelector('.js-plotly-plot .gtitle').textContent")
    assert names[0] in page.run("[...document.querySelectorAll('.js-plotly-plot .legendtext')].map(e => e.textContent)")
    markup = ".js-plotly-plot a, .js-plotly-plot .legendtext [style], .js-plotly-plot .xtick [style*=bold]"
    assert page.run(f"document.querySelectorAll('{markup}').length") == 0


def test_nothing_is_asked_of_other_machines(server: str, page: Page) -> None:
    page.size(1300, 1400)
    page.open(server)
    hosts = page.run("[...new Set(performance.getEntriesByType('resource').map(e => new URL(e.name).hostname))]")
    assert set(hosts) <= {"localhost", "127.0.0.1", ""}


def test_dark_can_be_read(server: str, page: Page) -> None:
    page.scheme("dark")
    page.size(1300, 1400)
    page.open(server)
    colours = page.run(
        "(() => { const c = e => getComputedStyle(e); return [c(document.querySelector('[data-testid=stApp]')).backgroundColor,"
        " c(document.querySelector('h3')).color, c(document.querySelector('.js-plotly-plot .gtitle')).fill]; })()"
    )
    page.scheme("light")
    back, *texts = (sum(int(part) for part in colour[colour.index("(") + 1 : -1].split(",")[:3]) for colour in colours)
    assert back < 150
    assert all(text > 450 for text in texts)


def serious(page: Page, rules: str) -> list[str]:
    """Rules that axe-core finds broken, serious or critical, with the first element each."""
    script = (Path(axe_core_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
    page.run(script + ";0")
    return list(
        page.run(
            f"axe.run(document, {{resultTypes: ['violations'] {rules}}})"
            ".then(r => r.violations.filter(v => ['serious', 'critical'].includes(v.impact))"
            ".map(v => v.id + ': ' + v.nodes[0].html.slice(0, 200)))"
        )
    )


STREAMLITS_OWN = ('duplicate-id-active: <td role="gridcell"', 'aria-allowed-attr: <section class="stSidebar')
"""Two tables of data on one page give their cells the same ids; that is Streamlit's grid, not ours. So was the side panel's
`aria-expanded` in Streamlit 1.64."""


@pytest.mark.parametrize(("theme", "rules"), [("light", ""), ("dark", ", runOnly: ['color-contrast']")])
def test_axe_core_finds_nothing_serious_of_ours(server: str, page: Page, theme: str, rules: str) -> None:
    # axe-core 4 comes with the test-only package axe-core-python (MPL-2.0)
    page.scheme(theme)
    page.size(1300, 1400)
    page.open(f"{server}?door=installer&study=net_loft")
    found = {}
    for part in DOORS["installer"].names:
        with page.rerun():
            page.click_text("button", part)
        found[part] = [line for line in serious(page, rules) if not line.startswith(STREAMLITS_OWN)]
    page.scheme("light")
    assert not any(found.values()), found


def test_a_link_brings_the_study_back_after_a_reload(server: str, page: Page) -> None:
    page.size(1300, 1400)
    page.open(f"{server}?door=installer&study=lantern_cottage")
    page.run(
        "(() => { const box = [...document.querySelectorAll('input[type=text]')].find(e => e.value === '70 °F'); box.focus(); box.select(); })()"
    )
    with page.rerun():
        page.type("64 degF")
        page.press("Enter", 13)
    after, link = answer(page), str(page.run("location.href"))
    assert "study=lantern_cottage" not in link
    page.open("about:blank", wait=False)
    page.open(link)
    assert answer(page) == after
    assert page.run("[...document.querySelectorAll('input[type=text]')].some(e => e.value === '64 °F')")
