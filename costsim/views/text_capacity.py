"""What `costsim capacity` prints: real capacities, the loops at design, what fails, and whether the program is open."""

from __future__ import annotations

import math

from costsim.analysis.capacity import CapacityReport, OptionCapacity, SourceCapacity
from costsim.analysis.propane_tank import BoilOff
from costsim.units.quantity import pretty_unit, show, to_display, unit_for
from costsim.views.tables import text_table
from costsim.words import tr

REGIMES = {"between": "mixed"}
"""How flow between laminar and turbulent is called for readers."""
FROST = "(pipes in outside walls may freeze)"
CAUTION = (
    "Frozen pipes, carbon monoxide, pressure and wiring can hurt people: relief valves, combustion air, alarms, freeze protection\n"
    "and breakers belong to licensed trades and the locally adopted edition of the codes."
)


def printed_capacity(report: CapacityReport, system: str) -> str:
    """Print the closer look.

    Parameters
    ----------
    report : CapacityReport
    system : str
        ``"us"`` or ``"si"``.

    Returns
    -------
    str
    """
    parts = [f"{report.title}\n{'=' * len(report.title)}", _design(report, system)]
    if report.loops:
        parts.append(text_table(*loop_rows(report, system)))
    parts += [_option(option, system) for option in report.options]
    return "\n\n".join([*parts, tr(CAUTION)])


def _design(report: CapacityReport, system: str) -> str:
    load, water = (
        show(report.design_load_w, "power", system),
        show(report.design_supply_temperature_c, "temperature", system),
    )
    outdoor = show(report.design_outdoor_c, "temperature", system, 0)
    text = tr(
        "At design, {outdoor} outside, the house loses {load} and the water must be at {water}.",
        outdoor=outdoor,
        load=load,
        water=water,
    )
    if math.isfinite(report.floor_limit_w):
        text += tr(" The floor can give {floor_limit}.", floor_limit=show(report.floor_limit_w, "power", system))
    cold, wanted, hot = (
        show(report.coldest_c, "temperature", system, 0),
        show(report.coldest_demand_w, "power", system),
        show(report.coldest_supply_c, "temperature", system),
    )
    text += tr(
        "\nWhat each source has left below is for the hour of highest demand: {cold} outside,"
        " {wanted} wanted after gains, water at {hot}.",
        cold=cold,
        wanted=wanted,
        hot=hot,
    )
    if report.freeze_c < 0:
        text += tr("\nSlush begins in the antifreeze at {freeze}.", freeze=show(report.freeze_c, "temperature", system))
    return text


def loop_rows(report: CapacityReport, system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of what each group of loops does at design."""
    flow, head, power = (unit_for(name, system) for name in ("flow", "head", "power"))
    headings = [
        tr("loops"),
        tr("flow each {flow}", flow=flow),
        tr("flow is"),
        tr("head {head}", head=pretty_unit(head).removesuffix(" of head")),
        tr("could give, each {power}", power=power),
        tr("surface limit {power}", power=power),
    ]
    excess_k = report.design_supply_temperature_c - report.indoor_temperature_c
    rows = [
        [
            loop.name,
            f"{to_display(loop.flow_m3_s, 'flow', system):.2f}",
            tr(REGIMES.get(loop.regime, loop.regime)),
            f"{to_display(loop.head_pa, 'head', system):.1f}",
            f"{to_display(min(loop.heat_w_k * excess_k, loop.surface_limit_w / loop.count), 'power', system):.2f}",
            f"{to_display(loop.surface_limit_w / loop.count, 'power', system):.2f}",
        ]
        for loop in report.loops
    ]
    return headings, rows


def capacity_headings(system: str) -> list[str]:
    """Headings over `capacity_cells`."""
    power = pretty_unit(unit_for("power", system))
    return [
        tr("source"),
        tr("rated {power}", power=power),
        tr("derates"),
        tr("available {power}", power=power),
        tr("delivered {power}", power=power),
        tr("full-load h"),
    ]


def _option(option: OptionCapacity, system: str) -> str:
    headings = capacity_headings(system)
    rows = [capacity_cells(source, system) for source in option.sources]
    lines = [option.option, text_table(headings, rows), *failure_lines(option, system)]
    if option.verdict:
        lines += [tr("  program: {reason}", reason=reason) for reason in option.verdict.reasons]
    if option.curtailment.hours:
        lines.append(
            tr(
                "  held off by the utility for at most {hours} h in a row (its windows and coldest hours together), {propane_gal} gal of"
                " propane in it",
                hours=option.curtailment.hours,
                propane_gal=f"{option.curtailment.propane_gal:,.0f}",
            )
        )
    lines += [
        tr(
            "  {name}: the tank lasts {tank_hours} h at design load, from 80 % to 20 % full",
            name=s.name,
            tank_hours=f"{s.tank_hours:,.0f}",
        )
        for s in option.sources
        if s.tank_hours is not None
    ]
    lines += [f"  {s.name}: {boils_off_text(s.boils_off, system)}" for s in option.sources if s.boils_off is not None]
    return "\n".join(lines)


def capacity_cells(source: SourceCapacity, system: str) -> list[str]:
    """One source: rated, what lies between that and what is left, the most it gave, and its hours at full load."""
    less = [f"{tr(why)} {to_display(watts, 'power', system):,.1f}" for why, watts in source.derates]
    watts = (source.rated_w, source.derated_w, source.delivered_w)
    rated, left, most = (f"{to_display(power_w, 'power', system):,.1f}" for power_w in watts)
    if not less and source.derated_w < source.rated_w - 1.0:
        less = [tr("sun of the coldest hour")]
    if source.day_hours < 24:
        less.append(day_text(source.day_w, source.day_hours, system))
    hours = f"{source.full_load_hours:,.0f}" if source.derated_w > 0 else "–"
    return [source.name, rated, ", ".join(less) or tr("nothing taken off"), left, most, hours]


def day_text(day_w: float, day_hours: float, system: str) -> str:
    """What a source that rests for part of the day gives, averaged over it."""
    return tr(
        "{mean} averaged over the coldest day, {hours} of 24 h",
        mean=show(day_w, "power", system),
        hours=f"{day_hours:,.0f}",
    )


def failure_lines(option: OptionCapacity, system: str) -> list[str]:
    """Say how cold it gets when each source, or the power, fails."""
    lines = []
    for failure in option.failures:
        reached = [
            tr("{level} after {hours} h", level=show(level, "temperature", system, 0), hours=hours)
            for level, hours in failure.hours_to_level.items()
            if hours
        ]
        words = {"what": failure.what, "lowest": show(failure.lowest_c, "temperature", system, 0)}
        if not reached:
            text = tr(
                "  without {what} in the coldest week: the others carry on, the house stays at {lowest} or warmer",
                **words,
            )
        else:
            text = tr("  without {what} in the coldest week: the house falls to {lowest}", **words)
        frost = f" {tr(FROST)}" if all(failure.hours_to_level.values()) else ""
        lines.append(f"{'; '.join([text, *([', '.join(reached)] if reached else [])])}{frost}")
    return lines


def boils_off_text(boil_off: BoilOff, system: str) -> str:
    """What the tank that is typed boils off against full fire, which rated output and capacity leave out."""
    words = {
        "tank": show(boil_off.tank_m3, "volume", system, 0),
        "gives": show(boil_off.gives_w, "power", system, 0),
        "cold": show(boil_off.coldest_c, "temperature", system, 0),
        "burns": show(boil_off.burns_w, "power", system, 0),
    }
    if boil_off.enough:
        return tr(
            "the tank of {tank} boils off {gives} at {cold}, 30 % full; full fire burns {burns} (rule of thumb; the supplier decides)",
            **words,
        )
    words["design"] = show(boil_off.design_w, "power", system, 0)
    short = tr(
        "the tank of {tank} boils off only {gives} at {cold}, 30 % full, and full fire burns {burns}, which capacities leave out;",
        **words,
    )
    if boil_off.gives_w >= boil_off.design_w:
        more = tr(
            "it carries the fire of the design night, which burns {design} (rule of thumb; the supplier decides)",
            **words,
        )
    else:
        more = tr(
            "not even the fire of the design night, which burns {design}: keep it fuller in the cold, or ask the supplier (rule of thumb)",
            **words,
        )
    return f"{short} {more}"
