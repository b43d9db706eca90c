"""The inspector's page: diagrams, ratings against the worst, failures with the study's own numbers, open items."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from cases import demo

from costsim.physics.fluids import boiling_c
from costsim.report.basis import Basis, basis_of
from costsim.report.blocks import Chart, Facts, Table
from costsim.report.content import report_of
from costsim.report.html import as_html
from costsim.report.inspect import inspect_pages
from costsim.report.pdf import compiled
from costsim.results.cautions import cautions_of
from costsim.simulation import load_weather
from costsim.study.case import case_from
from costsim.study.ratings import ATMOSPHERE_PA
from costsim.units.quantity import GALLON_M3


def basis(**tank: str) -> Basis:
    data: dict[str, Any] = copy.deepcopy(demo("two_levels"))
    data["tank"] |= tank
    case = case_from(data)
    return basis_of(case, load_weather(case), "us")


@pytest.fixture(scope="module")
def sealed() -> Basis:
    return basis()


@pytest.fixture(scope="module")
def vented() -> Basis:
    return basis(circuit="open")


def rows_of(one: Basis, heading: str) -> dict[str, list[str]]:
    tables = [block for block in inspect_pages(one) if isinstance(block, Table)]
    return {row[0]: list(row[1:]) for block in tables if block.headings[0] == heading for row in block.rows}


def test_every_part_has_rating_worst_case_verdict_and_standard(sealed: Basis) -> None:
    rows = rows_of(sealed, "part")
    assert rows["tube: pressure"][:3] == ["100.0 psi", "at least 30.0 psi", "pass"]
    assert rows["tank: pressure"][2] == "not given"
    assert all(row[-1] for row in rows.values())
    assert "EN 12828" in rows["expansion vessel: volume"][-1]


def test_failures_carry_the_numbers_of_the_study(sealed: Basis) -> None:
    rows = rows_of(sealed, "what fails")
    weaker = rows["antifreeze weaker by 10 % by volume"][0]
    assert "ice begins at -7 °F" in weaker  # 40 % by volume, as the makers' charts have it
    lifts = rows["a relief valve lifts"][0]
    assert f"{sealed.needs.content_m3 * 0.1 / GALLON_M3:.1f} gal" in lifts
    assert "from 50 % to 45 %" in lifts
    assert "over the limit" in rows["the floor takes 140 °F water unmixed"][0]
    assert any("the power out" in what for what in rows)
    assert "of 49.5 kBtu/h is lost" in rows["a pump of the floor stands still"][0]


def test_what_is_not_given_is_an_open_item_with_a_line(sealed: Basis) -> None:
    items = next(block for block in inspect_pages(sealed) if isinstance(block, Facts))
    names = dict(items.rows)
    assert "relief valve: discharge" in names
    assert "tube: pressure" not in names
    assert all(set(line) == {"_"} for line in names.values())
    assert "combustion air and vent as installed" in names


def test_an_open_circuit_changes_ratings_cautions_and_diagram(sealed: Basis, vented: Basis) -> None:
    rows = rows_of(vented, "part")
    assert not any("expansion vessel" in part or "fill pressure" in part for part in rows)
    grown = vented.needs.content_m3 * vented.needs.swell_share / GALLON_M3
    assert rows["open tank: room over the cold water"][1] == f"at least {grown:.1f} gal"
    assert rows["open tank: highest temperature"][2] == "pass"
    keys = {caution.key for caution in vented.cautions}
    assert {"open_vent", "open_corrosion"} <= keys
    assert "pressure_relief" not in keys
    assert "pressure_relief" in {caution.key for caution in sealed.cautions}
    abouts = [block.about for block in inspect_pages(vented) if isinstance(block, Chart)]
    assert all("open vent" in about for about in abouts)
    assumed = {one.what: one.value for one in vented.result.assumptions}
    assert assumed["circuit"].startswith("open")
    assert {one.what: one.source for one in sealed.result.assumptions}["circuit"].startswith("the usual way")


def test_an_open_tank_near_boiling_fails() -> None:
    hot = basis(circuit="open", max_temperature="203 degF")
    assert rows_of(hot, "part")["open tank: highest temperature"][2] == "fail"


def test_the_parts_of_an_open_circuit_stand_height_and_pump(vented: Basis) -> None:
    needed = next(check for check in vented.checks if check.what == "tube: pressure").needed
    height_pa = vented.needs.density_kg_m3 * 9.80665 * 12 * 0.3048
    assert needed == pytest.approx(height_pa + 16 * 2989.067)
    assert needed < ATMOSPHERE_PA


def test_water_boils_cooler_higher_up(published) -> None:
    for metres in (0, 1524, 3048):
        published("fluids")[f"boiling_{metres}"].check(boiling_c(altitude_m=float(metres)))


@pytest.mark.long
def test_the_page_stands_in_html_and_pdf(sealed: Basis) -> None:
    case = sealed.case
    report = report_of(case, load_weather(case), "us")
    html = as_html(report)
    assert html.index("For the inspector") < html.index("Calculation sheet")
    assert html.count("Diagram of principle, not for installation.") >= len(case.options)
    assert bytes(compiled(report, "pdf")).startswith(b"%PDF")


def test_cautions_say_where_an_open_vent_ends(vented: Basis) -> None:
    needs = vented.needs
    found = cautions_of(
        vented.case,
        coldest_c=needs.coldest_c,
        freeze_c=needs.freeze_c,
        max_temperature_c=needs.max_temperature_c,
        system="us",
    )
    assert "140 °F" in next(caution.text for caution in found if caution.key == "open_vent")
