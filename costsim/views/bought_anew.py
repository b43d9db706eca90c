"""What is bought anew within the study period: when, for how much, and which options share it with today's heating."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from costsim.analysis.cash_flow import payments_of
from costsim.analysis.lifecycle import Outlay, add_on
from costsim.study.case import Case, Option
from costsim.views.answer import called
from costsim.views.rounding import whole_parts, years_text
from costsim.views.tables import money
from costsim.views.todays_heater import keeps_todays
from costsim.words import tr


def payments_anew(case: Case, option: Option) -> dict[int, float]:
    """What an option pays again within the study period, by year, in money of today."""
    years = case.economics.study_period
    paid = dict(enumerate(payments_of(case, option, 0.0).invested, 1))
    if 1 <= option.replacement_year <= years:
        paid[option.replacement_year] = paid.get(option.replacement_year, 0.0) + option.replacement_money
    return {year: cost for year, cost in sorted(paid.items()) if cost > 0}


def anew_text(case: Case, option: Option) -> str:
    """Amounts and years of what is bought anew, such as “$7,500 in year 1”; empty where nothing is."""
    return ", ".join(
        tr("{cost} in year {year}", cost=money(cost, case.currency), year=year)
        for year, cost in payments_anew(case, option).items()
    )


def replaced_text(case: Case, option: Option) -> str:
    """What an option pays again within the study period, in which years; empty where nothing is replaced."""
    anew = anew_text(case, option)
    return tr("{name} is replaced: {told}.", name=called(option.name), told=anew) if anew else ""


def renewal_sentence(case: Case) -> str:
    """That today's heating is bought anew as it is, who pays that too, and who keeps the heater without; empty where it is not."""
    now = case.today
    if now is None or not now.replacement_money or not 1 <= now.replacement_year <= case.economics.study_period:
        return ""
    words = {
        "name": called(now.name),
        "cost": money(now.replacement_money, case.currency),
        "year": now.replacement_year,
    }
    parts = [
        tr(
            "Counts a new heater in place of {name} in year {year} for {cost}, with the efficiency of today's in every year:"
            " a better one costs less to run, and is compared when you choose it in question 4.",
            **words,
        )
    ]
    raw = case.typed.get("option", [])
    before: Mapping[str, Any] = next((typed for typed in raw if typed.get("today")), {})
    keep = [
        (option, typed)
        for option, typed in zip(case.options, raw, strict=False)
        if not typed.get("today") and keeps_todays(typed, before)
    ]
    same = (now.replacement_money, now.replacement_year)
    alike = [called(option.name) for option, _ in keep if (option.replacement_money, option.replacement_year) == same]
    without = [called(option.name) for option, typed in keep if "replacement" not in typed]
    if alike:
        parts.append(tr("{names}: keeps that heater, and pays the same for the new one.", names=", ".join(alike)))
    if without:
        parts.append(
            tr(
                "{names}: keeps that heater, but no new one is counted for it; enter it under Money, or 0 where it needs none.",
                names=", ".join(without),
            )
        )
    return " ".join(parts)


def outlay_text(outlay: Outlay, case: Case, anew: str = "") -> str:
    """First cost and later payments, in money of today; `anew` says when and for how much what is replaced is bought again."""
    years, coin = case.economics.study_period, case.currency
    if not outlay.priced:
        return tr(
            "{name}: first cost not given; {later} for the payments of {years} years, in today's money",
            name=called(outlay.option), later=money(outlay.present_cost, coin), years=years,
        )  # fmt: skip
    words = {"name": called(outlay.option), "years": years, "total": money(outlay.present_cost, coin)}
    if not anew:
        first, later = whole_parts([outlay.first, outlay.present_cost - outlay.first])
        text = tr("{name}: first cost {first} + payments of {years} years {later} = {total}",
                  first=money(first, coin), later=money(later, coin), **words)  # fmt: skip
        return text
    first, again, later = whole_parts(
        [outlay.first, outlay.replaced, outlay.present_cost - outlay.first - outlay.replaced]
    )
    return tr(
        "{name}: first cost {first} + bought anew {again} ({anew}) + other payments of {years} years {later} = {total}",
        first=money(first, coin), again=money(again, coin), anew=anew, later=money(later, coin), **words,
    )  # fmt: skip


def beyond_today(case: Case, outlays: Sequence[Outlay]) -> list[str]:
    """How long each option that costs more at the start than today's heating takes to come back, without interest and with it."""
    now, costs = case.today, []
    base = next((outlay for outlay in outlays if now is not None and outlay.option == now.name), None)
    for outlay in outlays:
        if base is None or outlay is base or not outlay.priced or outlay.first <= base.first:
            continue
        step = add_on(case, base, outlay)
        if step.simple_payback is None or step.discounted_payback is None:
            continue
        words = {
            "name": called(outlay.option),
            "today": called(base.option),
            "cost": money(step.investment, case.currency),
            "saved": money(base.running - outlay.running, case.currency),
            "plain": years_text(step.simple_payback),
            "years": years_text(step.discounted_payback, case.economics.discount_rate_share_per_year),
        }
        costs.append(
            tr(
                "{name} against {today}: {cost} more at the start, {saved} less a year besides what is bought anew;"
                " comes back after {plain} without interest; {years}",
                **words,
            )
        )
    return costs
