"""Words for what heats a home, as people write them into a table."""

from __future__ import annotations

import pytest

from costsim.physics.fuels import FUELS
from costsim.portfolio.fuel_words import _WORDS, fuel_of_words, what_heats


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Nat. gas", "natural gas"), ("NATURAL GAS", "natural gas"), ("natural_gas", "natural gas"), ("gas boiler", "natural gas"),
        ("Gas forced air", "natural gas"), ("LP", "propane"), ("L.P. gas", "propane"), ("Propane furnace", "propane"), ("oil #2", "heating oil"),
        ("#2 fuel oil", "heating oil"), ("No. 2 oil", "heating oil"), ("Oil-fired boiler", "heating oil"), ("elec", "electricity"),
        ("Elec.", "electricity"), ("electric baseboard", "electricity"), ("Baseboard (electric)", "electricity"), ("resistance", "electricity"),
        ("fuel oil", "heating oil"), ("electric resistance", "electricity"), ("baseboard electric", "electricity"),
        ("ASHP", "heat pump"), ("Air-source heat pump", "heat pump"), ("heat_pump", "heat pump"), ("wood boiler", "wood"), ("pellet boiler", "pellets"),
        # what is more than one thing, or none that is known, stays what it is
        ("off_peak_electric", "off peak electric"), ("gas/wood", "gas wood"), ("wood gas", "wood gas"), ("district", "district"), ("boiler", "boiler"),
        ("??", ""),
    ],
)  # fmt: skip
def test_words_for_what_heats(text: str, found: str) -> None:
    assert what_heats(text) == found


def test_fuels_are_those_that_prices_name() -> None:
    assert {fuel.replace(" ", "_") for fuel in _WORDS} <= {*FUELS}
    assert fuel_of_words("Pellet") == "pellets"
    assert fuel_of_words("ASHP") == ""
