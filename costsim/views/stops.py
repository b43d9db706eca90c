"""For how many hours a heat pump stops: too cold outdoors for it, or water hotter than it makes."""

from __future__ import annotations

import math

from costsim.engine.lower import option_study
from costsim.results.result import Result
from costsim.sources import HeatSource
from costsim.study.case import Option
from costsim.units.quantity import show
from costsim.words import tr, trn


def below_stop(result: Result, option: Option, source: HeatSource, stop_c: float, system: str) -> str:
    """That a source gives nothing in the coldest hour, since it stops below `stop_c`; and its other stop, for hot water, where it has one."""
    stop, most = show(stop_c, "temperature", system, 0), source.hottest_outlet_c()
    cold, hot = (0, 0) if most is None else source.stop_hours(option_study(result.lowered, option).surroundings)
    if most is None or not hot:
        return tr("nothing in the weather year's coldest hour: it stops below {stop} outside", stop=stop)
    return tr(
        "nothing in the weather year's coldest hour: it stops below {stop} outside ({cold} of the year), and makes no water"
        " above {most} ({hot})",
        stop=stop,
        cold=trn("{count} hour", "{count} hours", cold),
        most=show(most, "temperature", system, 0),
        hot=trn("{count} more hour", "{count} more hours", hot),
    )


def stops_sentence(result: Result, system: str) -> str:
    """Below which temperature heat pumps are taken to stop, where nobody typed it and this weather gets there; and their stop for hot water."""
    assumed = [
        (stop[0], source.stop_hours(option_study(result.lowered, option).surroundings)[1])
        for option in result.lowered.case.options
        for source in option.sources
        if (stop := source.stops_below_c()) is not None and not stop[1]
    ]
    stop_c, hot = max(assumed, default=(-math.inf, 0))
    hours = int((result.lowered.weather.outdoor_c < stop_c).sum())
    if not hours:
        return ""
    words = {"stops": show(stop_c, "temperature", system, 0)}
    if hot:
        return tr(
            "Assumed: heat pumps stop below {stops}, {cold} here, and by their own limit for {hot} hotter"
            " water; their backup carries the house then. Cold-climate units run lower. Type your unit's own limits on the"
            " Sources page.",
            cold=trn("{count} hour", "{count} hours", hours),
            hot=trn("{count} more hour that needs", "{count} more hours that need", hot),
            **words,
        )
    return trn(
        "Assumed: heat pumps stop below {stops}, {count} hour here, and their backup carries the house then; cold-climate units"
        " run lower. Type your unit's own limit on the Sources page.",
        "Assumed: heat pumps stop below {stops}, {count} hours here, and their backup carries the house then; cold-climate units"
        " run lower. Type your unit's own limit on the Sources page.",
        hours,
        **words,
    )
