"""What a boiler rated 90 % and more really gives with the plant's water, where the study does not say that it condenses."""

from __future__ import annotations

from collections.abc import Sequence

from costsim.engine.lower import LoweredStudy, option_study
from costsim.results.result import Hourly, Result, SourceSeason
from costsim.study.case import Option
from costsim.words import tr

ALIKE = 0.01
"""Difference below which figure typed and year are told as the same; a choice of ours."""


def condensing_warnings(
    own: LoweredStudy, option: Option, hourly: Hourly, sources: Sequence[SourceSeason]
) -> tuple[str, ...]:
    """Say what a year costs more by the water's temperature than by the efficiency typed, a line each.

    Parameters
    ----------
    own : LoweredStudy
        As the option sees it.
    option : Option
    hourly : Hourly
        The option's hours.
    sources : sequence of SourceSeason

    Notes
    -----
    No unit without condensing reaches 90 % by the higher heating value: vapor takes 8 to 10 % of it along, and a dry flue the
    rest (`physics.combustion`).
    """
    texts = []
    for source, season, heat_w in zip(option.sources, sources, hourly.heat_w, strict=True):
        if not source.condensing_is_untold or not heat_w.any():
            continue
        stated = source.plate_efficiency() or 1.0
        by_water = source.model_copy(update={"condensing": True}).offer(own.surroundings).heat_per_input
        real = float(heat_w.sum() / (heat_w / by_water).sum())
        if stated - real < ALIKE:
            continue
        texts.append(
            tr(
                "{option}, {source}: {stated} is billed as typed, but only a condensing unit reaches that, and with this plant's water"
                " it gives about {real} over the year: about {currency}{more} a year more. Type condensing = true to have the water"
                " decide, or condensing = false if the figure was measured",
                option=option.name,
                source=season.name,
                stated=f"{stated:.0%}",
                real=f"{real:.0%}",
                currency=own.case.currency,
                more=f"{season.cost * (stated / real - 1.0):,.0f}",
            )
        )
    return tuple(texts)


def untold_condensing(options: Sequence[Option]) -> list[str]:
    """Ask of each boiler of 90 % and more whether it condenses, where the study is silent; each name once."""
    labels = dict.fromkeys(
        source.label for option in options for source in option.sources if source.condensing_is_untold
    )
    return [
        tr(
            "{source}: 90 % and more is reached by condensing units only, and by those only with cool water. Does it condense? Type"
            " condensing = true or false; till then its efficiency is taken as typed, whatever the water",
            source=label,
        )
        for label in labels
    ]


def condensing_doubts(result: Result) -> list[str]:
    """The same of all options of a result, for a page."""
    common = result.lowered
    doubts: list[str] = []
    for option in common.case.options:
        if any(source.condensing_is_untold for source in option.sources):
            option_result = result.option(option.name)
            doubts += condensing_warnings(
                option_study(common, option), option, option_result.hourly, option_result.sources
            )
    return doubts
