"""What an option of several sources would cost with each of them left out, as far as the rest keeps the house warm."""

from __future__ import annotations

from dataclasses import dataclass

from costsim.analysis.sizing import named_option
from costsim.results.result import Result
from costsim.simulation import simulate_option


@dataclass(frozen=True, slots=True)
class LessOne:
    """An option with one source left out, at the sizes, tank and prices of the study.

    `rest` are the labels of the other sources, in their order; `cost` is a year's bills without the source, `cost_with` with it.
    `hours` too cold without it, `hours_with` with it; `use_hours` in which hot water, or another use that comes before the house,
    lacks heat without it and has it with it. `enough` says whether the rest serves as well as the study asks.
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
    The rest is enough with no more hours too cold than `house.max_unmet_hours`, or than with the source. First costs are left out: a
    source that is not bought saves its own too.
    """
    found, case = [], result.lowered.case
    for one in result.options:
        option = named_option(case, one.name)
        if len(option.sources) < 2:
            continue
        borne = max(one.max_unmet_hours, one.lacking_hours)
        for at, source in enumerate(option.sources):
            rest = option.sources[:at] + option.sources[at + 1 :]
            year = simulate_option(result.lowered, option.model_copy(update={"source": rest}))
            lacking = max((use.unmet_hours for use in year.uses if use.priority == "before_house"), default=0)
            use_hours = lacking if lacking > borne else 0
            enough = year.unmet.hours <= max(one.max_unmet_hours, one.unmet.hours) and not use_hours
            labels = tuple(other.label for other in rest)
            found.append(
                LessOne(
                    one.name, source.label, labels, year.cost_total, one.cost_total, year.unmet.hours, one.unmet.hours,
                    use_hours, enough,
                )
            )  # fmt: skip
    return tuple(found)
