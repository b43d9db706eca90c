"""A report for its reader: no value from memory stands where somebody signs, one system of units, the reader's paper, no ratings at home."""

from __future__ import annotations

import re

import pytest
from report.reports import DEMOS, demo_basis, demo_case, demo_report, words

from costsim import load_weather
from costsim.report.blocks import Facts, Signatures, Table
from costsim.report.content import paper_of, report_of

EACH = pytest.mark.parametrize("name", DEMOS)


@EACH
def test_nothing_rests_on_memory_without_a_line_to_confirm_it(name: str) -> None:
    report = demo_report(name)
    assert "from memory" not in words(report.blocks)
    waiting = report.sheet[-1]
    assert isinstance(waiting, Table)
    assert waiting.headings[-1] == "confirmed by, date"
    assert all("to be confirmed by ____" in row[1] and row[2] == "" for row in waiting.rows)
    listed = [label for block in report.sign if isinstance(block, Facts) for label, _ in block.rows]
    assert f"{len(waiting.rows)} sources" in listed


@EACH
def test_one_system_of_units_outside_what_is_in_si_by_its_heading(name: str) -> None:
    report = demo_report(name)
    texts = words(report.sign) + "".join(
        cell for block in report.sheet if isinstance(block, Table) and "source" in block.headings for row in block.rows
        for cell in row
    )  # fmt: skip
    texts = re.sub(r"EN 14825 applications \([^)]*\)", "", texts)  # a standard's own temperatures
    other = r"\d (kW|°C|W/K|m²)\b" if report.system == "us" else r"\d ?(°F|kBtu|Btu|gal|ft²)"
    assert not re.search(rf"\((?:[^()]*){other}[^()]*\)", texts), re.search(rf".{{30}}{other}.{{20}}", texts)


def test_paper_follows_the_currency_unless_it_is_told() -> None:
    assert [demo_report(name).paper for name in DEMOS] == ["letter", "letter", "a4"]
    assert paper_of(demo_case("valley_row"), "us") == "a4"


def test_a_household_signs_no_ratings() -> None:
    case = demo_case("lantern_cottage")
    report = report_of(case, load_weather(case), "us", reader="household", paper="a4")
    assert report.paper == "a4"  # as told; by the currency it were letter
    assert report.inspect == ()
    text = words(report.blocks)
    assert "rating" not in text.replace("operating", "")
    assert "rated" not in text.split("Cautions in full")[0]
    assert not [block for block in report.sign if isinstance(block, Signatures)]
    for strange in ("house.heat_loss_rate", "key that changes it", "costsim bill", "$/J"):
        assert strange not in text, strange
    (later,) = [block for block in report.sign if isinstance(block, Table) and "pays for itself in" in block.headings]
    assert [row[0] for row in later.rows] == [option.name for option in case.options]
    (warm,) = [block for block in report.sign if isinstance(block, Table) and "warm?" in block.headings]
    hours = {one.name: one.unmet.hours for one in demo_basis("lantern_cottage").result.options}
    assert {row[0]: row[2] for row in warm.rows} == {name: f"{count:,}" for name, count in hours.items()}
