"""How many hours too cold count as warm is changed on Decide, and the verdict follows."""

from __future__ import annotations

import pytest
from dashboard.app import opened, press, said, verdict


@pytest.mark.long
def test_the_limit_of_hours_is_changed_where_the_verdict_hangs_on_it() -> None:
    """Gas alone, 4 kBtu/h short in a few cold hours, is left out at 20 hours and the cheapest at 300; Undo brings the limit back."""
    boiler = {"kind": "gas", "name": "Gas boiler", "output": "33 kBtu/h", "efficiency": "85 %"}
    app = opened("decide")
    app.session_state["typed"] = {
        "title": "An invented pair",
        "place": {"weather": "cold_valley.csv"},
        "house": {"heat_loss_rate": "488 Btu/(h degF)", "indoor_temperature": "70 degF", "balance_point": "62 degF",
                  "floor_area": "2000 ft2"},
        "prices": {"natural_gas": {"energy": "1.15 $/therm"}, "electricity": {"energy": "0.12 $/kWh"}},
        "option": [
            {"name": "Gas", "today": True, "first_cost": "0 $", "source": [boiler]},
            {"name": "Both", "first_cost": "8800 $", "source": [{"kind": "electric", "output": "9 kW"}, boiler]},
        ],
    }  # fmt: skip
    app.run()
    assert verdict(app).startswith("Both is the only option that keeps the house warm")
    assert "less over 20 years than Both, but would be too small for " in verdict(app)
    limit = next(one for one in app.number_input if one.key == "decide/warm_hours")
    assert limit.value == 20
    limit.set_value(300).run()
    assert not app.exception
    assert verdict(app).startswith("What you have now, Gas, costs")
    assert "Both" in verdict(app)
    press(app, "Undo")
    assert verdict(app).startswith("Both is the only option")


@pytest.mark.long
def test_what_further_options_say_is_folded_below_one_line_each() -> None:
    """Of the four invented options two make the answer and one is too small; the third is told in a line, and opened in full."""
    app = opened("decide", study="lantern_cottage")
    (fold,) = (one for one in app.expander if one.label.startswith("Other options"))
    inside = "\n".join(str(one.value) for one in fold.markdown).replace("\\", "")
    assert "Electric 9 kW costs $" in inside
    assert "the coldest hour asks for" in inside
    assert "Break-even price of electricity" in inside
    assert "Off-peak with electric by day costs more to run than Natural gas at any price" in inside
    lines = said(app).replace(inside, "").split("\n")
    (short,) = (one for one in lines if one.startswith("Electric 9 kW costs $") and "Break-even" not in one)
    assert short.endswith(" a year more than Natural gas; it is large enough.")
    assert sum(one.startswith("Break-even price") for one in lines) == 1
    assert any(one.label == "Hours too cold that still count as warm" for one in app.expander)
    assert "seed" not in said(app)
