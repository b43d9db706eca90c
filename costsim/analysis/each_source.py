"""What an option of several sources would cost with each of them left out, as far as the rest keeps the house warm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from costsim.analysis.lifecycle import add_on, outlay, outlay_of
from costsim.analysis.sizing import named_option
from costsim.results.result import OptionResult, Result
from costsim.simulation import simulate_option
from costsim.sources.base import HeatSource
from costsim.study.case import Case, Option


@dataclass(frozen=True, slots=True)
class LessOne:
    """An option with one source left out, at the sizes, tank and prices of the study.

    `rest` are the labels of the other sources, in their order; `cost` is a year's bills without the source, `cost_with` with it.
    `hours` too cold without it, `hours_with` with it; `use_hours` in which hot water, or another use that comes before the house,
    lacks heat without it and has it with it. `enough` says whether the rest serves as well as the study asks. `worth` is what the
    source saves over `years`, in money of today: the most that it may cost to buy and still pay. Where the study has the rest as
    an option too, `against` is that option's name, `investment` what the source's option costs more to buy and `payback` the years
    of savings, in money of today, that pay for it (None where they never do) with interest at `rate`.
    """

    option: str
    source: str
    rest: tuple[str, ...]
    cost: float
    cost_with: float
    hours: int
    hours_with: int
    use_hours: int
    enough: bool
    worth: float = 0.0
    years: int = 0
    against: str = ""
    investment: float = 0.0
    payback: float | None = None
    rate: float = 0.0


def each_left_out(result: Result) -> tuple[LessOne, ...]:
    """Leave each source of every option of two or more out, one at a time.

    Parameters
    ----------
    result : Result
        What `simulate` gave; one option-year is run for each source.

    Returns
    -------
    tuple of LessOne
        In the order of options and sources; none for an option of one source.

    Notes
    -----
    The rest is enough with no more hours too cold than `house.max_unmet_hours`, or than with the source. A study has the first cost of
    an option, not of its sources: it is known of a source only where the rest is an option too; elsewhere `worth` is its break-even,
    by the rule of `lifecycle.outlay`.
    """
    without, case = [], result.lowered.case
    for option_result in result.options:
        option = named_option(case, option_result.name)
        if len(option.sources) < 2:
            continue
        borne = max(option_result.max_unmet_hours, option_result.lacking_hours)
        for at, source in enumerate(option.sources):
            rest = option.sources[:at] + option.sources[at + 1 :]
            year = simulate_option(result.lowered, option.model_copy(update={"source": rest}))
            lacking = max((use.unmet_hours for use in year.uses if use.priority == "before_house"), default=0)
            use_hours = lacking if lacking > borne else 0
            enough = year.unmet.hours <= max(option_result.max_unmet_hours, option_result.unmet.hours) and not use_hours
            labels = tuple(other.label for other in rest)
            worth, against, investment, payback = _over_years(case, option, rest, (year, option_result), result)
            without.append(
                LessOne(
                    option_result.name, source.label, labels, year.cost_total, option_result.cost_total, year.unmet.hours, option_result.unmet.hours,
                    use_hours, enough, worth, case.economics.study_period, against, investment, payback,
                    case.economics.discount_rate_share_per_year,
                )
            )  # fmt: skip
    return tuple(without)


def _over_years(
    case: Case, option: Option, rest: Sequence[HeatSource], years: tuple[OptionResult, OptionResult], result: Result
) -> tuple[float, str, float, float | None]:
    """What a source is worth over the study period, and what it costs to buy where the rest is an option too."""
    without, full = (outlay_of(case, option, year.bills, year.co2_kg, year.unmet.hours) for year in years)
    worth = without.present_cost - full.present_cost
    for other in case.options:
        same = other.tank_of(case) == option.tank_of(case) and (other.floor, other.rule) == (option.floor, option.rule)
        if same and [*map(_plain, other.sources)] == [*map(_plain, rest)]:
            base = outlay(case, other, result.option(other.name))
            if base.priced and full.priced:
                step = add_on(case, base, full)
                return worth, other.name, step.investment, step.discounted_payback
    return worth, "", 0.0, None


def _plain(source: HeatSource) -> dict[str, Any]:
    """A source without its name."""
    return source.model_dump(exclude={"name"})
