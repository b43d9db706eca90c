"""The figures behind each card of the first look: each step with its numbers and where they come from."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass

import numpy as np

from costsim.analysis.lifecycle import outlay
from costsim.results.result import OptionResult, Result, SourceSeason
from costsim.results.source_assumptions import left_open
from costsim.sources.base import HeatSource
from costsim.study.case import Case, Option
from costsim.study.prices import Price, singular
from costsim.units.fields import in_words
from costsim.units.quantity import HOUR_S, KWH_J, show
from costsim.views.answer import about, called, named, pair, ranked, warmth_of
from costsim.views.bought_anew import anew_text, beyond_today, outlay_text
from costsim.views.headline import roughly
from costsim.views.label_efficiency import label_sentence
from costsim.views.payback import extra_of
from costsim.views.rounding import enough_digits, show_missing, years_text
from costsim.views.tables import money, pumps_cost, when, whole_costs
from costsim.views.verdict import Likelihood, able, shown
from costsim.words import tr

SAME_RATE = 0.005
"""Share within which the mean price paid is the price typed; beyond it hours, tiers or taxes are in it."""


@dataclass(frozen=True, slots=True)
class Step:
    """One line of arithmetic, and where its numbers come from."""

    formula: str
    source: str


@dataclass(frozen=True, slots=True)
class Sums:
    """What all steps need: the study, its result, the odds, the reader's units, and which prices are invented."""

    case: Case
    result: Result
    sure: Likelihood | None
    system: str
    examples: Collection[str] = ()
    persona: str = ""

    @property
    def best(self) -> OptionResult:
        """The cheapest to run that keeps the house warm, else what comes closest."""
        return (able(self.result) or ranked(self.result))[0]

    @property
    def lead(self) -> OptionResult:
        """The option that the verdict leads with, of which all cards but that of a year's bills tell."""
        return shown(self.result)

    def money(self, value: float) -> str:
        """An amount without cents."""
        return money(value, self.result.currency)


def steps_of(key: str, sums: Sums) -> list[Step]:
    """The arithmetic of a card.

    Parameters
    ----------
    key : str
        Of the card, such as ``"run"``.
    sums : Sums

    Returns
    -------
    list of Step
        Empty for a card that shows a computation of another page.
    """
    return STEPS[key](sums) if key in STEPS else []


def yearly(sums: Sums, option: OptionResult) -> list[Step]:
    """A year's cost of an option: its parts, which add up, and each part by amount and price."""
    parts = [(name, cost, whole) for name, cost, whole in whole_costs(option) if whole]
    fixed = [key for key in option.bills if any(name == _fixed_name(key) for name, *_ in parts)]
    pumps = pumps_cost(option) if any(name == tr("pumps and fans") for name, *_ in parts) else 0.0
    texts = " + ".join(f"{name} {sums.money(whole)}" for name, _, whole in parts)
    total = sums.money(option.cost_total)
    if (shown := about(sums.result, option)) != round(option.cost_total):
        head = tr(
            "{name}: {total} a year, about {about}", name=called(option.name), total=total, about=sums.money(shown)
        )
    else:
        head = tr("{name}: {total} a year", name=called(option.name), total=total)
    steps = [
        Step(f"{head} = {texts}" if texts else head, tr("the year's bills, hour by hour; every line is on Prices"))
    ]
    amounts = {name: sums.money(whole) for name, _, whole in parts}
    own = next((typed_option.sources for typed_option in sums.case.options if typed_option.name == option.name), ())
    for source in option.sources:
        # by its own option: another one may have a source of the same name
        typed = next((fitted for fitted in own if fitted.label == source.name), None)
        steps += _source_steps(sums, source, amounts.get(source.name, sums.money(source.cost)), typed)
    if pumps:
        steps.append(_pump_step(sums, option, pumps, amounts[tr("pumps and fans")]))
    for key in fixed:
        name = _fixed_name(key)
        steps.append(Step(f"{name}: {amounts[name]}", _price_source(sums, key)))
    return steps


def _fixed_name(key: str) -> str:
    return tr("{name}, fixed charges", name=in_words(key))


def _source_steps(sums: Sums, source: SourceSeason, shown_cost: str, typed: HeatSource | None = None) -> list[Step]:
    """What a source makes, what is bought for that, and what it costs."""
    heat = show(source.heat_j, "heat", sums.system)
    price = sums.case.prices.get(source.price_key)
    if source.heat_j <= 0.0:
        return [Step(tr("{name}: did not run", name=source.name), tr("every hour of the year"))]
    if price is None or source.input_j <= 0.0:
        return [
            Step(
                tr("{name}: {heat} of heat, nothing bought", name=source.name, heat=heat), tr("every hour of the year")
            )
        ]
    amount, unit = price.sold(source.price_key, source.input_j, sums.system)
    rate, per = _rate(sums, price, source, amount, unit)
    bought = f"{enough_digits(amount, per, source.cost)} {unit}"
    share = source.heat_j / source.input_j
    made = tr(
        "{bought} for {heat} of heat: {share} units of heat for each unit bought",
        bought=bought,
        heat=heat,
        share=f"{share:.2f}",
    )
    cost = f"{bought} × {rate} = {shown_cost}"
    efficiency = tr("efficiency as typed on Sources, mean of the year's hours")
    efficiency = (label_sentence(typed, source) if typed is not None else "") or efficiency
    assumed = left_open(typed) if typed is not None and typed.feels_cold else ()
    rests = next((row for row in assumed if "heat" in row[0] or "efficiency" in row[0]), None)
    return [
        Step(f"{source.name}: {cost}", _price_source(sums, source.price_key)),
        Step(made, f"{rests[1]}; {rests[2]}" if rests else efficiency),
    ]


def _rate(sums: Sums, price: Price, source: SourceSeason, amount: float, unit: str) -> tuple[str, float]:
    """The price of a unit, the one typed or the mean of what was paid, as text and as the figure that the text shows."""
    coin, unit_name = sums.result.currency, singular(unit)
    paid = source.cost / amount if amount else 0.0
    typed = price.sold_price(source.price_key, price.base_per_j(source.price_key), sums.system)[0]
    if abs(paid - typed) <= SAME_RATE * abs(typed):
        return f"{coin}{_digits(typed)}/{unit_name}", float(_digits(typed).replace(",", ""))
    text = tr("{rate} on average", rate=f"{coin}{_digits(paid)}/{unit_name}")
    return text, float(_digits(paid).replace(",", ""))


def _digits(value: float) -> str:
    if abs(value) >= 1:
        return f"{value:,.0f}" if abs(value) >= 100 else f"{value:.2f}"
    return f"{value:.4f}".rstrip("0").rstrip(".")


def _pump_step(sums: Sums, option: OptionResult, cost: float, amount: str) -> Step:
    kwh = option.running_j / KWH_J
    rate = f"{sums.result.currency}{_digits(cost / kwh)}/kWh" if kwh else ""
    text = tr("Pumps and fans: {kwh} kWh × {rate} = {cost}", kwh=f"{kwh:,.0f}", rate=rate, cost=amount)
    return Step(
        text,
        tr(
            "a heat pump's own circulator (60 W while it runs, unless typed), boilers' fans and pumps where they are typed"
            " on Sources, and the floor's pumps where Layout has a floor; {price}",
            price=_price_source(sums, "electricity"),
        ),
    )


def _price_source(sums: Sums, key: str) -> str:
    """Where a price comes from."""
    if key in sums.examples:
        return tr("an example price, not yours: put yours on Prices")
    day = sums.case.price_date
    return tr("as you entered it, {day}", day=day) if day else tr("as you entered it")


def heat_step(sums: Sums) -> Step:
    """What the house needs over the year."""
    route, system = sums.result.route, sums.system
    hours = sums.result.degree_hours_k_h * (1.8 if system == "us" else 1.0)
    text = tr(
        "Heat needed: {loss} × {hours} = {heat}",
        loss=show(sums.result.loss_w_k, "heat_loss_rate", system),
        hours=f"{hours:,.0f} {'°F·h' if system == 'us' else 'K·h'}",
        heat=show(sums.result.loss_w_k * sums.result.degree_hours_k_h * HOUR_S, "heat", system),
    )
    return Step(text, tr("{route}; {weather}", route=route.words, weather=str(sums.result.weather_facts["title"])))


def _run(sums: Sums) -> list[Step]:
    steps, both = yearly(sums, sums.best), pair(sums.result)
    if both is not None:
        first, second = both
        gap = second.cost_total - first.cost_total
        text = f"{sums.money(second.cost_total)} − {sums.money(first.cost_total)} = {sums.money(gap)}"
        name = named(sums.result, second.name)
        steps.append(Step(tr("Less than {name}: {sum}", name=name, sum=text), tr("the same sum for that option:")))
        steps += yearly(sums, second)
    return [*steps, heat_step(sums)]


def _hour_step(sums: Sums, option: OptionResult, hour: int) -> Step:
    hourly = option.hourly
    needed, given = (float(power_w[hour]) for power_w in (hourly.demand_w, hourly.delivered_w))
    outdoor = float(sums.result.lowered.weather.outdoor_c[hour])
    text = tr(
        "{time}, {outdoor} outside: needed {needed}, delivered {given}",
        time=when(sums.result, hour),
        outdoor=show(outdoor, "temperature", sums.system, 0),
        needed=show(needed, "power", sums.system),
        given=show(given, "power", sums.system),
    )
    if option.unmet.hours:
        text += f", {tr('short {gap}', gap=show_missing(option.unmet.worst_w, 'power', sums.system))}"
    return Step(
        text,
        tr(
            "heat balance of that hour, with what sun and people give taken off; what each source can give is on Cold days"
        ),
    )


def _cold(sums: Sums, option: OptionResult) -> list[Step]:
    hours = len(option.hourly.demand_w)
    text = tr(
        "{name}: in {count} of {all} hours less heat is delivered than needed",
        name=called(option.name),
        count=f"{option.unmet.hours:,}",
        all=f"{hours:,}",
    )
    hour = option.unmet.worst_hour
    at = int(np.argmax(option.hourly.demand_w)) if hour is None else hour
    source = tr("{weather}; some winters are colder", weather=str(sums.result.weather_facts["title"]))
    return [Step(text, source), _hour_step(sums, option, at), heat_step(sums)]


def _warmth(sums: Sums) -> list[Step]:
    return _cold(sums, warmth_of(sums.result, sums.persona))


def _gap(sums: Sums) -> list[Step]:
    return _cold(sums, sums.result.options[0])


def _sure(sums: Sums) -> list[Step]:
    sure, count = sums.sure, sums.case.uncertainty.scenarios
    if sure is None:
        return []
    share = tr(
        "{first} costs less than {second} on one year's bills in {some} of {count} scenarios = {share}, {about}",
        first=called(sure.first),
        second=called(sure.second),
        some=f"{sure.share * count:,.0f}",
        count=f"{count:,}",
        share=f"{sure.share:.1%}",
        about=roughly(sure.share),
    )
    low, high = map(sums.money, sure.saving)
    span = tr("One in ten scenarios saves less than {low}, one in ten more than {high}", low=low, high=high)
    if sure.saving[0] < 0:
        low = sums.money(-sure.saving[0])
        span = tr("One in ten scenarios costs over {low} more, one in ten saves more than {high}", low=low, high=high)
    if sure.saving[1] < 0:
        high = sums.money(-sure.saving[1])
        span = tr("One in ten scenarios costs over {low} more, one in ten less than {high} more", low=low, high=high)
    spreads = tr("winters, heat loss, prices and efficiencies picked at random within the ranges on Certainty")
    steps = [Step(share, spreads), Step(span, tr("the same scenarios, sorted by what is saved"))]
    if sure.rivals > 2:
        least = tr(
            "{first} has the lowest bills of all {rivals} options that keep the house warm in {some} of {count} scenarios = {share}, {about}",
            first=called(sure.first), rivals=sure.rivals, some=f"{sure.of_all * count:,.0f}",
            count=f"{count:,}", share=f"{sure.of_all:.1%}", about=roughly(sure.of_all),
        )  # fmt: skip
        steps.append(Step(least, spreads))
    if sure.least is not None:
        name, chance = sure.least
        odds = tr(
            "{name} has the lowest cost over {years} years of all {rivals} options that keep the house warm in {share} of the scenarios, {about}",
            name=called(name), years=sure.years, rivals=sure.rivals, share=f"{chance:.1%}", about=roughly(chance),
        )  # fmt: skip
        steps.append(Step(odds, _paths()))
    if sure.over_years is None:
        return steps
    later = tr(
        "{first} costs less than {second} over {years} years in {some} of {count} scenarios = {share}, {about}",
        first=called(sure.first), second=called(sure.second), years=sure.years, some=f"{sure.over_years * count:,.0f}",
        count=f"{count:,}", share=f"{sure.over_years:.1%}", about=roughly(sure.over_years),
    )  # fmt: skip
    return [*steps, Step(later, _paths())]


def _paths() -> str:
    return tr("the same scenarios, each with a path of every price over the years; first costs as typed on Money")


def _years(sums: Sums) -> list[Step]:
    names = [option.name for option in able(sums.result) or sums.result.options]
    outlays = [outlay(sums.case, option, sums.result.option(option.name)) for option in sums.case.options if option.name in names]  # fmt: skip
    rate = sums.case.economics.discount_rate_share_per_year
    source = tr(
        "a payment of year t counts 1 / (1 + {rate})^t: NIST Handbook 135; rate and price rises are on Money",
        rate=f"{rate:.1%}",
    )
    anew = {option.name: anew_text(sums.case, option) for option in sums.case.options}
    outlays.sort(key=lambda costs: costs.present_cost)
    steps = [Step(outlay_text(costs, sums.case, anew[costs.option]), source) for costs in outlays]
    paid = tr("payments of each year, those for what is bought anew in their years")
    steps += [Step(text, paid) for text in beyond_today(sums.case, outlays)]
    extra = extra_of(sums.result)
    if extra is None or extra.investment <= 0 or extra.payback is None:
        return steps
    text = tr(
        "{first} costs {cost} more at the start than {second}; its savings, in today's money, add up to that after {years}",
        first=called(extra.first), cost=sums.money(extra.investment), second=called(extra.second),
        years=years_text(extra.payback, extra.rate),
    )  # fmt: skip
    how = tr("discounted payback: each year's savings / (1 + rate)^t, until they reach it; the rate is on Money")
    return [*steps, Step(text, how)]


def _first(sums: Sums) -> list[Step]:
    return [_first_step(sums, option) for option in sums.case.options]


def _first_step(sums: Sums, option: Option) -> Step:
    if not option.first_cost_given:
        return Step(tr("{name}: not given", name=called(option.name)), tr("enter it on Money"))
    first, rebate = option.first_cost_money, option.rebate_money
    text = f"{called(option.name)}: {sums.money(first)}"
    if rebate:
        text += tr(" − rebate {rebate} = {left}", rebate=sums.money(rebate), left=sums.money(first - rebate))
    if option.today and not first:
        return Step(text, tr("it is there already, so nothing is counted for it"))
    return Step(text, tr("typed on Money"))


def _carbon(sums: Sums) -> list[Step]:
    option, steps, counted = sums.lead, [], 0.0
    for source in option.sources:
        factor = sums.result.lowered.surroundings.co2_kg_per_j.get(source.price_key, math.nan)
        emissions, price = source.input_j * factor, sums.case.prices.get(source.price_key)
        if source.input_j <= 0.0 or math.isnan(factor):
            continue
        own = tr(", wood's own, not counted") if source.biogenic_co2_kg else ""
        counted += 0.0 if source.biogenic_co2_kg else emissions
        amount, unit = source.input_j / KWH_J, "kWh"
        if price is not None:
            amount, unit = price.sold(source.price_key, source.input_j, sums.system)
        each = emissions / amount
        rate = f"{each:.3f} kg/{singular(unit)}" if each < 1.0 else f"{each:.4g} kg/{singular(unit)}"
        text = f"{source.name}: {amount:,.0f} {unit} × {rate} = {emissions:,.0f} kg{own}"
        steps.append(Step(text, _carbon_source(sums, source)))
    if math.isnan(option.co2_kg):
        text = tr("{name}: not known, since no CO2 of this place's electricity is given", name=called(option.name))
        return [Step(text, tr("enter it with the price of electricity on Prices")), *steps]
    if (rest := round(option.co2_kg - counted)) > 0:
        text = tr("Pumps and fans: {rest} kg", rest=f"{rest:,}")
        steps.append(Step(text, tr("their electricity, by the factor of electricity")))
    total = tr(
        "{name}: {total} kg = {tons} metric tons a year",
        name=called(option.name),
        total=f"{option.co2_kg:,.0f}",
        tons=f"{option.co2_kg / 1e3:,.1f}",
    )
    return [Step(total, tr("what is burnt and bought over the year")), *steps]


def _carbon_source(sums: Sums, source: SourceSeason) -> str:
    price = sums.case.prices.get(source.price_key)
    if price is not None and price.co2_kg_per_j is not None:
        return tr("typed on Prices")
    wanted = f"{source.fuel.replace('_', ' ')}: CO2"
    return next((row.source for row in sums.result.assumptions if row.what == wanted), tr("typed on Prices"))


STEPS: Mapping[str, Callable[[Sums], list[Step]]] = {
    "run": _run,
    "warmth": _warmth,
    "gap": _gap,
    "sure": _sure,
    "years": _years,
    "first": _first,
    "carbon": _carbon,
    "home": lambda sums: yearly(sums, sums.best),
}
"""By card; the others show what is computed and explained on another page."""
