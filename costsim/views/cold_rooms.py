"""How cold it gets indoors under each option, over the weather year."""

from __future__ import annotations

from collections.abc import Mapping

from costsim.analysis.outages import coldest_room
from costsim.results.result import OptionResult, Result
from costsim.study.case import Case
from costsim.units.quantity import show, unit_for
from costsim.views.answer import called
from costsim.views.tables import missing_figures
from costsim.words import tr


def coldest_rooms(case: Case, result: Result) -> dict[str, float]:
    """Lowest room temperature of the year by option [°C], where it is furthest below its set-point."""
    return {option.name: coldest_room(result.lowered, option)[0] for option in case.options}


def coldest(result: Result, rooms: Mapping[str, float]) -> str:
    """The option that leaves most heat undelivered, else that with the coldest room."""
    return max(result.options, key=lambda option: (option.unmet.energy_j, -rooms[option.name])).name


def fall_sentence(option: OptionResult, room_c: float, system: str) -> str:
    """How cold the house gets with an option that is too small, how often and how long."""
    return tr(
        "{name} is too small: the house would fall to {room}, and be too cold for {hours} hours a year, the longest"
        " time {run} hours.",
        name=called(option.name),
        room=show(room_c, "temperature", system, 0),
        hours=f"{option.unmet.hours:,}",
        run=f"{option.unmet.longest_run_hours:,}",
    )


def room_rows(result: Result, rooms: Mapping[str, float], system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of every option: hours too cold, how cold it gets indoors where it is, how much is missing, and when."""
    rows = [
        [
            option.name,
            f"{option.unmet.hours:,}",
            show(rooms[option.name], "temperature", system, 0) if option.unmet.hours else "",
            *(
                [*missing_figures(result, option.unmet, system), f"{option.unmet.longest_run_hours:,}"]
                if option.unmet.hours
                else [""] * 4
            ),
        ]
        for option in result.options
    ]
    heat, power = unit_for("heat", system), unit_for("power", system)
    return [
        tr("option"),
        tr("hours too cold"),
        tr("coldest indoors"),
        tr("heat missing, {heat}", heat=heat),
        tr("largest gap {power}", power=power),
        tr("worst hour"),
        tr("longest run h"),
    ], rows
