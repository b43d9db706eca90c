"""Cold hours beside a verdict: a cheaper option that they leave out, hours that are borne, and the rule they are held to."""

from __future__ import annotations

from costsim.analysis.left_out import CheaperCold, Enough, LeftOut, cheaper_cold
from costsim.analysis.outages import coldest_room
from costsim.analysis.sizing import named_option
from costsim.physics.emitters import EMITTERS
from costsim.results.result import OptionResult, Result
from costsim.units.quantity import show
from costsim.views.answer import called
from costsim.views.rounding import apart, round_money, show_missing
from costsim.views.sold import as_sold
from costsim.views.tables import money
from costsim.words import tr, trn

LEAST_K = 0.5
"""A room that falls less than this below its set-point is not told of."""
LITTLE_K = 5.0
"""A room that falls further below its set-point is more than a little too cold; a choice of ours."""


def rooms_limit(option: OptionResult) -> bool:
    """Whether most of the missing heat is what floor or emitters, with water as warm as it may be, cannot give off: no source mends that."""
    return option.unmet.by_cause_j.get("floor", 0.0) > option.unmet.energy_j / 2


def remedy(result: Result, option: OptionResult) -> str:
    """What would make an option warm that is not, in a few words."""
    if not rooms_limit(option):
        return tr("Make a source larger, or add one.")
    case = result.lowered.case
    floor = case.floor is not None or EMITTERS[case.house.emitter].floor
    if floor and not result.lowered.water.circuits:
        return tr("Sources cannot help; closer loops or better insulation would.")
    return tr("Sources cannot help; larger emitters or better insulation would.")


def cheaper_lines(result: Result, system: str) -> list[str]:
    """A sentence for each option that is left out for its hours too cold and would be cheaper: how much, and how cold."""
    return [_cheaper_text(result, cheaper, system) for cheaper in cheaper_cold(result)]


def cheaper_sentence(result: Result, system: str) -> str:
    """The first of `cheaper_lines`, to follow a verdict; empty where there is none."""
    return next(iter(cheaper_lines(result, system)), "")


def _cheaper_text(result: Result, cheaper: CheaperCold, system: str) -> str:
    coin, short = result.currency, cheaper.cold.unmet
    year = apart(*cheaper.year)[2]
    over = apart(*cheaper.over, 3)[2] if cheaper.over else 0.0
    words = {
        "name": called(cheaper.cold.name),
        "best": called(cheaper.best.name),
        "lasting": called(cheaper.lasting),
        "less": money(abs(year), coin),
        "over": money(abs(over), coin),
        "years": str(cheaper.years),
    }
    if year > 0 and over > 0 and cheaper.lasting == cheaper.best.name:
        text = tr("{name} costs {less} a year less and {over} less over {years} years than {best}", **words)
    elif year > 0 and over > 0:
        text = tr(
            "{name} costs {less} a year less than {best} and {over} less over {years} years than {lasting}", **words
        )
    elif over > 0 and year < 0:
        text = tr(
            "{name} costs {over} less over {years} years than {lasting}, though {less} a year more to run than {best}",
            **words,
        )
    elif over > 0:
        text = tr("{name} costs {over} less over {years} years than {lasting}", **words)
    elif over < 0:
        text = tr(
            "{name} costs {less} a year less to run than {best}, though {over} more over {years} years than {lasting}",
            **words,
        )
    else:
        text = tr("{name} costs {less} a year less to run than {best}", **words)
    more = {"text": text, "worst": show_missing(short.worst_w, "power", system)}
    text = trn(
        "{text}, but would be too small for {count} hour, by at most {worst}",
        "{text}, but would be too small for {count} hours, by at most {worst}",
        short.hours,
        **more,
    )
    room_c, below_k = lowest_indoors(result, cheaper.cold)
    if below_k < LEAST_K:
        return f"{text}."
    return tr("{text} (lowest {room} indoors).", text=text, room=show(room_c, "temperature", system, 0))


def lowest_indoors(result: Result, option: OptionResult) -> tuple[float, float]:
    """How cold an option lets the house, or its coldest zone, get [°C], and how far that is below the set-point [K]."""
    room_c, below_k = coldest_room(result.lowered, named_option(result.lowered.case, option.name))
    zone = option.coldest_zone
    if zone is not None and zone.coldest_c is not None and zone.coldest_c < room_c:
        return zone.coldest_c, max(below_k, zone.indoor_temperature_c - zone.coldest_c)
    return room_c, below_k


def but_cold(result: Result, *, over_years: bool) -> str:
    """Which option is left out though it would be cheaper, in few words for a card; empty where none is.

    `over_years` asks of the study period, else of a year's bills.
    """
    for cheaper in cheaper_cold(result):
        pair = cheaper.over if over_years else cheaper.year
        less = apart(*pair, 3 if over_years else 2)[2] if pair else 0.0
        if less > 0:
            return trn(
                "{name} costs {less} less, but is too cold for {count} hour",
                "{name} costs {less} less, but is too cold for {count} hours",
                cheaper.cold.unmet.hours,
                name=called(cheaper.cold.name),
                less=money(less, result.currency),
            )
    return ""


def left_out_sentence(left: LeftOut | None, coin: str, system: str) -> str:
    """Say which size would close the gap of a cheaper option that is left out; empty where none is."""
    if left is None:
        return ""
    cold, best, enough = left.cheaper.cold, left.cheaper.best, left.enough
    if enough is None:
        return _stops(left, system).strip()
    words = {"name": called(cold.name), "best": called(best.name), "hours": f"{cold.unmet.hours:,}"}
    size = show(enough.today_w, "electric_power" if enough.electric else "power", system)
    words |= {"size": size, "source": enough.source}
    if enough.enough_w is None:
        text = tr(
            "With {size} of {source}, {name} is too cold for {hours} hours, and more of it would not close that; see Cold days.",
            **words,
        )
        return f"{text}{_stops(left, system)}"
    words["enough"] = as_sold(enough.enough_w, system, electric=enough.electric)
    gap = round_money(enough.cost - best.cost_total)
    words |= {"cost": money(round_money(enough.cost), coin), "more": money(gap, coin), "most": f"{enough.hours:,}"}
    if enough.hours:
        text = tr(
            "With {size} of {source}, {name} is too cold for {hours} hours; {enough} would leave at most {most}",
            **words,
        )
    else:
        text = tr("With {size} of {source}, {name} is too cold for {hours} hours; {enough} would do", **words)
    if gap >= 0 and enough.cost >= best.cost_total:
        text = tr("{text}, and would then cost {more} a year more than {best}.", text=text, **words)
    else:
        text = tr("{text}, for {cost} a year.", text=text, **words)
    return f"{text}{_stops(left, system)}"


def larger_text(enough: Enough, coin: str, system: str) -> str:
    """A larger unit that closes the gap of the option that the sentence before tells of, with what a year then costs."""
    if enough.enough_w is None:
        return ""
    size = as_sold(enough.enough_w, system, electric=enough.electric)
    words = {"size": size, "cost": money(round_money(enough.cost), coin), "source": enough.source}
    if enough.hours:
        words["most"] = f"{enough.hours:,}"
        if enough.alone:
            return tr("{size} leaves at most {most}, for {cost} a year.", **words)
        return tr("{size} of {source} leaves at most {most}, for {cost} a year.", **words)
    if enough.alone:
        return tr("{size} of it would do, for {cost} a year.", **words)
    return tr("{size} of {source} would do, for {cost} a year.", **words)


def _stops(left: LeftOut, system: str) -> str:
    """At what outdoor temperature a heat pump is taken to stop where nobody typed that; empty where it plays no part."""
    if left.stops_c is None:
        return ""
    stop = show(left.stops_c, "temperature", system, 0)
    return " " + tr(
        "Its heat pump is taken to give nothing below {stop} outside; if its sheet says otherwise, type that on Sources.",
        stop=stop,
    )


def hours_too_cold(hours: int) -> str:
    """So many hours too cold, in the words of every sentence on them."""
    return trn("{count} hour too cold", "{count} hours too cold", hours)


def borne_words(result: Result, option: OptionResult, system: str) -> str:
    """Hours too cold that are borne, with how cold it gets indoors; empty where there are none, or too many."""
    hours = option.unmet.hours
    if not hours or not option.keeps_warm:
        return ""
    room_c, below_k = coldest_room(result.lowered, named_option(result.lowered.case, option.name))
    if below_k < LEAST_K:
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
        "An option counts as warm with at most {count} hour a year too cold.",
        "An option counts as warm with at most {count} hours a year too cold.",
        result.lowered.case.house.max_unmet_hours,
    )
