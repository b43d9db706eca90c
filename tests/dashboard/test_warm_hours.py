"""How many hours too cold count as warm is changed on Decide, and the verdict follows."""

from __future__ import annotations

import pytest
from dashboard.app import opened, press, verdict


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
