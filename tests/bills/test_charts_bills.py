"""The figure of bills over temperature holds what was fitted, and its text says the same."""

from __future__ import annotations

import numpy as np
import pytest
from bills.houses import bills_of, winters

from costsim.bills.fit import Efficiency
from costsim.bills.house import fit_house
from costsim.units.quantity import KWH_J, THERM_J
from costsim.views.charts_bills import fit_chart
from costsim.views.text_fit import fit_text

WEATHER = winters(years=4)
EXACT = Efficiency(1.0, 1.0, 1.0, "as given")


def traces(figure, name: str) -> list:
    return [trace for trace in figure.data if trace.name == name]


@pytest.mark.parametrize(("system", "joule"), [("us", THERM_J), ("si", KWH_J)])
def test_bills_line_band_and_residuals_are_drawn_in_the_readers_units(system: str, joule: float) -> None:
    found = fit_house(bills_of(WEATHER, noise=0.05), WEATHER, efficiency=EXACT)
    figure = fit_chart(found, system)
    points, left = traces(figure, "bills")
    bills = found.now.bills
    np.testing.assert_allclose(points.y, bills.energy_j / bills.days / joule, rtol=1e-5)
    np.testing.assert_allclose(left.y, found.now.residual_j / bills.days / joule, atol=1e-4)
    mean = np.array([WEATHER.over(a, b).mean() for a, b in zip(bills.start_day, bills.end_day, strict=True)])
    np.testing.assert_allclose(points.x, mean * 1.8 + 32 if system == "us" else mean, rtol=1e-5)
    assert len(traces(figure, "fitted line")) == len(traces(figure, "band of nine in ten")) == 1
    assert "balance point" in figure.layout.annotations[0].text


def test_the_curve_is_the_line_far_from_the_balance_point_and_the_base_above_it() -> None:
    found = fit_house(bills_of(WEATHER, noise=0.05), WEATHER, efficiency=EXACT)
    fit, line = found.now, found.now.line
    use, half = fit.curve(np.array([-30.0, 45.0]))
    assert use[0] == pytest.approx(line.base_w + line.slope_w_k * (line.balance_c + 30.0), rel=0.002)
    assert use[1] == pytest.approx(line.base_w)
    assert 0 < half[1] < half[0]


def test_the_curve_passes_through_the_fitted_bills() -> None:
    """Bills of one mean differ in their hours, so by a few percent of the middle bill at most."""
    fit = fit_house(bills_of(WEATHER, noise=0.05), WEATHER, efficiency=EXACT).now
    use, _ = fit.curve(fit.mean_c)
    fitted = fit.fitted_j / (fit.bills.days * 86400.0)
    assert np.abs(use - fitted).max() < 0.08 * fit.bills.mean_w.mean()


def test_bills_before_a_change_stand_apart_and_the_text_tells_it() -> None:
    found = fit_house(bills_of(WEATHER, change=(22, 0.8), months=36), WEATHER, efficiency=EXACT)
    figure = fit_chart(found, "si")
    before, after = traces(figure, "bills before the change")[0], traces(figure, "bills")[0]
    assert len(before.x) + len(after.x) == 36
    assert traces(figure, "line before the change")
    text = fit_text(found, "si")
    assert "ASHRAE Guideline 14" in text
    assert "bills rise differently with the cold" in text
    assert text.startswith("By its natural gas bills since 20")
