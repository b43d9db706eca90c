"""What the bills' page promises of House is what House says: the loss at the study's own design temperature."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from costsim.dashboard.parts_bills import _whole_loss


def test_the_promise_is_at_the_studys_design_temperature() -> None:
    """781 Btu/(h °F) × (70 + 15.9) °F = 67.1 kBtu/h; × (60 + 15.9) = 59.3 of it heating; the bills' weather has 4.6 °F."""
    btu_h_f = 1055.056 / 3600 * 1.8
    fit: Any = SimpleNamespace(loss_w_k=781 * btu_h_f, line=SimpleNamespace(balance_c=28 / 1.8), design_c=-27.4 / 1.8)
    case: Any = SimpleNamespace(house=SimpleNamespace(indoor_temperature_c=38 / 1.8))
    text = _whole_loss(case, fit, (-15.9 - 32) / 1.8, "us").replace("\xa0", " ")
    assert "will say 67.1 kBtu/h at -15.9 °F outside" in text.replace("−", "-")
    assert "supplies 59.3 kBtu/h of it" in text
    assert "and the sun 7.8 kBtu/h" in text
