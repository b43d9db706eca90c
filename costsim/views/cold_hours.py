"""Cold hours beside a verdict: a cheaper option that they leave out, hours that are borne, and the rule they are held to."""

from __future__ import annotations

from costsim.analysis.left_out import LeftOut, cheaper_but_cold
from costsim.analysis.outages import coldest_room
from costsim.analysis.sizing import named_option
from costsim.results.result import OptionResult, Result
from costsim.units.quantity import show
from costsim.views.answer import called
from costsim.views.rounding import round_money
from costsim.views.tables import money
from costsim.views.templates import as_sold
from costsim.words import tr, trn

LITTLE_K = 5.0
"""A room that falls further below its set-point is more than a little too cold; a choice of ours."""


def left_out_sentence(found: LeftOut | None, coin: str, system: str) -> str:
    """Say which cheaper option is left out, why, and the size that would close it; empty where none is."""
    if found is None:
        return ""
    words = {"name": called(found.option), "less": money(round_money(found.less), coin), "best": called(found.best)}
    words["hours"] = f"{found.hours:,}"
    if found.today_w is None:
        text = tr("{name} would cost {less} a year less than {best}, but is too cold for {hours} hours.", **words)
        return f"{text}{_stops(found, system)}"
    words |= {"size": _size(found.today_w, found, system), "source": found.source}
    if found.enough_w is None:
        text = tr(
            "{name} would cost {less} a year less than {best}, but with {size} of {source} it is too cold for {hours} hours,"
            " and more of it would not close that; see Cold days.",
            **words,
        )
        return f"{text}{_stops(found, system)}"
    words["enough"] = as_sold(found.enough_w, system, electric=found.electric)
    if found.cost < found.best_cost:
        text = tr(
            "{name} would cost {less} a year less than {best}, but with {size} of {source} it is too cold for {hours} hours;"
            " {enough} would do.",
            **words,
        )
    else:
        text = tr(
            "{name} would cost {less} a year less than {best}, but with {size} of {source} it is too cold for {hours} hours;"
            " with {enough} it keeps the house warm and costs {more} a year more than {best}.",
            **words,
            more=money(round_money(found.cost - found.best_cost), coin),
        )
    return f"{text}{_stops(found, system)}"


def _size(watts: float, found: LeftOut, system: str) -> str:
    return show(watts, "electric_power" if found.electric else "power", system)


def _stops(found: LeftOut, system: str) -> str:
    """At what outdoor temperature a heat pump is taken to stop where nobody typed that; empty where it plays no part."""
    if found.stops_c is None:
        return ""
    stop = show(found.stops_c, "temperature", system, 0)
    return " " + tr(
        "Its heat pump is taken to give nothing below {stop} outside; if its sheet says otherwise, type that on Sources.",
        stop=stop,
    )


def but_cold(result: Result) -> str:
    """The same in few words, for a headline: which cheaper option is too cold; empty where none is."""
    found = cheaper_but_cold(result)
    if found is None:
        return ""
    cold, best = found
    return trn(
        "{name} would cost {less} less, but is too cold for {count} hour.",
        "{name} would cost {less} less, but is too cold for {count} hours.",
        cold.unmet.hours,
        name=called(cold.name),
        less=money(round_money(best.cost_total - cold.cost_total), result.currency),
    )


def borne_words(result: Result, option: OptionResult, system: str) -> str:
    """Hours too cold that are borne, with how cold it gets indoors; empty where there are none, or too many."""
    hours = option.unmet.hours
    if not hours or not option.keeps_warm:
        return ""
    room_c, below_k = coldest_room(result.lowered, named_option(result.lowered.case, option.name))
    if below_k < 0.5:
        return trn("{count} hour a little too cold", "{count} hours a little too cold", hours)
    room = show(room_c, "temperature", system, 0)
    if below_k > LITTLE_K:
        return trn(
            "{count} hour too cold (down to {room})", "{count} hours too cold (down to {room})", hours, room=room
        )
    return trn(
        "{count} hour a little too cold (down to {room})",
        "{count} hours a little too cold (down to {room})",
        hours,
        room=room,
    )


def gains_sentence(result: Result, system: str) -> str:
    """Why the coldest hour asks for less than the design load where it is colder than that; empty elsewhere."""
    common = result.lowered
    cold, most_w = int(common.weather.outdoor_c.argmin()), float(common.demand_w.max())
    coldest_c = float(common.weather.outdoor_c[cold])
    if coldest_c > common.design_outdoor_c or most_w > 0.995 * result.route.load_w:
        return ""
    return tr(
        "The year's coldest hour, {coldest}, asks for no more than {most}: people, appliances and the sun give the rest, which a design"
        " load leaves out.",
        coldest=show(coldest_c, "temperature", system, 0),
        most=show(most_w, "power", system),
    )


def rule_sentence(result: Result) -> str:
    """How many hours too cold an option may have and still count as warm; empty where no option has any."""
    if not any(option.unmet.hours for option in result.options):
        return ""
    return trn(
        "Counts as keeping the house warm: at most {count} hour a year too cold (can be changed).",
        "Counts as keeping the house warm: at most {count} hours a year too cold (can be changed).",
        result.lowered.case.house.max_unmet_hours,
    )
