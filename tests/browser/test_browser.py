"""The dashboard in a real browser: what every page owes to every reader."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import axe_core_python
import pytest
from browser.chrome import Page

from costsim.dashboard.access import SKIP
from costsim.dashboard.link import packed
from costsim.dashboard.registry import load_pages
from costsim.study.case import built_in_studies

PAGES = [one.key for one in load_pages()]
WIDTHS = (390, 1280, 1920)


def address(server: str, page: str = "", **query: str) -> str:
    """Address of a page of the dashboard."""
    asked = "&".join(f"{key}={value}" for key, value in query.items())
    return f"{server}/{'' if page == 'decide' else page}?{asked}"


def answer(page: Page) -> str:
    """The decision that stands on top."""
    return str(page.run("document.querySelector('[data-testid=stMain] h1').innerText"))


@pytest.mark.parametrize("width", WIDTHS)
def test_every_page_draws_at_every_width_without_sideways_scrolling(server: str, page: Page, width: int) -> None:
    page.size(width, 844 if width < 500 else 800)
    for key in PAGES:
        page.open(address(server, key, persona="installer", study="net_loft"))
        assert page.run("document.querySelectorAll('[data-testid=stException]').length") == 0, key
        assert page.run("document.documentElement.scrollWidth") <= width, key
        assert page.run(
            f"[...document.querySelectorAll('.js-plotly-plot')].every(e => e.getBoundingClientRect().right <= {width + 1})"
        ), key


@pytest.mark.parametrize(
    ("persona", "study"), [("household", "lantern_cottage"), ("installer", "net_loft"), ("planner", "valley_row")]
)
def test_the_first_look_fits_the_first_screen(server: str, page: Page, persona: str, study: str) -> None:
    page.size(1280, 800)
    page.open(address(server, persona=persona, study=study))
    ends = page.run(
        "[...document.querySelectorAll('[class*=st-key-cards] [data-testid=stMetric]'), document.querySelector('.js-plotly-plot'),"
        " document.querySelector('.st-key-schematic-small img')].map(e => e.getBoundingClientRect().bottom)"
    )
    assert len(ends) == 8
    assert max(ends) <= 800
    alt = page.run("document.querySelector('.st-key-schematic-small img').alt")
    assert page.run("document.querySelector('[class*=st-key-decide-drawn] input')?.value || ''") in alt


def test_an_own_house_fits_the_first_screen_and_shows_its_math_by_keyboard(server: str, page: Page) -> None:
    data = tomllib.loads(built_in_studies()["your_house"].read_text()) | {"title": "My house"}
    page.size(1280, 800)
    page.open(address(server, persona="household", study=packed(data)))
    bottom = "document.querySelector({!r}).getBoundingClientRect().bottom"
    assert page.run(bottom.format(".st-key-schematic-small img")) <= 800
    assert page.run(bottom.format(".js-plotly-plot")) <= 800
    assert (
        page.run("document.querySelector('.st-key-guessed [data-testid=stAlert]').getBoundingClientRect().height") < 45
    )
    page.tab_to("Show the math")
    with page.rerun():
        page.enter()
    math = "document.querySelector('[data-testid=stPopoverBody]')?.innerText || ''"
    page.until(f"({math}).includes(' × $')")
    assert "as you entered it" in page.run(math)
    # each card has its own, inside its border
    page.press("Escape", 27)
    outside = page.run(
        "[...document.querySelectorAll('[class*=st-key-math-] button')].filter(e => { const c ="
        " e.closest('[data-testid=stColumn]').getBoundingClientRect(), b = e.getBoundingClientRect();"
        " return b.width && (b.left < c.left || b.right > c.right || b.top < c.top || b.bottom > c.bottom); }).length"
    )
    assert outside == 0


def test_a_phone_shows_card_by_card_and_then_picture_and_schematic(server: str, page: Page) -> None:
    page.size(390, 844)
    page.open(address(server))
    places = page.run(
        "[...document.querySelectorAll('[class*=st-key-cards] [data-testid=stMetric]'), document.querySelector('.js-plotly-plot'),"
        " document.querySelector('.st-key-schematic-small img')].map(e => e.getBoundingClientRect()).map(b => [b.top, b.left, b.right])"
    )
    assert len(places) == 8
    tops = [top for top, _, _ in places]
    assert tops == sorted(set(tops))
    assert all(left >= 0 and right <= 390 for _, left, right in places)


def test_the_menu_of_a_phone_closes_once_a_page_is_chosen_and_its_arrows_stay(server: str, page: Page) -> None:
    page.size(390, 844)
    page.open(address(server, study="your_house"))
    right = "document.querySelector('[data-testid=stSidebar]').getBoundingClientRect().right"
    assert page.run(right) <= 0
    page.point("[data-testid=stExpandSidebarButton]")
    page.until(f"{right} > 200")
    page.run("document.querySelector('[data-testid=stSidebarContent]').scrollTop = 400")
    arrows = "document.querySelector('[data-testid=stSidebarCollapseButton]').getBoundingClientRect().top"
    assert 0 <= page.run(arrows) < 60
    page.point("[data-testid=stSidebarNavLink]", "Cold days")
    page.until("location.pathname.endsWith('cold-days')")
    page.until(f"{right} <= 0", seconds=10)
    page.size(1280, 800)
    page.open("about:blank", wait=False)
    page.open(address(server, study="your_house"))
    if page.run(right) <= 0:
        page.point("[data-testid=stExpandSidebarButton]")
    page.point("[data-testid=stSidebarNavLink]", "Cold days")
    page.until("location.pathname.endsWith('cold-days')")
    page.settle()
    assert page.run(right) > 200


def test_a_table_on_a_phone_breaks_its_words_and_holds_its_first_column(server: str, page: Page) -> None:
    page.size(390, 844)
    page.open(address(server, "money", persona="installer", study="net_loft"))
    table = "document.querySelector('.broken')"
    assert page.run(f"{table}.getBoundingClientRect().right") <= 390
    assert page.run(
        f"{table}.scrollWidth === {table}.clientWidth"
    )  # what is decided by is seen without a sideways step
    page.open(address(server, "cold-days", persona="installer", study="net_loft"))
    assert page.run(f"{table}.getBoundingClientRect().right") <= 390
    assert page.run(f"{table}.scrollWidth > {table}.clientWidth")
    first = f"{table}.querySelector('tbody th').getBoundingClientRect()"
    before, width = page.run(f"[{first}.left, {first}.width]")
    assert width < 390 / 2
    page.run(f"{table}.scrollLeft = 80")
    assert page.run(f"{table}.scrollLeft") == 80
    assert abs(page.run(f"{first}.left") - before) <= 1
    assert "rgba(0, 0, 0, 0)" not in page.run(f"getComputedStyle({table}.querySelector('tbody th')).backgroundColor")
    page.size(1280, 800)
    page.open(address(server, "cold-days", persona="installer", study="net_loft"))
    assert page.run(f"{table} === null && document.querySelector('[data-testid=stDataFrame]') !== null")


def test_a_moved_slider_changes_the_answer_against_the_baseline(server: str, page: Page) -> None:
    page.size(1280, 1400)
    page.open(address(server))
    before = answer(page)
    page.run("[...document.querySelectorAll('[data-testid=stSlider] input[type=range]')].at(-1).focus()")
    for _ in range(12):
        page.press("ArrowRight", 39)
    page.until(f"document.querySelector('[data-testid=stMain] h1').innerText !== {json.dumps(before)}")
    page.settle()
    with page.rerun():
        page.click_text("button", "As in the study")
    assert answer(page) == before


def test_the_main_area_is_within_three_tabs_and_a_new_answer_is_told(server: str, page: Page) -> None:
    page.size(1280, 1400)
    page.open(address(server))
    page.until("document.getElementById('skip') !== null")
    page.run("document.activeElement.blur()")
    page.press("Tab", 9)
    assert page.run("document.activeElement.innerText") == SKIP
    page.enter()
    assert page.run("document.activeElement.tagName") == "H1"
    page.press("Tab", 9)
    assert page.run("document.querySelector('[data-testid=stMain]').contains(document.activeElement)")
    before = answer(page)
    page.run("[...document.querySelectorAll('[data-testid=stSlider] input[type=range]')].at(-1).focus()")
    for _ in range(30):
        page.press("ArrowRight", 39)
    page.until(f"document.querySelector('[data-testid=stMain] h1').innerText !== {json.dumps(before)}")
    page.settle()
    page.until(
        "document.querySelector('#told[role=status]').textContent === document.querySelector('[data-testid=stMain] h1').innerText"
    )


def test_names_cannot_smuggle_markup(server: str, page: Page) -> None:
    page.size(1280, 1400)
    page.open(address(server, "sources"))
    script = "<img src=x onerror=window.stolen=1>"
    page.fill("Name", script)
    assert script in page.text()
    assert page.run("window.stolen === undefined")
    assert page.run("document.querySelectorAll('img[src=x]').length") == 0


def test_names_are_drawn_as_typed(server: str, page: Page) -> None:
    names = ["<b>Gas</b> &amp; <i>more", "a<br>b", "2024", "<a href='https://x.example'>y</a>"]
    data = tomllib.loads(built_in_studies()["lantern_cottage"].read_text(encoding="utf-8"))
    for option, name in zip(data["option"], names, strict=True):
        option["name"] = option["source"][0]["name"] = name
    page.size(1300, 1400)
    page.open(address(server, study=packed(data)))
    drawn = "[...document.querySelectorAll('.js-plotly-plot .ytick text')].map(e => e.textContent)"
    assert sorted(page.run(drawn)) == sorted(names)
    page.open(address(server, "cold-days", study=packed(data)))
    assert names[1] in page.run("document.querySelector('.js-plotly-plot .gtitle').textContent")  # the coldest one
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
        " c(document.querySelector('[data-testid=stMain] h1')).color, c(document.querySelector('.js-plotly-plot .ytick text')).fill]; })()"
    )
    page.scheme("light")
    back, *texts = (sum(int(part) for part in colour[colour.index("(") + 1 : -1].split(",")[:3]) for colour in colours)
    assert back < 150
    assert all(text > 450 for text in texts)


WHERE = {"sidebar's navigation": "[data-testid=stSidebarNav]", "data grid": "[data-testid=stDataFrame]"}
STREAMLITS_OWN = {
    ("list", "sidebar's navigation"),
    ("listitem", "sidebar's navigation"),
    ("duplicate-id-active", "data grid"),
}
"""The groups of the navigation stand as headings between the items of one list, and two tables of data on one page give
their cells the same ids: so Streamlit draws them, and nothing of ours can change it. Both hold for these places alone."""


def serious(page: Page) -> list[str]:
    """Every element that axe-core finds to break a rule, moderate or worse, but for what Streamlit draws in its own places."""
    script = (Path(axe_core_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
    page.run(script + ";0")
    found = page.run(
        f"(() => {{ const where = {json.dumps(WHERE)}; return axe.run(document, {{resultTypes: ['violations']}})"
        ".then(r => r.violations.filter(v => ['moderate', 'serious', 'critical'].includes(v.impact))"
        ".flatMap(v => v.nodes.map(n => { const e = document.querySelector(n.target[0]);"
        " const place = Object.keys(where).find(key => e && e.closest(where[key]));"
        " return [v.id, place || '', n.html.slice(0, 200)]; }))); })()"
    )
    return [
        f"{rule} in {place or 'our own'}: {html}" for rule, place, html in found if (rule, place) not in STREAMLITS_OWN
    ]


@pytest.mark.parametrize(("scheme", "width"), [("light", 1280), ("dark", 1280), ("light", 390)])
def test_axe_core_finds_nothing_serious_or_moderate_of_ours(server: str, page: Page, scheme: str, width: int) -> None:
    # axe-core 4 comes with the test-only package axe-core-python (MPL-2.0)
    page.scheme(scheme)
    page.size(width, 1400)
    found = {}
    for key in PAGES:
        page.open(address(server, key, persona="installer", study="net_loft"))
        found[key] = serious(page)
    page.scheme("light")
    assert not any(found.values()), json.dumps(found, indent=1)


def test_the_first_page_is_light_and_shows_its_cards_at_twice_the_size(server: str, page: Page) -> None:
    page.size(640, 400)  # what 200 % makes of 1,280 by 800
    page.open(address(server))
    sent = page.run("performance.getEntriesByType('resource').reduce((sum, one) => sum + one.encodedBodySize, 0)")
    assert 1e6 < sent < 3e6
    assert page.run("document.querySelector('[data-testid=stMetricValue]').getBoundingClientRect().bottom") < 400
    assert page.run("document.documentElement.scrollWidth") <= 640


def test_a_link_brings_study_and_page_back_after_a_reload(server: str, page: Page) -> None:
    page.size(1280, 1400)
    page.open(address(server, "house", persona="installer", study="lantern_cottage"))
    page.fill("Thermostat setting", "64")
    link = str(page.run("location.href"))
    assert "study=lantern_cottage" not in link
    page.open("about:blank", wait=False)
    page.open(link)
    assert page.run("[...document.querySelectorAll('input[type=text]')].some(e => /^64( °F)?$/.test(e.value))")
