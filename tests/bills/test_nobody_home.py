"""Bills of nothing: true where no heat is wanted, to be looked at in winter."""

from __future__ import annotations

import numpy as np
import pytest
from bills.houses import bills_of, winters

from costsim.bills.house import fit_house
from costsim.bills.model import Bills
from costsim.errors import InputError


def zeroed(month: int) -> tuple[Bills, int]:
    """A year of exact bills of a house of 400 W, 250 W/K and 16 °C, with nothing in the bill of a month of 2020 or 2021."""
    bills = bills_of(winters(), noise=0.0, months=13)
    months = (bills.start_day + (bills.end_day - bills.start_day) // 2).astype("datetime64[M]").astype(int) % 12 + 1
    row = int(np.flatnonzero(months == month)[0])
    bills.energy_j[row] = 0.0
    return bills, row


@pytest.mark.parametrize("month", [7, 8])
def test_a_summer_bill_of_nothing_is_true_and_bends_nothing(month: int) -> None:
    bills, row = zeroed(month)
    fit = fit_house(bills, winters()).now
    assert fit.bills.n_periods == 12
    # the other bills are exact, so the house is the one they were made of
    assert (fit.line.base_w, fit.line.slope_w_k, fit.line.balance_c) == pytest.approx((400.0, 250.0, 16.0), rel=2e-3)
    (note,) = [one for one in fit.bills.notes if "is zero in warm weather" in one]
    assert f"from {bills.start_day[row]} to" in note


def test_a_winter_bill_of_nothing_is_asked_for_with_a_remedy_that_works() -> None:
    bills, row = zeroed(1)
    with pytest.raises(InputError, match="if nobody was at home, take the line out"):
        fit_house(bills, winters())
    kept = bills.part(np.arange(bills.n_periods) != row)
    assert fit_house(kept, winters()).now.line.slope_w_k == pytest.approx(250.0, rel=2e-3)
