"""What is told of the tank's year beside cost and cold: the sun's share, each use, and how long the house takes to be warm again."""

from __future__ import annotations

from costsim.results.recovery import Recovery
from costsim.results.result import OptionResult, Result
from costsim.units.quantity import show


def tank_sections(result: Result, system: str) -> list[tuple[str, list[str]]]:
    """Titles and lines of what there is to tell, the same on terminal, screen and paper.

    Parameters
    ----------
    result : Result
    system : str
        ``"us"`` or ``"si"``.
    """
    sections = [
        ("Heat pumps over the season", _scop_lines(result)),
        ("The sun's share", _solar_lines(result)),
        ("Hot water and other uses of the tank", _use_lines(result, system)),
        (
            "Warm again after set-back",
            [line for option in result.options for line in _recovery_lines(result, option, system)],
        ),
    ]
    zones = [line for option in result.options for line in _zone_lines(result, option, system)]
    sections.append(("Zones of the house", zones))
    return [(title, lines) for title, lines in sections if lines]


def _zone_lines(result: Result, option: OptionResult, system: str) -> list[str]:
    """Each zone of an option: its design load, what its loops give, hours too cold, and its own recovery."""
    lines = []
    for zone in option.zones:
        text = f"{option.name}, {zone.name}: design load {show(zone.design_load_w, 'power', system, 1)}"
        if zone.loops_give_w is not None and zone.supply_c is not None:
            water = show(zone.supply_c, "temperature", system, 0)
            text += f", its {zone.loops} loops give {show(zone.loops_give_w, 'power', system, 1)} with {water} water"
        text += f"; {zone.unmet_hours:,} hours too cold" if zone.unmet_hours else "; always warm enough"
        if zone.loops_short_hours:
            text += f", {zone.loops_short_hours:,} of them because its loops are too small"
        if zone.recovery is not None:
            text += f"; {_back(result, zone.recovery, system)}"
        lines.append(text)
    return lines


def _recovery_lines(result: Result, option: OptionResult, system: str) -> list[str]:
    """How long an option takes to bring the house back, at the longest and usually; zones say it of themselves."""
    if any(zone.recovery for zone in option.zones):
        return []
    return [] if option.recovery is None else [f"{option.name}: {_back(result, option.recovery, system)}"]


def _back(result: Result, found: Recovery, system: str) -> str:
    """How long it takes to be warm again: at the longest, with the cold outside, and usually."""
    if found.unfinished == found.count:
        warm = show(found.setpoint_c, "temperature", system, 0)
        return f"never back to {warm} before the next set-back, {found.count:,} times a year"
    back = f"back to {show(found.setpoint_c, 'temperature', system, 0)} in {_duration(found.longest_h)}"
    outside = f"at {show(found.outdoor_c, 'temperature', system, 0)} outside ({result.clock[found.longest_at]})"
    late = f"; {found.unfinished} of {found.count} times not before the next set-back" if found.unfinished else ""
    return f"{back} {outside} at the longest, usually {_duration(found.median_h)}{late}"


def _duration(hours: float) -> str:
    minutes = round(hours * 60)
    return f"{minutes // 60} h {minutes % 60:02d} min"


def _scop_lines(result: Result) -> list[str]:
    """Heat of the season for each unit of electricity, of sources that give more than they take."""
    return [
        f"{option.name}: {source.name} gives {source.heat_j / (source.input_j + source.auxiliary_j):.1f} units of heat for each of"
        " electricity (SCOP), its defrosting and own circulator with it"
        for option in result.options
        for source in option.sources
        if source.fuel == "electricity" and source.heat_j > 1.05 * source.input_j > 0
    ]


def _use_lines(result: Result, system: str) -> list[str]:
    """Each use of the tank: heat of the year, and what was missing of it by option."""
    options = result.options
    return [
        f"{use.name}: {show(use.heat_j, 'heat', system, 1)} a year; "
        + "; ".join(
            f"{option.name}: {f'{own.unmet_hours:,} hours too cool' if own.unmet_hours else 'always hot enough'}"
            for option in options
            for own in (option.uses[at],)
        )
        for at, use in enumerate(options[0].uses)
    ]


def _solar_lines(result: Result) -> list[str]:
    """The sun's share of each option with collectors: year, summer, taps and house."""
    lines = []
    for option in result.options:
        sun = option.solar
        if sun is not None:
            parts = [("in the five months of summer", sun.summer)]
            if sun.hot_water is not None:
                parts += [("for hot water", sun.hot_water), ("for the house", sun.space)]
            more = "".join(f", {share:.0%} {words}" for words, share in parts if share is not None)
            still = sum(int(source.facts.get("stagnation_hours", 0)) for source in option.sources)
            hot = f"; the collectors stand hot for {still:,} hours, as the tank is full" if still else ""
            lines.append(f"{option.name}: {sun.year:.0%} of the year's heat{more}{hot}")
    return lines
