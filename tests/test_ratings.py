"""Ratings of the parts against what a case needs."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cases import study

from costsim.errors import InputError
from costsim.physics.expansion import en_vessel_m3
from costsim.physics.fluids import fluid_properties
from costsim.study.case import Case
from costsim.study.rating_checks import RatingCheck, rating_checks
from costsim.study.ratings import Needs, Ratings, least_fill_pa
from costsim.units.faults import build
from costsim.units.table import PSI_PA

BAR = 1e5
NEEDS = Needs(
    max_temperature_c=65.0,
    coldest_c=-20.0,
    freeze_c=-25.0,
    antifreeze=True,
    floor=True,
    tank=True,
    source_w=20e3,
    content_m3=0.5,
    swell_share=0.02,
    density_kg_m3=1000.0,
)
TYPED = {
    "tube_pressure": "100 psi",
    "tube_temperature": "180 degF",
    "tank_pressure": "3 bar",
    "tank_temperature": "95 degC",
    "pump_pressure": "10 bar",
    "pump_temperature": "110 degC",
    "vessel_pressure": "3 bar",
    "vessel_temperature": "99 degC",
    "vessel_volume": "60 L",
    "relief_pressure": "3 bar",
    "relief_temperature": "120 degC",
    "relief_discharge": "50 kW",
    "fill_pressure": "1.2 bar",
    "height": "5 m",
}


def lines(typed: dict[str, str], needs: Needs = NEEDS) -> dict[str, RatingCheck]:
    """Checks by what they are about."""
    return {check.what: check for check in rating_checks(build(Ratings, typed), needs)}


def test_all_given_and_enough_passes_everywhere() -> None:
    assert {check.verdict for check in lines(TYPED).values()} == {"pass"}


def test_nothing_given_says_so_and_still_says_what_is_needed() -> None:
    found = lines({})
    assert {check.verdict for what, check in found.items() if "freezing" not in what} == {"not given"}
    assert found["tube: temperature"].needed_text("si") == "at least 65.0 °C"
    assert found["tube: temperature"].given_text("si") == "not given"
    # the valve that the page sizes where none is typed: 30 psi, and EN 12828's 0.5 bar (7.25 psi) below it
    assert found["tube: pressure"].needed_text("us") == "at least 30.0 psi"
    assert found["tube: pressure"].ground.endswith(": 30 psi (2.1 bar) sized here")
    assert found["fill pressure: highest"].needed_text("us") == "at most 22.7 psi"
    assert lines({"tube_pressure": "29 psi"})["tube: pressure"].verdict == "fail"
    assert (
        lines({"tube_pressure": "31 psi"})["tube: pressure"].verdict == "take care"
    )  # nobody said which valve is there
    assert lines({"tube_pressure": "31 psi", "relief_pressure": "30 psi"})["tube: pressure"].verdict == "pass"


@pytest.mark.parametrize(
    ("key", "value", "what"),
    [
        ("tube_pressure", "2 bar", "tube: pressure"),
        ("tank_temperature", "60 degC", "tank: temperature"),
        ("pump_pressure", "2.9 bar", "pump: pressure"),
        ("vessel_temperature", "60 degC", "expansion tank: temperature"),
        ("vessel_volume", "20 L", "expansion tank: volume"),
        ("relief_pressure", "4 bar", "relief valve: set pressure"),
        ("relief_temperature", "60 degC", "relief valve: temperature"),
        ("relief_discharge", "19 kW", "relief valve: discharge"),
        ("fill_pressure", "0.7 bar", "fill pressure: lowest"),
        ("fill_pressure", "2.8 bar", "fill pressure: highest"),
    ],
)
def test_what_is_too_weak_fails_by_name(key: str, value: str, what: str) -> None:
    assert lines(TYPED | {key: value})[what].verdict == "fail"


def test_freezing_point_is_held_against_the_coldest_hour() -> None:
    what = "freezing point of what circulates"
    weak = lines({}, replace(NEEDS, freeze_c=-15.0))[
        what
    ]  # slush in the coldest hour, and only in pipe that gets so cold
    assert weak.verdict == "take care"
    assert "outside the heated house" in weak.ground
    assert lines({}, replace(NEEDS, freeze_c=0.0, antifreeze=False))[what].verdict == "take care"
    assert lines({}, replace(NEEDS, freeze_c=0.0, antifreeze=False, coldest_c=2.0))[what].verdict == "pass"


def test_without_floor_or_tank_none_is_asked_for() -> None:
    found = lines(TYPED, replace(NEEDS, floor=False, tank=False))
    assert not [what for what in found if what.startswith(("tube", "tank"))]


def test_height_of_water_in_the_units_of_plumbers() -> None:
    # 2.307 ft of water make one psi (NIST SP 811: foot of water 2989.067 Pa, psi 6894.757 Pa)
    assert least_fill_pa(height_m=23.07 * 0.3048, density_kg_m3=1000.0) - 30e3 == pytest.approx(10 * PSI_PA, rel=1e-3)


def test_the_vessel_s_line_tells_what_grows_by_how_much() -> None:
    ground = lines(TYPED)["expansion tank: volume"].ground
    assert ground.startswith("500 L that grow by 2.0 %, a reserve")  # 0.5 m³ and 2 % of the needs above
    assert "0.8 and 2.1 bar" not in ground
    usual = lines({"fill_pressure": "1.2 bar"})["expansion tank: volume"].ground
    assert usual.endswith("; the usual 12 and 30 psi (0.8 and 2.1 bar) where none is typed")
    assert usual.split("; the ASHRAE")[0] == ground.split("; the ASHRAE")[0]


def test_vessel_by_boyles_law_on_paper() -> None:
    # content 1000 L, 2 % growth, reserve 5 L; gas from 1.5 to 2.5 bar gauge: 25 L × 3.51325 / 1.0 = 87.8 L, by hand
    found = en_vessel_m3(content_m3=1.0, swell_share=0.02, fill_pa=1.5 * BAR, relief_pa=3 * BAR)
    assert found == pytest.approx(87.83e-3, rel=1e-3)
    assert en_vessel_m3(content_m3=1.0, swell_share=0.02, fill_pa=2.6 * BAR, relief_pa=3 * BAR) is None


def test_water_grows_as_makers_say() -> None:
    # 0.035 from cold to 90 °C, seen in a stove maker's manual on sizing vessels
    cold, hot = (
        fluid_properties(fluid="water", mass_fraction=0.0, temperature_c=c).density_kg_m3 for c in (10.0, 90.0)
    )
    assert cold / hot - 1.0 == pytest.approx(0.035, abs=0.002)


def test_a_study_carries_its_ratings_and_refuses_nonsense() -> None:
    source = {"kind": "electric", "output": "9 kW"}
    case: Case = study(source, ratings__relief_pressure="30 psi")
    assert case.ratings is not None
    assert case.ratings.relief_pressure_pa == pytest.approx(30 * PSI_PA)
    with pytest.raises(InputError, match=r"ratings\.tube_pressure"):
        study(source, ratings__tube_pressure="100 degF")
    with pytest.raises(InputError, match="fill_pressure is not below relief_pressure"):
        study(source, ratings__fill_pressure="30 psi", ratings__relief_pressure="30 psi")
