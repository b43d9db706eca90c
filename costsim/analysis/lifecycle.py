"""Money over years: present values by NIST Handbook 135, with payments at the end of each year."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Protocol

from costsim.analysis.cash_flow import payments_of, price_factor, upkeep_of
from costsim.results.result import OptionResult, Result
from costsim.study.case import Case, Option

SHOWN_YEARS = (5, 10, 15)
"""Years by which it is told what has been paid, beside the study period's end."""


def single_present_value(*, rate: float, year: float) -> float:
    """Worth today of one unit paid at the end of a year: ``(1 + d)^−n``.

    Examples
    --------
    >>> round(single_present_value(rate=0.03, year=10), 4)
    0.7441
    """
    return float((1.0 + rate) ** -year)


def savings_to_investment(*, savings: float, investment: float) -> float:
    """Present value of savings over present value of what is paid more for them."""
    return savings / investment


def adjusted_internal_return(*, ratio: float, rate: float, years: int) -> float:
    """Adjusted internal rate of return from the savings-to-investment ratio: ``(1 + d) · SIR^(1/N) − 1``."""
    return float((1.0 + rate) * ratio ** (1.0 / years) - 1.0)


def payback_years(*, investment: float, savings: Sequence[float], rate: float = 0.0) -> float | None:
    """Years until savings have paid for an investment; within a year in proportion.

    None where they never do, or where what is due later, such as a debt that is left, takes it away again by the end.

    Examples
    --------
    >>> round(payback_years(investment=4000.0, savings=[450.0] * 20, rate=0.03), 2)
    10.49
    >>> payback_years(investment=100.0, savings=[60.0, 60.0, -50.0])
    """
    left, paid_off = investment, 0.0 if investment <= 0 else None
    for year, saved in enumerate(savings, 1):
        worth = saved * single_present_value(rate=rate, year=year)
        if paid_off is None and worth >= left > 0:
            # paid off within the year: present value of a part of a year by the continuous form of the same rate
            paid_off = year - 1 + _part_of_year(left, worth, rate, year)
        left -= worth
    return paid_off if investment <= 0 or left <= 0 else None


def _part_of_year(left: float, worth: float, rate: float, year: int) -> float:
    if rate == 0.0:
        return left / worth
    saved = worth * (1.0 + rate) ** year
    before = single_present_value(rate=rate, year=year - 1)
    return -math.log(1.0 - left * rate / (saved * before)) / math.log1p(rate)


@dataclass(frozen=True, slots=True)
class Outlay:
    """What one option costs over the years. `yearly` is running cost in each year; `position` what has been paid by a year.

    `bought` is the first cost less its rebate, `first` what of it is paid at the start: less incentives of year 0 and the loan too.
    `running` is a year's bills at the prices entered with maintenance, without payments of later years. `replaced` is the present value
    of what is bought anew, `residual` that of what things are still worth at the end; both stand in the years' cost too. Where `priced`
    is false no first cost was typed, and `first`, `present_cost` and `position` leave it out.
    """

    option: str
    first: float
    yearly: tuple[float, ...]
    present_cost: float
    position: Mapping[int, float]
    replaced: float = 0.0
    unmet_hours: int = 0
    priced: bool = True
    running: float = 0.0
    bought: float = 0.0
    residual: float = 0.0


@dataclass(frozen=True, slots=True)
class AddOn:
    """One option against what heats the house today, or the first one, as a step beyond what is there already.

    `ratio` is the savings-to-investment ratio of NIST Handbook 135: savings on running over what more is invested, replacements counted
    in and residual values taken off. `back_of_each` answers another question: how much of each unit of money paid more at the start has
    come back by the end, whatever it comes from.
    """

    option: str
    against: str
    investment: float
    net_present_value: float
    simple_payback: float | None
    discounted_payback: float | None
    ratio: float | None
    adjusted_internal_return: float | None
    back_of_each: float | None = None


def outlay(case: Case, option: Option, result: OptionResult) -> Outlay:
    """Spread an option's cost over the study's years.

    Parameters
    ----------
    case : Case
    option : Option
    result : OptionResult
        Its season.

    Returns
    -------
    Outlay
        Real money; energy goes by its price table's path or rate, incentives, loan, parts and carbon by their own.
    """
    return outlay_of(case, option, result.bills, result.co2_kg, result.unmet.hours)


class Billed(Protocol):
    """What a year of one service comes to, and what of it buys no energy."""

    @property
    def total(self) -> float:
        """Money of the year."""

    @property
    def fixed(self) -> float:
        """What of it buys no energy."""


def outlay_of(case: Case, option: Option, bills: Mapping[str, Billed], co2_kg: float, unmet_hours: int) -> Outlay:
    """Spread over the study's years what an option's bills of one year come to, as `outlay` does."""
    rate, years = case.economics.discount_rate_share_per_year, case.economics.study_period
    paid = payments_of(case, option, co2_kg)
    first = option.first_cost_money - option.rebate_money + paid.first
    yearly = []
    for year in range(1, years + 1):
        running = upkeep_of(option)
        for key, bill in bills.items():
            running += bill.fixed + (bill.total - bill.fixed) * price_factor(case.economics, key, year)
        running += paid.yearly[year - 1]
        yearly.append(running + (option.replacement_money if year == option.replacement_year else 0.0))
    present = _so_far(first, yearly, rate)[-1]
    replaced = option.replacement_money if 1 <= option.replacement_year <= years else 0.0
    replaced *= single_present_value(rate=rate, year=option.replacement_year) if replaced else 1.0
    replaced += math.fsum(
        invested * single_present_value(rate=rate, year=year) for year, invested in enumerate(paid.invested, 1)
    )
    position = {year: first + math.fsum(yearly[:year]) for year in (*SHOWN_YEARS, years) if year <= years}
    now = upkeep_of(option) + math.fsum(bill.total for bill in bills.values())
    return Outlay(
        option.name, first, tuple(yearly), present, position, replaced, unmet_hours, option.first_cost_given, now,
        option.first_cost_money - option.rebate_money,
        paid.salvage * single_present_value(rate=rate, year=years),
    )  # fmt: skip


def paid_so_far(case: Case, outlay: Outlay) -> tuple[float, ...]:
    """What an option has cost from the start to the end of each year, each payment as of today; the last is its life-cycle cost."""
    return _so_far(outlay.first, outlay.yearly, case.economics.discount_rate_share_per_year)


def _so_far(first: float, yearly: Sequence[float], rate: float) -> tuple[float, ...]:
    worth = [cost * single_present_value(rate=rate, year=year) for year, cost in enumerate(yearly, 1)]
    return tuple(first + math.fsum(worth[:year]) for year in range(len(worth) + 1))


@dataclass(frozen=True, slots=True)
class Worth:
    """What a year's bills come to over the study period, in money of today.

    ``always + Σ_services (fixed · still + (bill − fixed) · moving[service])``: the life-cycle cost of `outlay`, NIST Handbook 135; what
    of a bill buys no energy does not follow its price's path.
    """

    always: float
    still: float
    moving: Mapping[str, float]


def worth_of(case: Case, option: Option, services: Iterable[str], co2_kg: float) -> Worth:
    """What bills of some services are worth over the study period, and what is paid whatever they are."""
    economics = case.economics
    rate, years = economics.discount_rate_share_per_year, range(1, economics.study_period + 1)
    worth = [single_present_value(rate=rate, year=year) for year in years]
    paid, upkeep = payments_of(case, option, co2_kg), upkeep_of(option)
    always = option.first_cost_money - option.rebate_money + paid.first
    always += math.fsum(factor * (upkeep + more) for factor, more in zip(worth, paid.yearly, strict=True))
    if option.replacement_year in years:
        always += option.replacement_money * worth[option.replacement_year - 1]
    still = math.fsum(worth)
    moving = {
        key: math.fsum(price_factor(economics, key, year) * factor for year, factor in zip(years, worth, strict=True))
        if key in economics.escalation or key in economics.price_path
        else still
        for key in services
    }
    return Worth(always, still, moving)


def add_on(case: Case, base: Outlay, other: Outlay) -> AddOn:
    """Judge an option as an investment beyond another.

    Returns
    -------
    AddOn
        Ratio and internal return are None where the option needs no more money at the start.
    """
    rate, years = case.economics.discount_rate_share_per_year, case.economics.study_period
    investment = other.first - base.first
    savings = [a - b for a, b in zip(base.yearly, other.yearly, strict=True)]
    worth = math.fsum(saved * single_present_value(rate=rate, year=year) for year, saved in enumerate(savings, 1))
    # what is replaced is money invested later, and what is left is money not used up: neither is a saving (10 CFR 436.21)
    later = (other.replaced - other.residual) - (base.replaced - base.residual)
    invested = investment + later
    ratio = savings_to_investment(savings=worth + later, investment=invested) if min(investment, invested) > 0 else None
    return AddOn(
        option=other.option,
        against=base.option,
        investment=investment,
        net_present_value=worth - investment,
        simple_payback=payback_years(investment=investment, savings=savings),
        discounted_payback=payback_years(investment=investment, savings=savings, rate=rate),
        ratio=ratio,
        adjusted_internal_return=adjusted_internal_return(ratio=ratio, rate=rate, years=years)
        if ratio and ratio > 0
        else None,
        back_of_each=worth / investment if investment > 0 else None,
    )


def life_cycle(case: Case, result: Result) -> tuple[tuple[Outlay, ...], tuple[AddOn, ...]]:
    """Outlays of all options, and each against what heats the house today, or the first one."""
    outlays = tuple(outlay(case, option, result.option(option.name)) for option in case.options)
    base = outlays[case.options.index(case.today) if case.today else 0]
    return outlays, tuple(add_on(case, base, other) for other in outlays if other is not base)


@dataclass(frozen=True, slots=True)
class OverYears:
    """What first costs let be said over the study period: nothing on who is cheapest while one of them is missing.

    `order` holds options whose first cost is known, the cheapest first, with life-cycle costs; `missing` the others,
    with the first cost, before incentives that go by it, below which each would be cheapest (None where no first cost
    is known to hold it against).
    """

    order: tuple[tuple[str, float], ...]
    missing: Mapping[str, float | None]
    years: int

    @property
    def cheapest(self) -> str | None:
        """The option of the least life-cycle cost; None while that is not known.

        An option that would cost more even if it were free to buy leaves no doubt.
        """
        sure = all(most is not None and most <= 0 for most in self.missing.values())
        return self.order[0][0] if self.order and sure else None


def over_years(case: Case, result: Result, names: Sequence[str]) -> OverYears:
    """Rank options over the study period: the one rule of the screen, the page and the command line.

    Parameters
    ----------
    case, result
    names : sequence of str
        Options that are compared, as a rule those that keep the house warm.
    """
    outlays = [outlay(case, option, result.option(option.name)) for option in case.options if option.name in names]
    order = sorted(
        ((option_outlay.option, option_outlay.present_cost) for option_outlay in outlays if option_outlay.priced),
        key=lambda option_outlay: option_outlay[1],
    )
    missing = {
        option_outlay.option: order[0][1] - option_outlay.present_cost if order else None
        for option_outlay in outlays
        if not option_outlay.priced
    }
    return OverYears(tuple(order), missing, case.economics.study_period)


@dataclass(frozen=True, slots=True)
class CapitalVerdict:
    """Where first cost changes the decision: the option that is cheapest over the years, and how much less it costs.

    `saving` is the difference of the two life-cycle costs, `years` the study period.
    """

    cheapest_over_years: str
    saving: float
    costs: tuple[float, float]
    years: int


def capital_verdict(case: Case, result: Result, running: str, names: Sequence[str]) -> CapitalVerdict | None:
    """Hold the option that is cheapest to run against what first cost, maintenance and later years say.

    Parameters
    ----------
    case, result
    running : str
        The option that is cheapest to run.
    names : sequence of str
        Options that keep the house warm.

    Returns
    -------
    CapitalVerdict or None
        None where the option is the cheapest over the years too, or where one of their first costs is not given.
    """
    verdict = over_years(case, result, names)
    costs = dict(verdict.order)
    if verdict.cheapest is None or running not in costs:
        return None
    saving = costs[running] - costs[verdict.cheapest]
    pair = (costs[running], costs[verdict.cheapest])
    return CapitalVerdict(verdict.cheapest, saving, pair, verdict.years) if saving > 0 else None


def as_json(outlays: Sequence[Outlay], steps: Sequence[AddOn]) -> dict[str, Any]:
    """Money over years as plain data."""
    return {
        "options": [
            {
                "name": o.option,
                "first_cost": o.bought if o.priced else None,
                "paid_at_start": o.first if o.priced else None,
                "yearly": list(o.yearly),
                "present_cost": o.present_cost if o.priced else None,
                "paid_by_year": dict(o.position) if o.priced else None,
            }
            for o in outlays
        ],
        "against_the_first": [asdict(step) for step in steps],
    }
