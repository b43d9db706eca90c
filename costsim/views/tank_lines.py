"""What is told of the tank's year beside cost and cold: the sun's share, each use, and how long the house takes to be warm again."""

from __future__ import annotations

from costsim.results.recovery import Recovery
from costsim.results.result import OptionResult, Result, UseSeason
from costsim.units.quantity import show
from costsim.views.hot_tank import hot_tank_sentence
from costsim.views.rest_hours import rest_lines
from costsim.views.tables import when
from costsim.words import tr, trn


def tank_sections(result: Result, system: str) -> list[tuple[str, list[str]]]:
    """Titles and lines of what there is to tell, the same on terminal, screen and paper.

    Parameters
    ----------
    result : Result
    system : str
        ``"us"`` or ``"si"``.
    """
    sections = [
        (tr("Heat pumps over the season"), _scop_lines(result)),
        (tr("What the tank must hold for hours of rest"), rest_lines(result, system)),
        (tr("The sun's share"), _solar_lines(result)),
        (
            tr("Hot water and other uses of the tank"),
            [*_use_lines(result, system), *filter(None, [hot_tank_sentence(result, system)])],
        ),
        (
            tr("Warm again after set-back"),
            [line for option in result.options for line in _recovery_lines(result, option, system)],
        ),
    ]
    zones = [line for option in result.options for line in _zone_lines(result, option, system)]
    sections.append((tr("Zones of the house"), zones))
    return [(title, lines) for title, lines in sections if lines]


def _zone_lines(result: Result, option: OptionResult, system: str) -> list[str]:
    """Each zone of an option: its design load, what its loops give, hours too cold, and its own recovery."""
    lines = []
    for zone in option.zones:
        text = tr(
            "{name}, {name_2}: design load {design_load}",
            name=option.name,
            name_2=zone.name,
            design_load=show(zone.design_load_w, "power", system, 1),
        )
        if zone.loops_give_w is not None and zone.supply_c is not None:
            water = show(zone.supply_c, "temperature", system, 0)
            gives = show(zone.loops_give_w, "power", system, 1)
            text += (
                tr(
                    ", its {loops} loops give {loops_give} with {water} water",
                    loops=zone.loops,
                    loops_give=gives,
                    water=water,
                )
                if zone.loops
                else tr(", its emitters give {gives} with {water} water", gives=gives, water=water)
            )
        text += (
            tr("; {unmet_hours} hours too cold", unmet_hours=f"{zone.unmet_hours:,}")
            if zone.unmet_hours
            else tr("; always warm enough")
        )
        if zone.loops_short_hours:
            hours = f"{zone.loops_short_hours:,}"
            text += (
                tr(", {loops_short_hours} of them because its loops are too small", loops_short_hours=hours)
                if zone.loops
                else tr(", {hours} of them because its water cannot be hot enough", hours=hours)
            )
        if zone.recovery is not None:
            text += f"; {_back(result, zone.recovery, system)}"
        lines.append(text)
    return lines


def _recovery_lines(result: Result, option: OptionResult, system: str) -> list[str]:
    """How long an option takes to bring the house back, at the longest and usually; zones say it of themselves."""
    if any(zone.recovery for zone in option.zones):
        return []
    return [] if option.recovery is None else [f"{option.name}: {_back(result, option.recovery, system)}"]


def _back(result: Result, recovery: Recovery, system: str) -> str:
    """How long it takes to be warm again: at the longest, with the cold outside, and usually."""
    if recovery.unfinished == recovery.count:
        warm = show(recovery.setpoint_c, "temperature", system, 0)
        return tr(
            "never back to {warm} before the next set-back, {count} times a year",
            warm=warm,
            count=f"{recovery.count:,}",
        )
    back = tr(
        "back to {setpoint} in {longest_h}",
        setpoint=show(recovery.setpoint_c, "temperature", system, 0),
        longest_h=_duration(recovery.longest_h),
    )
    outside = tr(
        "at {outdoor} outside ({clock})",
        outdoor=show(recovery.outdoor_c, "temperature", system, 0),
        clock=result.clock[recovery.longest_at],
    )
    late = (
        tr(
            "; {unfinished} of {count} times not before the next set-back",
            unfinished=recovery.unfinished,
            count=recovery.count,
        )
        if recovery.unfinished
        else ""
    )
    return tr(
        "{back} {outside} at the longest, usually {median_h}{late}",
        back=back,
        outside=outside,
        median_h=_duration(recovery.median_h),
        late=late,
    )


def _duration(hours: float) -> str:
    minutes = round(hours * 60)
    return f"{minutes // 60} h {minutes % 60:02d} min"


def _scop_lines(result: Result) -> list[str]:
    """Heat of the season for each unit of electricity, of sources that give more than they take."""
    return [
        tr(
            "{name}: {name_2} gives {heat} units of heat for each of electricity (SCOP), its defrosting"
            " and own circulator with it",
            name=option.name,
            name_2=source.name,
            heat=f"{source.heat_j / (source.input_j + source.auxiliary_j):.1f}",
        )
        for option in result.options
        for source in option.sources
        if source.fuel == "electricity" and source.heat_j > 1.05 * source.input_j > 0
    ]


def _use_lines(result: Result, system: str) -> list[str]:
    """Each use of the tank: heat of the year, and what was missing of it by option."""
    options = result.options
    return [
        tr("{name}: {heat} a year; ", name=use.name, heat=show(use.heat_j, "heat", system, 1))
        + "; ".join(_served(result, option, option.uses[at], system) for option in options)
        for at, use in enumerate(options[0].uses)
    ]


def _served(result: Result, option: OptionResult, use: UseSeason, system: str) -> str:
    """How well an option serves a use: hours too cool, and hours in which the tank itself is too cool for it."""
    cool, parts = use.cool, []
    if use.unmet_hours:
        parts.append(
            trn("{name}: {count} hour too cool", "{name}: {count} hours too cool", use.unmet_hours, name=option.name)
        )
    if cool is not None:
        words = {
            "name": option.name,
            "tank": show(cool.tank_c, "temperature", system, 0),
            "gives": show(cool.gives_c, "temperature", system, 0),
            "when": when(result, cool.at),
        }
        parts.append(
            trn(
                "{name}: {count} hour with the tank too cool, {tank} at worst, {gives} from it at {when}",
                "{name}: {count} hours with the tank too cool, {tank} at worst, {gives} from it at {when}",
                cool.hours,
                **words,
            )
        )
    return ", ".join(parts) or tr("{name}: always hot enough", name=option.name)


def _solar_lines(result: Result) -> list[str]:
    """The sun's share of each option with collectors: year, summer, taps and house."""
    lines = []
    for option in result.options:
        sun = option.solar
        if sun is not None:
            parts = [(tr("in the five months of summer"), sun.summer)]
            if sun.hot_water is not None:
                parts += [(tr("for hot water"), sun.hot_water), (tr("for the house"), sun.space)]
            more = "".join(f", {share:.0%} {words}" for words, share in parts if share is not None)
            still = sum(int(source.facts.get("stagnation_hours", 0)) for source in option.sources)
            hot = (
                tr("; the collectors stand hot for {still} hours, as the tank is full", still=f"{still:,}")
                if still
                else ""
            )
            lines.append(
                tr(
                    "{name}: {year} of the heat put into the tank over the year{more}{hot}",
                    name=option.name,
                    year=f"{sun.year:.0%}",
                    more=more,
                    hot=hot,
                )
            )
    return lines
