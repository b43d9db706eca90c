"""What stands beside the first cost of an option: incentives, a loan, and parts with lives of their own."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from costsim.units.fields import QuantityField, StudyModel, fault


class Incentive(StudyModel):
    """A rebate or tax credit on the first cost.

    A share is one of what it goes on, up to `cap`; an amount is what it is. It goes on the first cost, or with
    `after_others` on what incentives typed before it leave. A credit that is not `refundable` is lost where it is more than
    the household's `tax_liability`. One that `expires` is gone for whoever waits a year.
    """

    name: Annotated[str, Field(title="Name", max_length=60)] = "incentive"
    share: Annotated[float, QuantityField("share", "Share of the cost", at_least=0, at_most=1, example="30 %")] = 0.0
    amount_money: Annotated[float, QuantityField("money", "Amount", at_least=0, example="600 $")] = 0.0
    cap_money: Annotated[float | None, QuantityField("money", "Most that is paid", at_least=0, example="2000 $")] = None
    year: Annotated[int, Field(ge=0, le=10, title="Year of payment", description="0 is with the first cost.")] = 0
    refundable: Annotated[bool, Field(title="Paid out beyond the tax owed")] = True
    after_others: Annotated[bool, Field(title="On what others leave of the cost")] = False
    expires: Annotated[bool, Field(title="Gone for whoever waits a year")] = False

    @model_validator(mode="after")
    def _one_of_two(self) -> Incentive:
        if bool(self.share) == bool(self.amount_money):
            raise fault("an incentive has a share or an amount", 'write share = "30 %" or amount = "600 $"')
        return self


class Loan(StudyModel):
    """Part of the first cost paid back in equal payments at the end of each month."""

    amount_money: Annotated[float, QuantityField("money", "Amount", above=0, example="8000 $")]
    interest_share_per_year: Annotated[
        float,
        QuantityField(
            "share_per_year", "Interest", "Nominal, a twelfth each month.", at_least=0, at_most=0.5, example="6 %/year"
        ),
    ]
    years: Annotated[int, Field(ge=1, le=40, title="Years")]

    def monthly_payment(self) -> float:
        """Equal payment at the end of each month (nominal money).

        Notes
        -----
        ``P · i / (1 − (1 + i)^−n)`` with a twelfth of the year's interest and twelve payments a year; ``P / n`` without interest.

        Examples
        --------
        >>> round(Loan.model_validate({"amount": "8000 $", "interest": "6 %/year", "years": 10}).monthly_payment(), 2)
        88.82
        """
        months, rate = 12 * self.years, self.interest_share_per_year / 12
        return self.amount_money / months if rate == 0 else self.amount_money * rate / (1.0 - (1.0 + rate) ** -months)

    def owed_after(self, years: int) -> float:
        """What is still owed after the payments of so many years (nominal money); nothing once all are made.

        Notes
        -----
        ``B = P (1 + i)^n − A ((1 + i)^n − 1) / i``: the amount with its interest less the payments with theirs; ``P − n A`` without.

        Examples
        --------
        >>> round(Loan.model_validate({"amount": "10000 $", "interest": "5 %/year", "years": 15}).owed_after(10), 2)
        4190.47
        """
        if years >= self.years:
            return 0.0
        paid, rate, payment = 12 * years, self.interest_share_per_year / 12, self.monthly_payment()
        grown = (1.0 + rate) ** paid
        return self.amount_money * grown - payment * (paid if rate == 0 else (grown - 1.0) / rate)


class Part(StudyModel):
    """A part that is replaced whenever its life is over; what is left of its last life counts as salvage."""

    name: Annotated[str, Field(title="Name", max_length=60)] = "part"
    cost_money: Annotated[
        float,
        QuantityField(
            "money", "Cost", "Within the first cost; paid again at each replacement.", above=0, example="1800 $"
        ),
    ]
    life: Annotated[int, Field(ge=1, le=100, title="Years it lasts")]
    maintenance_per_year: Annotated[float, QuantityField("money_per_year", "Maintenance", at_least=0)] = 0.0
    salvage: Annotated[
        bool,
        Field(title="What is left of its life is worth its share", description="Linear, as NIST Handbook 135 allows."),
    ] = True
