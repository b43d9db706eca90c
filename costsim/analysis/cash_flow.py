"""Payments beside the bills, year by year in money of today: incentives, loans, parts, carbon, price paths."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from costsim.errors import Fault, InputError
from costsim.study.case import Case, Option
from costsim.study.economics import Economics
from costsim.study.financing import Incentive, Part


@dataclass(frozen=True, slots=True)
class Payments:
    """Payments of an option beside its bills and `upkeep_of`: when it is bought, and in each year (years,), in money of today.

    `incentives` are what comes back, by name; `lost` what of a tax credit no tax was owed for. `monthly` is the loan's payment in
    money of its day; `owed` what of the loan is left at the end of the study, in money of today, and counted in its last year. `invested`
    is what of `yearly` is paid for parts, which no saving is lost by.
    """

    first: float
    yearly: tuple[float, ...]
    incentives: Mapping[str, float]
    lost: float
    monthly: float
    invested: tuple[float, ...]
    salvage: float
    owed: float = 0.0


def price_factor(economics: Economics, key: str, year: int) -> float:
    """Energy price of a year over today's, in money of today: by the path typed, else by its steady rise."""
    path = economics.price_path.get(key)
    if path:
        return path[min(year, len(path)) - 1]
    return float((1.0 + economics.escalation.get(key, 0.0)) ** year)


def prices_rise(economics: Economics) -> bool:
    """Whether a price moves over the years; if none does, what of a bill buys no energy is worth what the rest is."""
    return bool(economics.escalation or economics.price_path)


def incentives_of(option: Option, tax_owed: float | None) -> tuple[list[tuple[Incentive, float]], float]:
    """What each incentive pays, in the order typed, and what is lost for want of tax.

    Parameters
    ----------
    option : Option
    tax_owed : float, optional
        Tax that credits which are not refundable can be taken off; None where it is not known and enough is taken for granted.

    Examples
    --------
    >>> from costsim.study.case import Option
    >>> typed = {"name": "a", "first_cost": "10000 $", "source": [{"kind": "electric", "output": "9 kW"}],
    ...          "incentive": [{"share": "30 %", "cap": "2000 $", "refundable": False}, {"share": "10 %", "after_others": True}]}
    >>> [round(paid) for _, paid in incentives_of(Option.model_validate(typed), 1500.0)[0]]
    [1500, 850]
    """
    left, lost, incentives = tax_owed, 0.0, []
    net = max(option.first_cost_money - option.rebate_money, 0.0)
    for incentive in option.incentive:
        paid = (
            incentive.share * (net if incentive.after_others else option.first_cost_money)
            if incentive.share
            else incentive.amount_money
        )
        paid = min(paid, incentive.cap_money) if incentive.cap_money is not None else paid
        paid = min(paid, net)
        if not incentive.refundable and left is not None:
            lost += max(paid - left, 0.0)
            paid = min(paid, left)
            left -= paid
        net -= paid
        incentives.append((incentive, paid))
    return incentives, lost


def upkeep_of(option: Option) -> float:
    """Maintenance of an option and of its parts [money/year], which with a year's bills is what running it costs."""
    return option.maintenance_per_year + sum(part.maintenance_per_year for part in option.part)


def replacements(part: Part, years: int) -> list[int]:
    """Years in which a part is replaced; not in the last, whose end nothing follows.

    Examples
    --------
    >>> replacements(Part.model_validate({"cost": "900 $", "life": 8}), 20)
    [8, 16]
    """
    return list(range(part.life, years, part.life))


def salvage_of(part: Part, years: int) -> float:
    """What a part's unused life is worth at the end, linear in years.

    Examples
    --------
    >>> salvage_of(Part.model_validate({"cost": "900 $", "life": 8}), 20)
    450.0
    """
    used = years - (replacements(part, years) or [0])[-1]
    return part.cost_money * (part.life - used) / part.life if part.salvage else 0.0


def payments_of(case: Case, option: Option, co2_kg: float, *, wait: int = 0) -> Payments:
    """Spread what an option pays beside its bills and upkeep over the years of the study.

    Parameters
    ----------
    case : Case
    option : Option
    co2_kg : float
        Carbon dioxide of a year, without that of wood and its like.
    wait : int
        Years until it is bought. Incentives, loan payments and lives of parts begin so much later; carbon before that is not its own. What
        has been promised at the purchase is paid to its end, so that `yearly` is as many years longer. Incentives that expire are gone,
        and those that go on what others leave find the more; all the others are the same, whatever the year.

    Notes
    -----
    A loan's payments are fixed in money of their day, so that inflation makes them less in money of today: each year's twelve
    count at its end, ``12 P / (1 + inflation)^year``. What is still owed when the study ends is paid back then, as parts are worth
    what is left of them: all costs and values within the study period, NIST Handbook 135.
    """
    economics, years = case.economics, case.economics.study_period
    if wait:
        option = option.model_copy(
            update={"incentive": tuple(incentive for incentive in option.incentive if not incentive.expires)}
        )
    paid, lost = incentives_of(option, economics.tax_liability_money)
    yearly, invested = [0.0] * (years + wait), [0.0] * (years + wait)
    for incentive, amount in paid:
        if incentive.year and incentive.year <= years:
            yearly[wait + incentive.year - 1] -= amount
    for part in option.part:
        for year in replacements(part, years - wait):
            invested[wait + year - 1] += part.cost_money
    monthly = option.loan.monthly_payment() if option.loan else 0.0
    for at in range(min(option.loan.years, years) if option.loan else 0):
        yearly[wait + at] += 12 * monthly / (1.0 + economics.inflation_share_per_year) ** (at + 1)
    owed = (option.loan.owed_after(years) if option.loan else 0.0) / (1.0 + economics.inflation_share_per_year) ** years
    yearly[-1] += owed
    if economics.carbon_price is not None:
        if math.isnan(co2_kg):
            problem = "cannot be counted: the grid's carbon dioxide is not known here"
            raise InputError(
                Fault("economics.carbon_price", problem, 'add co2 = "0.3 kg/kWh" under [prices.electricity]', case.file)
            )
        for at in range(wait, years):
            rise = (1.0 + economics.carbon_price_rise_share_per_year) ** (at + 1)
            yearly[at] += economics.carbon_price * co2_kg * rise
    salvage = sum(salvage_of(part, years - wait) for part in option.part) + option.salvage_money
    yearly[years - 1] -= salvage
    first = -sum(amount for incentive, amount in paid if incentive.year == 0) - (
        option.loan.amount_money if option.loan else 0.0
    )
    names: dict[str, float] = {}
    for incentive, amount in paid:
        names[incentive.name] = names.get(incentive.name, 0.0) + amount
    both = tuple(a + b for a, b in zip(yearly, invested, strict=True))
    return Payments(first, both, names, lost, monthly, tuple(invested), salvage, owed)
