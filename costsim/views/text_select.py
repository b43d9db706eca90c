"""What `costsim select` prints: the next common size up of every part, what each costs a year and leaves short."""

from __future__ import annotations

from costsim.analysis.gas_line import GasChoice
from costsim.analysis.on_service import ElectricChoice
from costsim.analysis.select import (
    CircuitChoice,
    OptionChoice,
    SelectionResult,
    SourceChoice,
)
from costsim.analysis.size_steps import SizeStep
from costsim.physics.circuits import CONTINUOUS_FACTOR
from costsim.sources.traits import MARKET_LISTS
from costsim.study.rating_checks import fire_relief
from costsim.units.quantity import pretty_unit, show, to_display, unit_for
from costsim.units.table import FOOT_M, INCH_M
from costsim.views.size_words import no_tank, room_text, tank_rule, wire_text
from costsim.views.tables import money, text_table
from costsim.views.text_capacity import boils_off_text
from costsim.views.text_circulators import head_lines, pump_rows, source_pump_lines
from costsim.words import tr

CAUTION = (
    "Breakers, wire, gas pipe and vents by North American tables; elsewhere the local rules (such as IEC 60364 for wiring) count.\n"
    "Sizes for planning. Gas, venting, electricity and pressure are licensed work: the locally adopted code, the plate of the unit\n"
    "and the maker's instructions decide over every line above."
)
VENTS = {
    "": "as its maker's instructions list it: its efficiency does not tell whether the flue gas is wet",
    "I": "I: dry flue gas under draft, a listed chimney or type B vent",
    "III": "III: dry flue gas under pressure, a sealed listed vent",
    "IV": "IV: wet flue gas under pressure, plastic or stainless vent as its maker lists, with a condensate drain",
}

SAME_W = 1.0
"""Outputs that differ by less are of the same size."""


def printed_selection(selection: SelectionResult, system: str, currency: str) -> str:
    """Print a selection in ``"us"`` or ``"si"`` units and the study's money."""
    parts = [
        tr("{title}: sizes\n{title_2}", title=selection.title, title_2="=" * (len(selection.title) + 7)),
        target_text(selection, system),
        *(option_text(option, system, currency) for option in selection.options),
    ]
    if selection.pumps:
        parts.append(
            text_table(*pump_rows(selection.pumps, system))
            + "".join(f"\n{line}" for line in head_lines(selection.pumps))
        )
    lists = sorted(set(selection.size_sources.values()))
    parts.append(tr("Sizes from: {lists}. Your own list: selection.sizes.", lists="; ".join(lists)))
    return "\n\n".join([*parts, tr(CAUTION)])


def target_text(selection: SelectionResult, system: str) -> str:
    """What the sources of an option must carry, and where the margin comes from."""
    load, target = (show(value, "power", system) for value in (selection.design_load_w, selection.target_w))
    return tr(
        "Design load {load}, no gains credited; with a margin of {margin_share} % that is {target}, after all derates. The margin is"
        " common practice, no source; “Choice of sizes off the shelf” on House (selection.margin) takes another.",
        load=load,
        margin_share=f"{selection.margin_share * 100:g}",
        target=target,
    )


def reason_text(source: SourceChoice, system: str) -> str:
    """How what a source must give follows from the design load: margin, other sources, and hours in which it may run."""
    if not source.design_load_w:
        return ""
    target = source.design_load_w * (1.0 + source.margin_share)
    text = tr(
        "design load {load} × {factor} = {target}",
        load=show(source.design_load_w, "power", system),
        factor=f"{1.0 + source.margin_share:g}",
        target=show(target, "power", system),
    )
    if source.beside_w > 0:
        beside = show(source.beside_w, "power", system)
        text = tr("{text}, less {beside} that is sure from the others", text=text, beside=beside)
    elif source.others:
        text = tr("{text}, all of it, as the others may rest in the coldest hours", text=text)
    share = source.steps[0].day_share if source.steps else 1.0
    if 0.0 < share < 1.0 and source.needed_w > 0:
        text = tr(
            "{text}; it may run {hours} of the coldest day's 24 hours, so {running} while it runs",
            text=text,
            hours=f"{share * 24.0:g}",
            running=show(source.needed_w / share, "power", system),
        )
    return f" ({text})"


def option_text(option: OptionChoice, system: str, currency: str) -> str:
    """Print one option."""
    lines = [f"{option.option}\n{'-' * len(option.option)}"]
    for source in option.sources:
        lines += source_lines(source, system, currency)
    return "\n".join([*lines, *pressure_lines(option.circuit, system), *source_pump_lines(option.pumps, system)])


def source_lines(source: SourceChoice, system: str, currency: str) -> list[str]:
    """One source: sizes with cost and unmet hours, then circuit or gas."""
    head = head_line(source, system)
    steps = [text_table(*step_rows(source, system, currency))] if head and source.steps else []
    return [*([head] if head else []), *steps, *entered_lines(source, system)]


def head_line(source: SourceChoice, system: str) -> str:
    """What a source must give and the size that does; empty where nothing is to be chosen for it."""
    if not source.what:
        return f"{source.name}: {source.note}."
    if source.entered_w > 0 and (source.kept or not source.steps):
        return ""
    return f"{source.name} {wanted_text(source, system)}{f' ({source.note})' if source.note else ''}."


def entered_lines(source: SourceChoice, system: str) -> list[str]:
    """Circuit and gas line of the size marked, then of the size that the study has, as on the page to sign, each under its size."""
    if not source.what:
        return _lines_of(source.entered_electric, source.entered_gas, system)
    words = {"name": source.name, "size": show(source.entered_w, output_dimension(source.what), system, 1)}
    head = (
        tr("{name}: existing, kept: {size} output", **words)
        if source.kept
        else tr("{name}: entered: {size} output", **words)
    )
    if not source.kept or source.what.endswith("area"):
        text = f"{head}."
    elif source.needed_w <= 0:
        text = tr("{head}; the other sources carry the design load without it.", head=head)
    else:
        needed = show(source.needed_w, "power", system)
        text = tr(
            "{head}; the load alone would ask for {needed} output{reason}.",
            head=head,
            needed=needed,
            reason=reason_text(source, system),
        )
    return [*_marked_lines(source, system), text, *_lines_of(source.entered_electric, source.entered_gas, system)]


def _marked_lines(source: SourceChoice, system: str) -> list[str]:
    """Circuit and gas line of the size marked, where that is another than the one entered."""
    chosen = source.chosen
    if chosen is None or source.kept or not source.steps or abs(chosen.output_w - source.entered_w) < SAME_W:
        return []
    lines = _lines_of(source.electric, source.gas, system)
    size = sold_text(source.what, chosen, system)
    return [tr("{name}: marked: {size}.", name=source.name, size=size), *lines] if lines else []


def _lines_of(electric: ElectricChoice | None, gas: GasChoice | None, system: str) -> list[str]:
    lines = electric_lines(electric) if electric is not None else []
    return lines + (gas_lines(gas, system) if gas is not None else [])


def wanted_text(source: SourceChoice, system: str) -> str:
    """What a source must give, and the size that does."""
    chosen = source.chosen
    field = source.what.endswith("area")
    if field:
        text = tr("may not be counted on in the coldest hour")
    elif source.needed_w <= 0:
        text = tr("need not carry the design load{reason}", reason=reason_text(source, system))
    else:
        text = tr(
            "must give {needed}{reason}",
            needed=show(source.needed_w, "power", system),
            reason=reason_text(source, system),
        )
    if chosen is None:
        return text
    sold = sold_text(source.what, chosen, system)
    if field:
        return tr("{text}; the next field over the one typed is {sold}", text=text, sold=sold)
    text += tr(": {sold}, which leaves {left}", sold=sold, left=show(chosen.left_w, "power", system))
    if chosen.day_share < 1.0:
        text += tr(" on average over the coldest day")
    if chosen.buffer_asked_m3 is not None:
        text += tr(
            " over the day, with a buffer of {buffer}", buffer=show(chosen.buffer_m3 or 0.0, "volume", system, 0)
        )
        text += tr(
            " (EN 303-5 asks for {buffer_asked})", buffer_asked=show(chosen.buffer_asked_m3, "volume", system, 0)
        )
    return text


def output_dimension(what: str) -> str:
    """In which dimension the outputs of a list of sizes are shown."""
    return "electric_power" if MARKET_LISTS.get(what) == "electric_power" else "power"


def sold_text(what: str, step: SizeStep, system: str) -> str:
    """A size as it is sold, with the output of one that is sold by its input."""
    text = size_text(what, step.size, system)
    if not what.endswith("input"):
        return text
    return tr("{text} ({output} output)", text=text, output=show(step.output_w, "power", system, 0))


def size_text(what: str, size: float, system: str) -> str:
    """A size as it is sold."""
    if output_dimension(what) == "electric_power":
        return tr("{size} output", size=show(size, "electric_power", system, 1))
    if what.endswith("area"):
        return tr("{size} of collectors", size=show(size, "area", system, 0))
    shown = show(size, "power", system, 0)
    if what.endswith("input"):
        return tr("{size} input", size=shown)
    return tr("{size} discharge", size=shown) if what.endswith("discharge") else tr("{size} output", size=shown)


def step_rows(source: SourceChoice, system: str, currency: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the sizes: the one below, the one chosen, the next one up."""
    power, heat = (pretty_unit(unit_for(name, system)) for name in ("power", "heat"))
    headings = [
        tr("  size"),
        tr("output {power}", power=power),
        tr("available {power}", power=power),
        tr("unmet hours"),
        tr("largest gap {power}", power=power),
        tr("unmet {heat}", heat=heat),
        tr("a year"),
    ]
    rows = []
    for step in source.steps:
        mark = "> " if step.chosen else "  "
        rows.append(
            [
                f"{mark}{size_text(source.what, step.size, system)}",
                f"{to_display(step.output_w, 'power', system):,.1f}",
                f"{to_display(step.left_w, 'power', system):,.1f}",
                f"{step.unmet_hours:,}",
                f"{to_display(step.worst_w, 'power', system):,.1f}",
                f"{to_display(step.unmet_j, 'heat', system):,.2f}",
                money(step.cost, currency),
            ]
        )
    return headings, rows


def electric_lines(choice: ElectricChoice) -> list[str]:
    """Breaker, wire and service."""
    amps = choice.load_w / choice.volts_v
    drawn = "" if choice.rated else tr(", the most it draws in the year (its plate, MCA and MOP, decides),")
    start = tr(
        "  Circuit: {load} kW{drawn} at {volts} V is {amps} A, times 1.25 is {amps_2} A:",
        load=f"{choice.load_w / 1000.0:.2f}",
        drawn=drawn,
        volts=f"{choice.volts_v:.0f}",
        amps=f"{amps:.1f}",
        amps_2=f"{amps * CONTINUOUS_FACTOR:.1f}",
    )
    if choice.circuit is None:
        lines = [tr("{start} beyond one circuit of these tables; several circuits, by an electrician.", start=start)]
    else:
        lines = [
            tr(
                "{start} {breaker} A breaker, {wire}; {drop_share} % voltage drop.",
                start=start,
                breaker=choice.circuit.breaker_a,
                wire=wire_text(choice.circuit),
                drop_share=f"{choice.circuit.drop_share * 100:.1f}",
            )
        ]
    if choice.service_load_a is None or choice.service_a is None:
        return [*lines, tr("  Service: {method}.", method=choice.method)]
    room, short = room_text(choice), choice.service_load_a - choice.service_a
    if short > 0:
        room = tr(
            "{room}, {short} A TOO LITTLE; a larger service, load control, or less heat by electricity",
            room=room,
            short=f"{short:.0f}",
        )
    return [*lines, tr("  Service: {room}; {method}.", room=room, method=choice.method)]


def gas_lines(choice: GasChoice, system: str) -> list[str]:
    """Input, pipe, vent, air, propane."""
    power, run = show(choice.input_w, "power", system, 0), show(choice.run_input_w, "power", system, 0)
    pipe = tr("{pipe} steel", pipe=choice.pipe) if choice.pipe else tr("larger than the tables")
    lines = [
        tr(
            "  Gas: input {power}; {pipe} pipe carries the run of {run} over {pipe_length}.",
            power=power,
            pipe=pipe,
            run=run,
            pipe_length=show(choice.pipe_length_m, "length", system, 0),
        ),
        tr("  Vent category {vents}.", vents=tr(VENTS[choice.vent])),
    ]
    air = choice.air
    if system == "us":
        sizes = (
            f"{air.upright_in2:.0f} in²",
            f"{air.level_in2:.0f} in²",
            f"{air.indoor_in2:.0f} in²",
            f"{air.room_ft3:,.0f} ft³",
        )
    else:
        area = (INCH_M * 100) ** 2
        sizes = (
            f"{air.upright_in2 * area:.0f} cm²", f"{air.level_in2 * area:.0f} cm²", f"{air.indoor_in2 * area:.0f} cm²",
            f"{air.room_ft3 * FOOT_M**3:,.0f} m³",
        )  # fmt: skip
    lines.append(
        tr(
            "  Air: piped from outdoors to a sealed unit; else two openings of {sizes} each straight or"
            " upright to outdoors, {sizes_2} by level ducts, {sizes_3} to other rooms, or a room of"
            " {sizes_4} (rule of thumb).",
            sizes=sizes[0],
            sizes_2=sizes[1],
            sizes_3=sizes[2],
            sizes_4=sizes[3],
        )
    )
    if choice.regulator_w is not None or choice.propane_tank_m3 is not None:
        cold = show(choice.coldest_c, "temperature", system, 0)
        tank = (
            tr(
                "{propane_tank} tank boils off {vaporizes} at {cold}, 30 % full (rule of thumb; the supplier decides)",
                propane_tank=show(choice.propane_tank_m3, "volume", system, 0),
                vaporizes=show(choice.vaporizes_w or 0.0, "power", system, 0),
                cold=cold,
            )
            if choice.propane_tank_m3
            else tr(
                "no listed tank boils off enough for full fire at {cold}: several tanks or a vaporizer, ask the supplier",
                cold=cold,
            )
        )
        if choice.own_tank is not None:
            lines.append(f"  {tr('Propane')}: {boils_off_text(choice.own_tank, system)}.")
        regulator = (
            tr("regulator of {regulator}", regulator=show(choice.regulator_w, "power", system, 0))
            if choice.regulator_w
            else tr("regulator beyond the list")
        )
        lines.append(tr("  Propane: {tank}; second-stage {regulator}.", tank=tank, regulator=regulator))
    return lines


def pressure_lines(choice: CircuitChoice, system: str) -> list[str]:
    """Expansion and relief."""
    relief = relief_line(choice, system)
    if choice.open_circuit:
        room = show(choice.room_m3, "volume", system)
        return [tr("Expansion: open tank with {room} of room over the cold water; no closed one.", room=room), relief]
    needed, sold = choice.needed_m3, choice.sold_m3
    if needed is None:
        return [tr("Expansion tank: {reason}.", reason=no_tank(choice, system)), relief]
    size = tr("{vessel} tank", vessel=show(sold, "volume", system)) if sold else tr("beyond the list; two tanks")
    return [tr("Expansion tank: {rule}: {size}.", rule=tank_rule(choice, system), size=size), relief]


def relief_line(choice: CircuitChoice, system: str) -> str:
    """What each source's relief valve must blow off, fires apart."""
    if choice.discharge_needed_w <= 0:
        return tr(
            "Relief: each source its own valve, set no higher than {relief}, for {plate}.",
            relief=show(choice.relief_pa, "pressure", system, 0),
            plate=fire_relief(choice.fires),
        )
    valve = (
        tr(
            "one that blows off {relief_discharge}",
            relief_discharge=show(choice.relief_discharge_w, "power", system, 0),
        )
        if choice.relief_discharge_w
        else tr("one beyond the list")
    )
    words = {
        "relief": show(choice.relief_pa, "pressure", system, 0),
        "discharge_needed": show(choice.discharge_needed_w, "power", system, 0),
        "valve": valve,
    }
    if choice.fires:
        return tr(
            "Relief: each source its own valve, set no higher than {relief}, for {discharge_needed} on the largest entered that is no fire: {valve};"
            " one that guards several takes all of them at once; for a fire {plate}.",
            plate=fire_relief(choice.fires),
            **words,
        )
    return tr(
        "Relief: each source its own valve, set no higher than {relief}, for {discharge_needed} on the largest entered: {valve};"
        " one that guards several takes all of them at once.",
        **words,
    )
