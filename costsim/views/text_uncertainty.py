"""What `uncertainty`, `breakeven`, `size` and `bill` print."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Mapping, Sequence

from costsim.analysis.breakeven import BreakEven
from costsim.analysis.foresight import ControllerGap
from costsim.analysis.lifecycle import AddOn, Outlay
from costsim.analysis.uncertainty import UncertaintyResult
from costsim.results.result import OptionResult
from costsim.study.case import Case
from costsim.views.answer import called
from costsim.views.headline import roughly
from costsim.views.rounding import round_money, years_text
from costsim.views.tables import bill_rows, first_cost, money, text_table
from costsim.views.wording import named
from costsim.words import tr

NOT_KNOWN = "not known"


def printed_uncertainty(case: Case, uncertainty: UncertaintyResult, system: str = "si") -> str:
    """Print how sure the answer is."""
    coin, (first, second) = case.currency, uncertainty.pair
    low, middle, high = uncertainty.gap_band
    head = tr(
        "On one year's bills {first} is cheaper than {second} in {first_is_cheaper} of {scenarios} scenarios (seed"
        " {seed}).\nIt saves {middle} a year at the median, {low} to {high} in 80% of scenarios.",
        first=called(first),
        second=called(second),
        first_is_cheaper=roughly(uncertainty.first_is_cheaper),
        scenarios=f"{uncertainty.scenarios:,}",
        seed=uncertainty.seed,
        middle=money(middle, coin),
        low=money(low, coin),
        high=money(high, coin),
    )
    if first == second:
        head = tr(
            "The study has one option, so nothing is compared; {scenarios} scenarios (seed {seed}).",
            scenarios=f"{uncertainty.scenarios:,}",
            seed=uncertainty.seed,
        )
    bands = [
        [o.name, *(money(value, coin) for value in o.band()), f"{_middle(sorted(o.unmet_hours)):,.0f}"]
        for o in uncertainty.options
    ]
    names = [o.name for o in uncertainty.options]
    return "\n\n".join(
        [
            head,
            text_table([tr("option"), "10%", tr("median"), "90%", tr("hours too cold, median")], bands),
            tr(
                "What changes the result most: what {first} saves with one thing alone at its low and high"
                " value (10% and 90%)\n",
                first=first,
            )
            + text_table(*sensitivity_rows(case, uncertainty, system)),
            text_table([tr("at today's prices"), *names], winter_rows(case, uncertainty)),
            tr(
                "Spreads are one standard deviation each, as the study gives them or as its"
                " defaults; costsim check shows them."
            ),
        ]
    )


def winter_rows(case: Case, uncertainty: UncertaintyResult) -> list[list[str]]:
    """Cost and unmet hours of each option in each kind of winter."""
    return [
        [
            w.name,
            *(
                tr("{c}, {h} h unmet", c=money(c, case.currency), h=f"{h:,}")
                for c, h in zip(w.cost, w.unmet_hours, strict=True)
            ),
        ]
        for w in uncertainty.winters
    ]


def sensitivity_rows(
    case: Case, uncertainty: UncertaintyResult, system: str = "si"
) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of what would change the answer."""
    coin = case.currency
    rows = [
        [
            named(driver.what),
            *(f"{money(gap, coin)} ({_drawn(driver.what, value, system)})" for gap, value in zip((driver.low, driver.high), driver.values, strict=True)),
            tr("yes") if driver.turns else tr("no"),
            f"{uncertainty.price_correlation[driver.what]:.0%}",
        ]
        for driver in uncertainty.sensitivity
    ]  # fmt: skip
    return [
        tr("what"),
        tr("at its low value"),
        tr("at its high value"),
        tr("changes the winner"),
        tr("share among all scenarios"),
    ], rows


def _drawn(what: str, value: float, system: str) -> str:
    """A drawn value for people: degrees, or per cent above or below the middle."""
    if what == "indoor temperature":
        return f"{value * 1.8:+.1f} °F" if system == "us" else f"{value:+.1f} K"
    return f"{value if what == 'winter' else value - 1.0:+.0%}"


def _middle(values: Sequence[float]) -> float:
    return float(values[len(values) // 2])


def breakeven_rows(case: Case, turns: Sequence[BreakEven], system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the turning prices, the one nearest to today's first and those that never turn last."""
    rows = []
    for break_even in sorted(turns, key=_distance):
        table, price = case.prices[break_even.price], break_even.price_per_j()
        today, unit = table.sold_price(break_even.price, break_even.today_per_j, system)
        turned = [_turned(case, each, system) for each in (break_even, break_even.over_years)]
        turn = break_even if price is not None or break_even.over_years is None else break_even.over_years
        other = turn.cheaper_above
        if turn.factor is None:
            other = tr("{cheaper}, never {rival}", cheaper=turn.cheaper_below, rival=other)
        rows.append(
            [break_even.price.replace("_", " "), _price(case.currency, today, unit), *turned, turn.cheaper_below, other]
        )
    years = tr("over {years} years with the first costs", years=case.economics.study_period)
    return [
        tr("price of"), tr("today"), tr("on bills alone"), years, tr("cheaper below it"), tr("cheaper above it"),
    ], rows  # fmt: skip


def _distance(break_even: BreakEven) -> tuple[float, float]:
    """How far a price must move, as the logarithm of its share of today's: on bills alone, then over the years."""
    factors = (break_even.factor, break_even.over_years.factor if break_even.over_years else None)
    on_bills, over_years = (abs(math.log(factor)) if factor else math.inf for factor in factors)
    return on_bills, over_years


def _turned(case: Case, break_even: BreakEven | None, system: str) -> str:
    """Where a price turns the answer, in its reader's unit."""
    if break_even is None:
        return tr("not known: a first cost is missing")
    price = break_even.price_per_j()
    if price is None:
        return tr("never")
    amount, unit = case.prices[break_even.price].sold_price(break_even.price, price, system)
    return _price(case.currency, amount, unit)


def _price(coin: str, amount: float, unit: str) -> str:
    """A price in three decimals, in cents from ten on, and without them from a hundred on.

    Examples
    --------
    >>> _price("$", 0.1184, "kWh"), _price("$", 24.5, "ton"), _price("$", 227.613, "cord")
    ('$0.118/kWh', '$24.50/ton', '$228/cord')
    """
    return f"{coin}{amount:,.{3 if amount < 10.0 else 2 if amount < 100.0 else 0}f}/{unit}"


def printed_breakeven(case: Case, turns: Sequence[BreakEven], system: str) -> str:
    """Print at which prices the answer turns."""
    headings, rows = breakeven_rows(case, turns, system)
    if not rows:
        return tr("No single price tells these options apart.")
    lines = [
        text_table(headings, rows),
        tr("First the price that is nearest to a turn, as a share of what it is today."),
    ]
    return "\n".join([*lines, *(textwrap.fill(sentence, 110) for sentence in moved_together(case, turns))])


def moved_together(case: Case, turns: Sequence[BreakEven]) -> list[str]:
    """What a turning price of a table of several prices stands for."""
    prices = {break_even.price: case.prices[break_even.price] for break_even in turns}
    several = [key.replace("_", " ") for key, price in prices.items() if price.period or price.block or price.charge]
    if not several:
        return []
    return [
        tr(
            "The price of {several} stands for its whole table: clock periods, blocks, tiers and riders rise and fall with it by the"
            " same share; what is paid ahead, a cap and what buys no energy stay.",
            several=" and ".join(several),
        )
    ]


def gap_rows(case: Case, gaps: Sequence[ControllerGap]) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of what a perfect controller would save."""
    coin = case.currency
    rows = [[gap.option, *(money(x, coin) for x in (gap.rule_cost, gap.best_cost, gap.saving))] for gap in gaps]
    return [tr("option"), tr("by its rule"), tr("at best"), tr("could be saved")], rows


def printed_foresight(case: Case, gaps: Sequence[ControllerGap]) -> str:
    """Print what a perfect controller would save."""
    note = tr(
        "Energy at each hour's price, without fixed charges, pumps and fans. The best year knows all"
        " weather and prices ahead and\nwastes nothing on cycling: no controller reaches it, and none"
        " does better."
    )
    return text_table(*gap_rows(case, gaps)) + "\n\n" + note


def printed_bill(case: Case, option: OptionResult, system: str) -> str:
    """Print every line of every bill of one option."""
    parts = [option.name, *(text_table(headings, rows) for headings, rows in bill_rows(case, option, system))]
    return "\n\n".join(
        [
            *parts,
            tr(
                "All bills: {currency}{cost_total} a year",
                currency=case.currency,
                cost_total=f"{option.cost_total:,.2f}",
            ),
        ]
    )


def lifecycle_rows(case: Case, outlays: Sequence[Outlay]) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of money over years."""
    coin, shown = case.currency, list(outlays[0].position)
    rows = [
        [
            tr("{option} ({unmet_hours} h unmet)", option=o.option, unmet_hours=f"{o.unmet_hours:,}")
            if o.unmet_hours
            else o.option,
            first_cost(option, coin),
            money(o.yearly[0], coin),
            *(money(o.position[y], coin) if o.priced else tr(NOT_KNOWN) for y in shown),
            money(o.present_cost, coin) if o.priced else tr(NOT_KNOWN),
        ]
        for o, option in zip(outlays, case.options, strict=True)
    ]
    return [
        tr("option"),
        tr("first cost"),
        tr("first year"),
        *(tr("paid by year {y}", y=y) for y in shown),
        tr("{years} years, in today's money", years=case.economics.study_period),
    ], rows


def printed_lifecycle(case: Case, outlays: Sequence[Outlay], steps: Sequence[AddOn]) -> str:
    """Print money over years."""
    settings = case.economics
    table = text_table(*lifecycle_rows(case, outlays))
    lines = step_lines(case, outlays, steps)
    note = tr(
        "Life-cycle costs over {study_period} years at {discount_rate_share_per_year} real, payments"
        " at the end of each year (forms of NIST Handbook 135).",
        study_period=settings.study_period,
        discount_rate_share_per_year=f"{settings.discount_rate_share_per_year:.1%}",
    )
    return "\n".join([table, "", *lines, "", note])


def step_lines(case: Case, outlays: Sequence[Outlay], steps: Sequence[AddOn]) -> list[str]:
    """What each addition earns, one line each; of an addition that leaves the house cold, and of what is held against and does, only that."""
    priced = {outlay.option: outlay.priced for outlay in outlays}
    cold = {outlay.option: outlay.unmet_hours for outlay in outlays if outlay.unmet_hours > case.house.max_unmet_hours}
    lines = [_step_line(step, priced, case) for step in steps if step.option not in cold]
    named = dict.fromkeys(name for step in steps for name in (step.against, step.option) if name in cold)
    return lines + [
        tr(
            "{name} leaves the house too cold for {cold} hours a year; keeping it as warm as the others"
            " do would cost more than this table shows.",
            name=called(name),
            cold=f"{cold[name]:,}",
        )
        for name in named
    ]


def _step_line(step: AddOn, priced: Mapping[str, bool], case: Case) -> str:
    coin, name, other = case.currency, called(step.option), called(step.against)
    side = "saves" if step.net_present_value >= 0 else "costs"
    more = "" if side == "saves" else " more"
    worth = tr(
        "over {study_period} years it {side} {net_present_value}{more} in today's money",
        study_period=case.economics.study_period,
        side=side,
        net_present_value=money(round_money(abs(step.net_present_value)), coin),
        more=more,
    )
    both = priced.get(step.against, True)
    if not (both and priced.get(step.option, True)):
        most = step.net_present_value + step.investment
        if most <= 0:
            return tr(
                "{name} costs {most} more than {other} over {study_period} years, before its first cost,"
                " which is not entered.",
                name=name,
                most=money(-most, coin),
                other=other,
                study_period=case.economics.study_period,
            )
        words = {"name": name, "other": other, "most": money(round_money(most), coin)}
        if both:
            return tr("{name} is worth it against {other} if it costs less than about {most} to buy.", **words)
        return tr("{name} is worth it if it costs at most about {most} more to buy than {other}.", **words)
    if step.investment <= 0:
        return tr("{name} costs no more at the start than {other}; {worth}.", name=name, other=other, worth=worth)
    back = (
        tr("does not pay that back within {years} years, interest counted", years=case.economics.study_period)
        if step.discounted_payback is None
        else tr(
            "pays that back in {payback}",
            payback=years_text(step.discounted_payback, case.economics.discount_rate_share_per_year),
        )
    )
    ratio = (
        tr(
            " (each {coin}1 of that brings back {coin}{ratio} in {years} years)",
            coin=coin,
            ratio=f"{step.back_of_each:.2f}",
            years=case.economics.study_period,
        )
        if step.back_of_each is not None and step.back_of_each > 0
        else ""
    )
    return tr(
        "{name} costs {investment} more at the start than {other} and {back}{ratio}; {worth}.",
        name=name,
        investment=money(step.investment, coin),
        other=other,
        back=back,
        ratio=ratio,
        worth=worth,
    )
