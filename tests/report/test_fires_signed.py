"""What the pages to inspect and to sign say of a wood fire: failures, open items, and what stays to be confirmed."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from burners import PELLETS, PROPANE, WOOD
from cases import study
from report.bases import basis, failing

from costsim.report import fires, inspect
from costsim.report.sign import open_rows


def signed(*sources: Any) -> Any:
    found = failing()
    found.signed.option = SimpleNamespace(sources=study(*sources).options[0].sources)
    found.look = lambda name: SimpleNamespace(failures=[])
    return found


def test_no_row_says_that_a_limit_stops_a_fire() -> None:
    rows = dict(inspect._failures(signed(WOOD)))
    assert "the pump of a source stands still" not in rows
    assert not any("control must stop it" in text for text in rows.values())
    assert "no limit puts out a charge" in rows["the pump of Wood boiler stands still"]
    assert "the heat dump opens by itself" in rows["the power fails while Wood boiler burns"]
    assert "not the fire of Wood boiler" in rows["the tank runs past 60 °C"]


def test_each_source_beside_a_fire_keeps_its_limits() -> None:
    rows = dict(inspect._failures(signed(WOOD, PROPANE)))
    assert "high limit and low-water control must stop it" in rows["the pump of Propane boiler stands still"]
    assert "no limit puts out" in rows["the pump of Wood boiler stands still"]
    plain = dict(inspect._failures(signed(PROPANE)))
    assert "must stop it" in plain["the pump of a source stands still"]
    assert not any("fire" in text or "dump" in text for text in plain.values())


@pytest.mark.parametrize(
    ("sources", "items"),
    [
        ((WOOD,), ["heat dump of Wood boiler", "return to Wood boiler held at 60 °C or more"]),
        ((WOOD, PROPANE), ["heat dump of", "return to Wood", "a flue each for Wood boiler and Propane boiler"]),
        ((PELLETS,), ["return to Pellet boiler"]),
        ((PROPANE,), []),
    ],
)
def test_open_items_ask_for_what_a_fire_needs(sources: Any, items: list[str]) -> None:
    found = fires.by_hand(signed(*sources))
    assert len(found) == len(items)
    assert all(text.startswith(start) for text, start in zip(found, items, strict=True))
    assert set(found) <= set(inspect.open_items(signed(*sources)))


def test_the_page_to_sign_leaves_the_heat_dump_open() -> None:
    one = basis()
    assert not any("heat dump" in what for what, _ in open_rows(one))
    one.signed.option = signed(WOOD).signed.option
    rows = dict(open_rows(one))
    assert "works without power" in rows["heat dump, warm return"]
    assert "works without power" in dict(open_rows(one, parts=False))["heat dump of Wood boiler"].replace(
        "must work", "works"
    )
