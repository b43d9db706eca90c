"""A loan longer than the study period: what is still owed at its end, worked by hand."""

from __future__ import annotations

import pytest
from analysis.test_money_by_hand import options

from costsim.analysis.cash_flow import payments_of
from costsim.analysis.lifecycle import outlay_of, worth_of
from costsim.views.text_decision import payment_lines


@pytest.mark.parametrize(
    ("years", "monthly", "owed", "today"),
    # A = P i / (1 − (1 + i)^−n) and what is owed is the annuity of the payments left, A (1 − (1 + i)^−m) / i, i = 0.05 / 12:
    # 79.079 over 60 months is 4,190.4, times 1.03^−10 = 0.74409 3,118.1; 53.682 over 240 months is 8,134.1, today 6,052.5
    [(15, 79.079, 4190.4, 3118.1), (30, 53.682, 8134.1, 6052.5), (10, 106.066, 0.0, 0.0)],
)
def test_what_is_owed_when_the_study_ends_is_counted(years: int, monthly: float, owed: float, today: float) -> None:
    loan = {"amount": "10000 $", "interest": "5 %/year", "years": years}
    economics = {"study_period": 10, "discount_rate": "3 %/year"}
    case = options({"first_cost": "10000 $", "loan": loan}, inflation="0 %/year", **economics)
    paid = payments_of(case, case.options[0], 0.0)
    assert paid.monthly == pytest.approx(monthly, abs=0.001)
    assert paid.owed == pytest.approx(owed, abs=0.2)
    cost = outlay_of(case, case.options[0], {}, 0.0, 0).present_cost
    annuity = (1 - 1.03**-10) / 0.03  # 8.5302
    assert cost == pytest.approx(12 * monthly * annuity + today, abs=0.5)
    assert worth_of(case, case.options[0], (), 0.0).always == pytest.approx(cost)
    lines = payment_lines(case)
    assert len(lines) == (2 if owed else 1)
    if owed:
        assert f"${owed:,.0f} of that loan is still owed" in lines[1]
    # a tenth of inflation a year makes the debt less, as it makes the payments
    dear = options({"first_cost": "10000 $", "loan": loan}, inflation="10 %/year", **economics)
    assert payments_of(dear, dear.options[0], 0.0).owed == pytest.approx(owed / 1.1**10, abs=0.1)


def test_a_loan_at_the_discount_rate_costs_what_cash_does_however_long_it_is() -> None:
    # 12 payments of a year count at its end, so a month's interest on interest is all that differs: with none they are equal
    for years in (4, 10, 25, 40):
        loan = {"amount": "10000 $", "interest": "0 %/year", "years": years}
        case = options(
            {"first_cost": "10000 $", "loan": loan}, study_period=10, discount_rate="0 %/year", inflation="0 %/year"
        )
        assert outlay_of(case, case.options[0], {}, 0.0, 0).present_cost == pytest.approx(10000)
        late = payments_of(case, case.options[0], 0.0, wait=1)
        assert (late.first, sum(late.yearly)) == (-10000.0, pytest.approx(10000))
