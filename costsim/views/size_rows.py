"""Sizes of the parts of an option as entered, each with the rule it is taken by: for the list of material and for reports."""

from __future__ import annotations

from collections.abc import Iterator

from costsim.analysis.circulators import PumpDuty
from costsim.analysis.gas_line import GasChoice
from costsim.analysis.on_service import ElectricChoice
from costsim.analysis.select import CircuitChoice, OptionChoice, SourceChoice
from costsim.study.rating_checks import fire_relief
from costsim.units.quantity import show
from costsim.views.schematic import SourceMark, ValveMark
from costsim.views.size_words import judged_room, least_tank, no_tank, tank_rule, wire_text
from costsim.views.text_capacity import boils_off_text
from costsim.views.text_select import VENTS, output_dimension, reason_text, sold_text
from costsim.words import tr

Row = tuple[str, str, str]

CONFIRM = "to be confirmed by ____________"
UNDIVIDED_A = 48.0
"""What resistance elements may draw undivided: NEC 2023, 424.22(B), seen as quoted in a forum of electricians."""


def duty_text(pump: PumpDuty, system: str) -> str:
    """Flow and head of a pump; what is not known stays open."""
    flow = show(pump.flow_m3_s, "flow", system, 2) if pump.flow_m3_s is not None else tr(CONFIRM)
    head = show(pump.head_pa, "head", system) if pump.head_pa is not None else tr(CONFIRM)
    return tr("{flow} at {head}", flow=flow, head=head)


def entered_rows(choice: OptionChoice, system: str) -> Iterator[tuple[str, str]]:
    """Each source as entered with its breaker, wire, gas line and relief valve, and what keeps the pressure: the sizes of `sizes_table`."""
    for source in choice.sources:
        gas = gas_rows(source.name, source.entered_gas, system) if source.entered_gas is not None else ()
        entries = [_heater(source, system)[1]]
        for at, (part, size, rule) in enumerate((*circuit_rows(source), *gas, *relief_rows(source, choice, system))):
            what = part.removeprefix(f"{source.name}: ")
            if size != tr(CONFIRM):
                entries.append(f"{what} {size}")
            elif at == 0:  # a circuit that no table tells stays open; other open lines stand on the inspector's page
                entries.append(f"{what} {size} ({rule})")
        yield source.name, "; ".join(entries)
    yield expansion_row(choice.circuit, system)[:2]


def source_rows(choice: OptionChoice, system: str) -> Iterator[Row]:
    """Each source with its circuit and gas line."""
    for source in choice.sources:
        yield _heater(source, system)
        yield from circuit_rows(source)
        if source.entered_gas is not None:
            yield from gas_rows(source.name, source.entered_gas, system)


def _heater(source: SourceChoice, system: str) -> Row:
    entered = entered_text(source, system)
    needed, reason = show(source.needed_w, "power", system), reason_text(source, system)
    asked = tr("the load alone would ask for {needed} output{reason}", needed=needed, reason=reason)
    if source.what and source.needed_w <= 0 and not source.what.endswith("area"):
        return source.name, entered, tr("the other sources carry the design load without it")
    if source.chosen is None or source.what.endswith("area"):
        entry = [asked] if reason and source.what and not source.what.endswith("area") else []
        rule = ": ".join([*entry, *([source.note] if source.note else [])]) or tr("as entered")
        return source.name, entered if source.entered_w > 0 else tr(CONFIRM), rule
    sold = sold_text(source.what, source.chosen, system)
    return source.name, entered, tr("{asked}: {sold} is the next size sold", asked=asked, sold=sold)


def entered_text(source: SourceChoice, system: str) -> str:
    """The size that the study has: heat given, and for a burner what it burns for that."""
    size = show(source.entered_w, output_dimension(source.what), system, 1)
    gas = source.entered_gas
    if source.stops_at_design:
        return tr(
            "{size} output in this study; nothing at the design load, whose water is hotter than it makes", size=size
        )
    if gas is None:
        return tr("{size} output in this study", size=size)
    return tr("{size} output in this study; {input} input", size=size, input=show(gas.input_w, "power", system, 1))


def circuit_rows(source: SourceChoice) -> Iterator[Row]:
    """Breaker and wire first, then what the service carries; nothing for what draws no power."""
    part, circuit = tr("{name}: breaker and wire", name=source.name), source.entered_electric
    if circuit is None:
        return
    if circuit.rated:
        yield part, *_breaker(circuit)
    else:
        drawn = f"{circuit.load_w / circuit.volts_v:.1f}"
        yield part, tr(CONFIRM), tr("its plate (MCA and MOP); here it draws up to {amps} A in the year", amps=drawn)
    service = tr("{name}: load on the service", name=source.name)
    if circuit.service_a is None or circuit.service_load_a is None:
        yield service, tr(CONFIRM), circuit.method
    else:
        yield service, judged_room(circuit), circuit.method


def _breaker(choice: ElectricChoice) -> tuple[str, str]:
    amps = choice.load_w / choice.volts_v
    rule = tr(
        "{amps} A at {volts} V, times 1.25 as it runs for hours (NEC 210.19, 210.20, 424; copper by table 310.16)",
        amps=f"{amps:.1f}",
        volts=f"{choice.volts_v:.0f}",
    )
    if amps > UNDIVIDED_A:
        rule = tr(
            "{rule}; over 48 A its elements are subdivided inside as its listing says, which the electrician confirms",
            rule=rule,
        )
    if choice.circuit is None:
        return tr(CONFIRM), tr("{rule}: beyond one circuit of these tables", rule=rule)
    size = tr("{breaker} A, {wire}", breaker=choice.circuit.breaker_a, wire=wire_text(choice.circuit))
    if choice.typed_breaker_a is not None and choice.typed_breaker_a != choice.circuit.breaker_a:
        size = tr("{size} (the study has a breaker of {typed} A)", size=size, typed=f"{choice.typed_breaker_a:g}")
    return size, rule


def gas_rows(name: str, gas: GasChoice, system: str) -> Iterator[Row]:
    """Gas pipe and vent; tank and regulators for propane."""
    run, length = show(gas.run_input_w, "power", system, 0), show(gas.pipe_length_m, "length", system, 0)
    yield (
        tr("{name}: gas pipe", name=name),
        tr("{pipe} steel", pipe=gas.pipe) if gas.pipe else tr(CONFIRM),
        tr("{run} over {length}; NFPA 54 / IFGC 402.4", run=run, length=length),
    )
    yield (
        tr("{name}: vent category", name=name),
        tr(VENTS[gas.vent]),
        tr("the plate and the maker's instructions; NFPA 54"),
    )
    if gas.regulator_w is None and gas.propane_tank_m3 is None:
        return
    cold = show(gas.coldest_c, "temperature", system, 0)
    least = show(gas.propane_tank_m3, "volume", system, 0) if gas.propane_tank_m3 else tr(CONFIRM)
    yield (
        tr("{name}: propane tank", name=name),
        tr("{size}, as entered", size=show(gas.own_tank.tank_m3, "volume", system, 0)) if gas.own_tank else least,
        boils_off_text(gas.own_tank, system)
        if gas.own_tank
        else tr("boils off the input at {cold}, 30 % full (rule of thumb; the supplier decides)", cold=cold),
    )
    regulator = show(gas.regulator_w, "power", system, 0) if gas.regulator_w else tr(CONFIRM)
    yield tr("{name}: second-stage regulator", name=name), regulator, tr("the run's input; NFPA 58")
    yield tr("{name}: first-stage regulator", name=name), tr(CONFIRM), tr("the propane supplier; NFPA 58")


def pressure_size_rows(choice: OptionChoice, system: str) -> Iterator[Row]:
    """Expansion tank and relief valves."""
    set_at, heat = (
        show(choice.circuit.relief_pa, "pressure", system, 0),
        [choice_of_source.entered_w for choice_of_source in choice.sources],
    )
    fires = choice.circuit.fires
    yield expansion_row(choice.circuit, system)
    for source in choice.sources:
        yield from relief_rows(source, choice, system)
    if len(heat) > 1 and fires:
        rule = tr("all sources at once, where it guards them all (ASME BPVC IV): {plate}", plate=fire_relief(fires))
        yield tr("relief valve on the tank"), tr(CONFIRM), rule
    elif len(heat) > 1:
        size = tr("{set_at}, {heat} or more", set_at=set_at, heat=show(sum(heat), "power", system, 0))
        yield tr("relief valve on the tank"), size, tr("all sources at once, where it guards them all (ASME BPVC IV)")


def relief_rows(source: SourceChoice, choice: OptionChoice, system: str) -> Iterator[Row]:
    """The relief valve of a source."""
    if source.fire:
        yield tr("{name}: relief valve of its own", name=source.name), tr(CONFIRM), fire_relief(source.name)
    elif source.entered_w > 0:
        at, heat = show(choice.circuit.relief_pa, "pressure", system, 0), show(source.entered_w, "power", system, 0)
        yield (
            tr("{name}: relief valve of its own", name=source.name),
            tr("{set_at}, {heat} or more", set_at=at, heat=heat),
            tr("not less than its output (ASME BPVC IV)"),
        )


def expansion_row(choice: CircuitChoice, system: str) -> Row:
    """The expansion tank, or room in an open tank."""
    if choice.open_circuit:
        room = show(choice.room_m3, "volume", system)
        return tr("expansion"), tr("{needed} of room in the open tank", needed=room), tr("growth from cold to hot")
    needed, sold = choice.needed_m3, choice.sold_m3
    if needed is None:
        return tr("expansion tank"), tr(CONFIRM), no_tank(choice, system)
    least = least_tank(choice, system)
    if sold:
        size = tr("{least} or more: a tank of {size}", least=least, size=show(sold, "volume", system))
    else:
        size = tr("{needed} or more, several tanks: {line}", needed=least, line=tr(CONFIRM))
    if not choice.units_counted:
        size = tr("{size}; the units' own water is not typed", size=size)
    return tr("expansion tank"), size, tank_rule(choice, system)


def valve_row(valve: ValveMark, system: str) -> str:
    """What a circuit of cooler water takes beside its pump: a mixing valve and a high limit."""
    set_to = show(valve.water_c, "temperature", system, 0)
    if valve.limit_c is None:
        return tr(
            "{name}: set for {water} at design, with a high limit that keeps the floor's surface at {surface} or less (EN 1264); no more"
            " than the covering's maker allows",
            name=valve.level,
            water=set_to,
            surface=show(valve.surface_c, "temperature", system, 0),
        )
    return tr(
        "{name}: set for {water} at design, with a high limit at {limit}",
        name=valve.level,
        water=set_to,
        limit=show(valve.limit_c, "temperature", system, 0),
    )


def filling_row(source: SourceMark, system: str) -> str:
    """What fills a circuit outdoors, in a line of what is to be bought."""
    if source.circuit == "drain_back":
        return tr("a circuit of its own with exchanger, drain-back tank and pump; water, no antifreeze")
    cold = show(source.coldest_c, "temperature", system, 0) if source.coldest_c is not None else tr("the coldest night")
    if source.filling_m3 is None:
        return tr(
            "glycol that withstands {cold} in a circuit of its own, with exchanger, expansion tank, relief valve and pump; how much,"
            " its sheet says",
            cold=cold,
        )
    return tr(
        "about {filling} of glycol mix that withstands {cold} (common practice, no source), own exchanger, expansion tank, relief"
        " valve and pump",
        filling=show(source.filling_m3, "volume", system, 0),
        cold=cold,
    )
