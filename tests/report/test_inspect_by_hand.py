"""The inspector's page from made-up results: which standard is named, a floor just at its limit, whose diagrams are drawn."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from report.bases import basis, failing

from costsim.analysis.circulators import PumpDuty
from costsim.analysis.propane_tank import BoilOff
from costsim.report import inspect
from costsim.report.blocks import Facts, Heading, Signatures, Text


def test_a_floor_just_at_its_limit_is_within_it() -> None:
    """200 W/K from 70 °C to 20 °C are the 10 kW that its surface may give; a degree more is over."""
    for top_c, verdict in ((70.0, "within"), (71.0, "over")):
        text = list(inspect._overheats(failing(max_temperature_c=top_c)))[1][1]
        assert text.startswith(f"its surface goes to 29 °C, {verdict} the limit of 29 °C")


def test_plain_water_and_no_floor_have_their_own_words() -> None:
    bare = failing("none", 0.0)
    bare.signed.case.floor = None
    ((what, text),) = inspect._weak_antifreeze(bare)
    assert what == "plain water in the cold"
    assert text.startswith("ice forms below 0 °C")
    ((_, lifts),) = inspect._relief_lifts(bare)
    assert lifts == "up to 20.0 kW leaves as hot water and steam where its pipe ends"
    bare.signed.needs.fires = "Stove"
    ((_, lifts),) = inspect._relief_lifts(bare)
    assert lifts == "what Stove gives at its peak leaves as hot water and steam where its pipe ends"
    bare.look = lambda name: SimpleNamespace(failures=[])
    assert [what for what, _ in inspect._failures(bare)] == [
        "the pump of a source stands still", "a relief valve lifts", "plain water in the cold", "the tank runs past 60 °C",
    ]  # fmt: skip
    no_loops = failing()
    no_loops.signed.common.water.loops = []
    assert len(list(inspect._overheats(no_loops))) == 1


def test_how_much_weaker_is_told_in_whole_per_cent(monkeypatch: pytest.MonkeyPatch) -> None:
    """60 % less of 50 % leave water, which freezes at 0 °C."""
    monkeypatch.setattr(inspect, "WEAKER_SHARE", 0.6)
    ((what, text),) = inspect._weak_antifreeze(failing(share=0.5))
    assert what == "antifreeze weaker by 60 % by volume"
    assert text.startswith("ice begins at 0 °C in place of -13 °C: slush")


def test_each_rating_names_the_standard_of_its_part() -> None:
    """The part stands before the colon; what has no standard of its own is looked up in its data sheet."""
    whats = ("tube: temperature", "relief valve: discharge", "fill pressure", "flue: draught")
    checks = [
        SimpleNamespace(
            what=what, verdict="fail", ground="why", given_text=lambda system: f"given {system}", needed_text=lambda system: "needed"
        )
        for what in whats
    ]  # fmt: skip
    found = inspect.equivalence(basis(signed__checks=checks))
    assert [row[-1] for row in found.rows] == [
        "ASTM F876, F877; EN ISO 15875", "ASME BPVC IV; EN ISO 4126-1", "EN 12828", "the part's data sheet",
    ]  # fmt: skip
    assert found.rows[0][:5] == ("tube: temperature", "given si", "needed", "fail", "why")
    assert found.marks == ("fail", "take care")


def test_the_signed_option_is_drawn_here_and_the_others_elsewhere(monkeypatch: pytest.MonkeyPatch) -> None:
    """With its own layout; the others with that of the study."""
    monkeypatch.setattr(inspect, "_drawn", lambda basis, option, laid: (option.name, laid))
    options = [SimpleNamespace(name=name) for name in "ABC"]
    one = basis(
        case__options=options, layout="study's", signed__option=options[1], signed__name="B", signed__layout="own"
    )
    drawn: Any = inspect.diagram(one)
    assert drawn == ("B", "own")
    assert inspect.other_diagrams(one) == (("A", "study's"), ("C", "study's"))


def test_the_page_has_its_parts_in_order_and_a_line_for_each_open_item(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("diagram", "equivalence", "sizes_table", "failures"):
        monkeypatch.setattr(inspect, name, lambda _, name=name: name)
    monkeypatch.setattr(inspect, "open_items", lambda _: ["vent", "gas line"])
    found = inspect.inspect_pages(basis())
    assert [one.text for one in found if isinstance(one, Heading)] == [
        "A: each part against the worst the system can do", "A: sizes off the shelf", "A: when something fails",
        "A: open items, to be filled in by hand",
    ]  # fmt: skip
    assert isinstance(found[0], Text)
    assert [one for one in found if isinstance(one, str)] == ["diagram", "equivalence", "sizes_table", "failures"]
    (items,) = (one for one in found if isinstance(one, Facts))
    assert [what for what, _ in items.rows] == ["vent", "gas line"]
    assert {frozenset(line) for _, line in items.rows} == {frozenset("_")}
    assert isinstance(found[-1], Signatures)
    assert [who for who, _ in found[-1].rows] == ["Installer", "Inspector"]


@pytest.mark.parametrize(
    ("gives", "verdict"), [(30.0, "pass"), (29.9, "take care"), (12.0, "take care"), (11.9, "fail")]
)
def test_a_propane_tank_is_held_against_the_fire_of_the_design_night_and_full_fire(gives: float, verdict: str) -> None:
    """Enough for hours of full fire, for the load alone, or not even for that."""
    tank = BoilOff(0.95, gives * 1e3, 30e3, 12e3, -20.0)
    sources = [SimpleNamespace(name="Electric", boils_off=None), SimpleNamespace(name="Propane", boils_off=tank)]
    (row,) = inspect.equivalence(basis(look=lambda name: SimpleNamespace(sources=sources))).rows
    assert row == (
        "propane tank of Propane, 950 L", f"boils off {gives:.0f} kW", "12 kW on the design night, 30 kW at full fire", verdict,
        "-20 °C outside, 30 % full; rule of thumb", "the supplier's table; NFPA 58",
    )  # fmt: skip


def test_the_pump_of_baseboards_takes_their_part_of_the_house_with_it() -> None:
    """60 % of 9 kW are 5.4 kW; a floor's pump has words of its own."""
    up, floor = PumpDuty("Up, baseboard", 1, 1e-4, None, 10.0, 0.6), PumpDuty("Down", 1, 1e-4, 2e4)
    one = failing()
    one.selection.pumps = (floor, up)
    assert list(inspect._emitter_pumps_stuck(one)) == [
        (
            "the pump of Up, baseboard stands still",
            "5.4 kW of 9.0 kW is lost, all of its part of the house; the others run on",
        )
    ]
    one.selection.pumps = (replace(up, load_share=1.0),)
    ((_, text),) = inspect._emitter_pumps_stuck(one)
    assert text.startswith("all heat is lost, 9.0 kW at design")
