"""What `costsim select` prints: the next common size up of every part, what each costs a year and leaves short."""

from __future__ import annotations

from costsim.analysis.select import (
    CircuitChoice,
    ElectricChoice,
    GasChoice,
    OptionChoice,
    SelectionResult,
    SourceChoice,
)
from costsim.units.quantity import pretty_unit, show, to_display, unit_for
from costsim.units.table import FOOT_M, INCH_M
from costsim.views.tables import money, text_table

CAUTION = (
    "Breakers, wire, gas pipe and vents by North American tables; elsewhere the local rules (such as IEC 60364 for wiring) count.\n"
    "Sizes for planning. Gas, venting, electricity and pressure are licensed work: the locally adopted code, the plate of the unit\n"
    "and the maker's instructions decide over every line above."
)
VENTS = {
    "I": "I: dry flue gas under draft, a listed chimney or type B vent",
    "III": "III: dry flue gas under pressure, a sealed listed vent",
    "IV": "IV: wet flue gas under pressure, plastic or stainless vent as its maker lists, with a condensate drain",
}


def printed_selection(found: SelectionResult, system: str, currency: str) -> str:
    """Print a selection.

    Parameters
    ----------
    found : SelectionResult
    system : str
        ``"us"`` or ``"si"``.
    currency : str
        Sign of the study's money.
    """
    load, target = (show(value, "power", system) for value in (found.design_load_w, found.target_w))
    parts = [
        f"{found.title}: sizes\n{'=' * (len(found.title) + 7)}",
        f"Design load {load}, no gains credited; with a margin of {found.margin_share * 100:g} % that is {target}, after all derates.",
        *(option_text(option, system, currency) for option in found.options),
    ]
    if found.pumps:
        parts.append(text_table(*pump_rows(found, system)))
    lists = sorted(set(found.size_sources.values()))
    parts.append(f"Sizes from: {'; '.join(lists)}. Your own list: selection.sizes.")
    return "\n\n".join([*parts, CAUTION])


def option_text(option: OptionChoice, system: str, currency: str) -> str:
    """Print one option."""
    lines = [f"{option.option}\n{'-' * len(option.option)}"]
    for source in option.sources:
        lines += source_lines(source, system, currency)
    return "\n".join([*lines, *pressure_lines(option.circuit, system)])


def source_lines(source: SourceChoice, system: str, currency: str) -> list[str]:
    """One source: sizes with cost and unmet hours, then circuit or gas."""
    if not source.what:
        return [f"{source.name}: {source.note}."]
    head = f"{source.name} {wanted_text(source, system)}"
    lines = [f"{head}{f' ({source.note})' if source.note else ''}."]
    if source.steps:
        lines.append(text_table(*step_rows(source, system, currency)))
    if source.electric is not None:
        lines += electric_lines(source.electric, system)
    if source.gas is not None:
        lines += gas_lines(source.gas, system)
    return lines


def wanted_text(source: SourceChoice, system: str) -> str:
    """What a source must give, and the size that does."""
    chosen = source.chosen
    field = source.what.endswith("area")
    text = (
        "may not be counted on in the coldest hour" if field else f"must give {show(source.needed_w, 'power', system)}"
    )
    if chosen is None:
        return text
    sold = size_text(source.what, chosen.size, system)
    if field:
        return f"{text}; the next field over the one typed is {sold}"
    text += f": {sold}, which leaves {show(chosen.left_w, 'power', system)}"
    if chosen.buffer_asked_m3 is not None:
        text += f" over the day, with a buffer of {show(chosen.buffer_m3 or 0.0, 'volume', system, 0)}"
        text += f" (EN 303-5 asks for {show(chosen.buffer_asked_m3, 'volume', system, 0)})"
    return text


def size_text(what: str, size: float, system: str) -> str:
    """A size as it is sold."""
    if what.startswith("electric"):
        return f"{show(size, 'electric_power', system, 1)} output"
    if what.endswith("area"):
        return f"{show(size, 'area', system, 0)} of collectors"
    return f"{show(size, 'power', system, 0)} {what.split()[-1]}"


def step_rows(source: SourceChoice, system: str, currency: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the sizes: the one below, the one chosen, the next one up."""
    power, heat = (pretty_unit(unit_for(name, system)) for name in ("power", "heat"))
    headings = [
        "  size",
        f"output {power}",
        f"left {power}",
        "unmet hours",
        f"largest gap {power}",
        f"unmet {heat}",
        "a year",
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


def electric_lines(choice: ElectricChoice, system: str) -> list[str]:
    """Breaker, wire and service."""
    amps = choice.load_w / choice.volts_v
    drawn = "" if choice.rated else ", the most it draws in the year (its plate, MCA and MOP, decides),"
    start = f"  Circuit: {choice.load_w / 1e3:.2f} kW{drawn} at {choice.volts_v:.0f} V is {amps:.1f} A, times 1.25 is {amps * 1.25:.1f} A:"
    if choice.circuit is None:
        lines = [f"{start} beyond one circuit of these tables; several circuits, by an electrician."]
    else:
        wire = choice.circuit.wire
        lines = [
            f"{start} {choice.circuit.breaker_a} A breaker, {wire.name} copper at 75 °C ({wire.ampacity_a:.0f} A),"
            f" {choice.circuit.drop_share * 100:.1f} % voltage drop."
        ]
    if choice.service_load_a is None or choice.service_a is None:
        return [*lines, f"  Service: {choice.method}."]
    left = choice.service_a - choice.service_load_a
    verdict = (
        f"{left:.0f} A left"
        if left >= 0
        else f"{-left:.0f} A TOO LITTLE; a larger service, load control, or less heat by electricity"
    )
    return [
        *lines,
        f"  Service: {choice.service_load_a:.0f} A of {choice.service_a:.0f} A, {verdict}; {choice.method}.",
    ]


def gas_lines(choice: GasChoice, system: str) -> list[str]:
    """Input, pipe, vent, air, propane."""
    power, run = show(choice.input_w, "power", system, 0), show(choice.run_input_w, "power", system, 0)
    pipe = f"{choice.pipe} steel" if choice.pipe else "larger than the tables"
    lines = [
        f"  Gas: input {power}; {pipe} pipe carries the run of {run} over {show(choice.pipe_length_m, 'length', system, 0)}.",
        f"  Vent category {VENTS[choice.vent]}.",
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
        f"  Air: piped from outdoors to a sealed unit; else two openings of {sizes[0]} each straight or upright to outdoors, {sizes[1]} by"
        f" level ducts, {sizes[2]} to other rooms, or a room of {sizes[3]} (rule of thumb)."
    )
    if choice.regulator_w is not None or choice.propane_tank_m3 is not None:
        cold = show(choice.coldest_c, "temperature", system, 0)
        tank = (
            f"{show(choice.propane_tank_m3, 'volume', system, 0)} tank boils off {show(choice.vaporizes_w or 0.0, 'power', system, 0)} at"
            f" {cold}, 30 % full (rule of thumb; the supplier decides)"
            if choice.propane_tank_m3
            else f"no listed tank boils off enough at {cold}: several tanks or a vaporizer, ask the supplier"
        )
        regulator = (
            f"regulator of {show(choice.regulator_w, 'power', system, 0)}"
            if choice.regulator_w
            else "regulator beyond the list"
        )
        lines.append(f"  Propane: {tank}; second-stage {regulator}.")
    return lines


def pressure_lines(choice: CircuitChoice, system: str) -> list[str]:
    """Expansion and relief."""
    valve = (
        f"one that blows off {show(choice.relief_discharge_w, 'power', system, 0)}"
        if choice.relief_discharge_w
        else "one beyond the list"
    )
    relief = (
        f"Relief: set no higher than {show(choice.relief_pa, 'pressure', system, 0)}, for"
        f" {show(choice.discharge_needed_w, 'power', system, 0)} on the largest source: {valve}."
    )
    if choice.open_circuit:
        room = show(choice.needed_m3 or 0.0, "volume", system)
        return [f"Expansion: open tank with {room} of room over the cold water; no vessel.", relief]
    if choice.needed_m3 is None:
        return [
            "Expansion: fill and relief pressure leave a vessel no room; lower the fill or raise the relief.",
            relief,
        ]
    sold = f"{show(choice.vessel_m3, 'volume', system)} vessel" if choice.vessel_m3 else "beyond the list; two vessels"
    pressures = " and ".join(show(one, "pressure", system, 0) for one in (choice.fill_pa, choice.relief_pa))
    return [
        f"Expansion: {show(choice.needed_m3, 'volume', system)} needed between {pressures} (EN 12828): {sold}.",
        relief,
    ]


def pump_rows(found: SelectionResult, system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the circulators."""
    flow, head = (pretty_unit(unit_for(name, system)) for name in ("flow", "head"))
    rows = [
        [
            pump.name,
            f"{pump.count:g}",
            f"{to_display(pump.flow_m3_s, 'flow', system):.2f}",
            f"{to_display(pump.head_pa, 'head', system):.1f}",
        ]
        for pump in found.pumps
    ]
    return ["circulators", "number", f"flow {flow}", f"head {head}"], rows
