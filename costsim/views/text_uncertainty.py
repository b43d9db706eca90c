"""What `uncertainty`, `breakeven`, `size` and `bill` print."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from costsim.analysis.breakeven import BreakEven
from costsim.analysis.collector_sweep import CollectorStep
from costsim.analysis.foresight import ControllerGap
from costsim.analysis.lifecycle import AddOn, Outlay
from costsim.analysis.sizing import Size
from costsim.analysis.uncertainty import UncertaintyResult
from costsim.results.result import OptionResult
from costsim.study.case import Case
from costsim.units.quantity import pretty_unit, to_display, unit_for
from costsim.views.answer import called, round_money
from costsim.views.headline import roughly
from costsim.views.tables import bill_rows, first_cost, money, text_table

NOT_KNOWN = "not known"


def printed_uncertainty(case: Case, found: UncertaintyResult) -> str:
    """Print how sure the answer is."""
    coin, (first, second) = case.currency, found.pair
    low, middle, high = found.gap_band
    head = (
        f"{called(first)} is cheaper than {called(second)} in {roughly(found.first_is_cheaper)} of {found.scenarios:,} scenarios (seed {found.seed}).\n"
        f"It saves {money(middle, coin)} a year at the median, {money(low, coin)} to {money(high, coin)} in 80% of scenarios."
    )
    if first == second:
        head = f"The study has one option, so nothing is compared; {found.scenarios:,} scenarios (seed {found.seed})."
    bands = [
        [o.name, *(money(value, coin) for value in o.band()), f"{_middle(sorted(o.unmet_hours)):,.0f}"]
        for o in found.options
    ]
    names = [o.name for o in found.options]
    return "\n\n".join(
        [
            head,
            text_table(["option", "10%", "median", "90%", "hours too cold, median"], bands),
            f"What changes the result most: what {first} saves with one thing alone at its low and high value (10% and 90%)\n"
            + text_table(*sensitivity_rows(case, found)),
            text_table(["at today's prices", *names], winter_rows(case, found)),
            "Spreads are one standard deviation each, from the study's [uncertainty] table or its defaults; costsim check shows them.",
        ]
    )


def winter_rows(case: Case, found: UncertaintyResult) -> list[list[str]]:
    """Cost and unmet hours of each option in each kind of winter."""
    return [
        [w.name, *(f"{money(c, case.currency)}, {h:,} h unmet" for c, h in zip(w.cost, w.unmet_hours, strict=True))]
        for w in found.winters
    ]


def sensitivity_rows(case: Case, found: UncertaintyResult, system: str = "si") -> tuple[list[str], list[list[str]]]:
    """Headings and rows of what would change the answer."""
    coin = case.currency
    rows = [
        [
            one.what,
            *(f"{money(gap, coin)} ({_drawn(one.what, value, system)})" for gap, value in zip((one.low, one.high), one.values, strict=True)),
            "yes" if one.turns else "no",
            f"{found.price_correlation[one.what]:.0%}",
        ]
        for one in found.sensitivity
    ]  # fmt: skip
    return ["what", "at its low value", "at its high value", "changes the winner", "share among all scenarios"], rows


def _drawn(what: str, value: float, system: str) -> str:
    """A drawn value for people: degrees, or per cent above or below the middle."""
    if what == "indoor temperature":
        return f"{value * 1.8:+.1f} °F" if system == "us" else f"{value:+.1f} K"
    return f"{value if what == 'winter' else value - 1.0:+.0%}"


def _middle(values: Sequence[float]) -> float:
    return float(values[len(values) // 2])


def breakeven_rows(case: Case, turns: Sequence[BreakEven], system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the turning prices."""
    rows = []
    for one in turns:
        table, price = case.prices[one.price], one.price_per_j()
        today, unit = table.sold_price(one.price, one.today_per_j, system)
        turned = "never"
        if price is not None:
            turned = f"{case.currency}{table.sold_price(one.price, price, system)[0]:.3f}/{unit}"
        other = one.second if one.cheaper_below == one.first else one.first
        if price is None:
            other = one.cheaper_below
        rows.append(
            [one.price.replace("_", " "), f"{case.currency}{today:.3f}/{unit}", turned, one.cheaper_below, other]
        )
    return ["price of", "today", "break-even", "cheaper below it", "cheaper above it"], rows


def printed_breakeven(case: Case, turns: Sequence[BreakEven], system: str) -> str:
    """Print at which prices the answer turns."""
    headings, rows = breakeven_rows(case, turns, system)
    return text_table(headings, rows) if rows else "No single price tells these options apart."


def gap_rows(case: Case, gaps: Sequence[ControllerGap]) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of what a perfect controller would save."""
    coin = case.currency
    rows = [[one.option, *(money(x, coin) for x in (one.rule_cost, one.best_cost, one.saving))] for one in gaps]
    return ["option", "by its rule", "at best", "could be saved"], rows


def printed_foresight(case: Case, gaps: Sequence[ControllerGap]) -> str:
    """Print what a perfect controller would save."""
    note = (
        "Energy at each hour's price, without fixed charges, pumps and fans. The best year knows all weather and prices ahead and\n"
        "wastes nothing on cycling: no controller reaches it, and none does better."
    )
    return text_table(*gap_rows(case, gaps)) + "\n\n" + note


def printed_size(case: Case, found: Size, system: str) -> str:
    """Print the size found, and for a tank both the cheapest that does and the smallest."""
    if found.value is None:
        why = f" ({found.ground})" if found.ground else ""
        return (
            f"{found.option}: no {found.what} brings the unmet load of {found.unmet_hours_today:,} hours down to what is borne;"
            f" {found.unmet_hours:,} hours are left{why}. Something else is the limit: a breaker, curtailment hours, fuel or the floor."
        )
    today = f"today {to_display(found.today, found.dimension, system):,.1f} {unit_for(found.dimension, system)}"
    spent, coin = money(found.cost, case.currency), case.currency
    if found.value == 0.0:
        return (
            f"{found.option}: nothing of this {found.what} is needed in this weather year ({today}); the rest suffices, and the year"
            f" costs {spent}, against {money(found.cost_today, coin)} today."
        )
    today += f": {found.unmet_hours_today:,} unmet hours, {money(found.cost_today, coin)} a year"
    left = f"{found.unmet_hours:,} unmet hours"
    if found.what == "breaker":
        return (
            f"{found.option}: the circuit takes a breaker of {found.shown(system)} ({found.ground}; {today}).\n"
            f"With it the year has {left} and costs {spent}. The wire, the unit's plate and the electrician decide (NEC 210.20, 240.6)."
        )
    if found.what == "tank":
        least = (
            "none is needed"
            if found.smallest == 0.0
            else f"the smallest is {to_display(found.smallest or 0.0, found.dimension, system):,.1f} {unit_for(found.dimension, system)}"
        )
        priced = (
            "the tank's own price in it."
            if found.tank_cost_known
            else f'without the tank\'s own price:\nadd cost_per_volume = "12 {coin}/gal" to the tank, with what yours costs.'
        )
        return (
            f"{found.option}: the tank that costs least over {found.years} years is {found.shown(system)} ({today});\n"
            f"it leaves {left} and costs {spent} a year. To keep the house warm {least}, at {money(found.smallest_cost, coin)} a year.\n"
            f"Life-cycle cost {money(found.present_cost, coin)}, against {money(found.present_cost_today, coin)} today, {priced}"
        )
    return (
        f"{found.option}: the smallest {found.what} is {found.shown(system)} ({today});\n"
        f"it leaves {left} and costs {spent} a year. Take the next size that is sold (costsim select),\n"
        "and more for winters colder than this weather year, which has no margin in it."
    )


def printed_collector(case: Case, steps: Sequence[CollectorStep], system: str) -> str:
    """Print a collector sweep with the worth of the next square metre."""
    return text_table(*collector_rows(case, steps, system))


def collector_rows(case: Case, steps: Sequence[CollectorStep], system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of a collector sweep; the last two tell what each bit of area since the row above gives."""
    area, heat = pretty_unit(unit_for("area", system)), unit_for("heat", system)
    each = to_display(1.0, "area", system)
    rows = []
    for step in steps:
        more = (
            "" if step.next_useful_j_m2 is None else f"{to_display(step.next_useful_j_m2, 'heat', system) / each:,.2f}"
        )
        saved = "" if step.next_saved_m2 is None else f"{case.currency}{step.next_saved_m2 / each:,.2f}"
        figures = [f"{to_display(joule, 'heat', system):,.1f}" for joule in (step.useful_j, step.dumped_j)]
        rows.append(
            [
                f"{to_display(step.area_m2, 'area', system):,.0f}",
                *figures,
                f"{step.share:.0%}",
                money(step.cost, case.currency),
                more,
                saved,
            ]
        )
    headings = [
        f"area {area}",
        f"useful {heat}",
        f"dumped {heat}",
        "of the heat",
        "cost a year",
        f"each {area} more: {heat}",
        f"each {area} more: saved a year",
    ]
    return headings, rows


def printed_bill(case: Case, option: OptionResult, system: str) -> str:
    """Print every line of every bill of one option."""
    parts = [option.name, *(text_table(headings, rows) for headings, rows in bill_rows(case, option, system))]
    return "\n\n".join([*parts, f"All bills: {case.currency}{option.cost_total:,.2f} a year"])


def lifecycle_rows(case: Case, outlays: Sequence[Outlay]) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of money over years."""
    coin, shown = case.currency, list(outlays[0].position)
    rows = [
        [
            f"{o.option} ({o.unmet_hours:,} h unmet)" if o.unmet_hours else o.option,
            first_cost(option, coin),
            money(o.yearly[0], coin),
            *(money(o.position[y], coin) if o.priced else NOT_KNOWN for y in shown),
            money(o.present_cost, coin) if o.priced else NOT_KNOWN,
        ]
        for o, option in zip(outlays, case.options, strict=True)
    ]
    return ["option", "first cost", "first year", *(f"paid by year {y}" for y in shown), "life-cycle cost"], rows


def printed_lifecycle(case: Case, outlays: Sequence[Outlay], steps: Sequence[AddOn]) -> str:
    """Print money over years."""
    settings = case.economics
    table = text_table(*lifecycle_rows(case, outlays))
    lines = step_lines(case, outlays, steps)
    note = (
        f"Life-cycle costs over {settings.study_period} years at {settings.discount_rate_share_per_year:.1%} real, payments at the end of each year"
        " (forms of NIST Handbook 135)."
    )
    return "\n".join([table, "", *lines, "", note])


def step_lines(case: Case, outlays: Sequence[Outlay], steps: Sequence[AddOn]) -> list[str]:
    """What each addition earns, one line each, and what it is held against that leaves the house cold."""
    priced = {one.option: one.priced for one in outlays}
    lines = [_step_line(step, priced, case) for step in steps]
    cold = {one.option: one.unmet_hours for one in outlays if one.unmet_hours > case.house.max_unmet_hours}
    against = dict.fromkeys(step.against for step in steps if step.against in cold)
    return lines + [
        f"{called(name)} leaves the house too cold for {cold[name]:,} hours a year; keeping it as warm as the others do would cost more than this table shows."
        for name in against
    ]


def _step_line(step: AddOn, priced: Mapping[str, bool], case: Case) -> str:
    coin, name, other = case.currency, called(step.option), called(step.against)
    side = "saves" if step.net_present_value >= 0 else "costs"
    more = "" if side == "saves" else " more"
    worth = f"over {case.economics.study_period} years it {side} {money(abs(step.net_present_value), coin)}{more} in today's money"
    both = priced.get(step.against, True)
    if not (both and priced.get(step.option, True)):
        most = step.net_present_value + step.investment
        if most <= 0:
            return f"{name} costs {money(-most, coin)} more than {other} over {case.economics.study_period} years, before its first cost, which is not given."
        more = "" if both else f" more than {other}"
        return f"{name} is worth it against {other} if it costs less than about {money(round_money(most), coin)}{more} to buy."
    if step.investment <= 0:
        return f"{name} costs no more at the start than {other}; {worth}."
    back = (
        "never pays that back"
        if step.discounted_payback is None
        else f"pays that back in {step.discounted_payback:.1f} years with interest"
    )
    ratio = f" (savings-to-investment ratio {step.ratio:.2f})" if step.ratio is not None else ""
    return f"{name} costs {money(step.investment, coin)} more at the start than {other} and {back}{ratio}; {worth}."
