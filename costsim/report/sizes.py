"""Sizes off the shelf of the option that is signed, each with the rule it is taken by and a line to confirm it."""

from __future__ import annotations

from collections.abc import Iterator

from costsim.analysis.circulators import PumpDuty
from costsim.analysis.on_service import ElectricChoice
from costsim.analysis.select import CircuitChoice, GasChoice, OptionChoice, SourceChoice
from costsim.report.basis import Basis
from costsim.report.blocks import Table, table
from costsim.report.reader import CONFIRM, LINE
from costsim.study.rating_checks import fire_relief
from costsim.units.quantity import show
from costsim.views.size_words import judged_room, least_tank, no_tank, tank_rule, wire_text
from costsim.views.text_capacity import boils_off_text
from costsim.views.text_circulators import flow_rule, run_rule, source_pump
from costsim.views.text_select import VENTS, output_dimension, reason_text, sold_text
from costsim.words import tr

Row = tuple[str, str, str]


UNDIVIDED_A = 48.0
"""What resistance elements may draw undivided: NEC 2023, 424.22(B), seen as quoted in a forum of electricians."""


def sizes_table(basis: Basis) -> Table:
    """Breaker, wire, gas pipe, vent, propane, expansion, relief and circulators, for the sizes that the option is entered with."""
    selection, system = basis.selection, basis.system
    choice = next(one for one in selection.options if one.option == basis.signed.name)
    rows = [*_sources(choice, system), *_pressure(choice, system)]
    for pump in selection.pumps:
        duty = f"{pump.count:g} × {_duty(pump, system)}"
        rule = (
            "; ".join([flow_rule(pump, system), run_rule(pump.head_pa)])
            if pump.drop_k
            else tr("Darcy and Weisbach, by loop")
        )
        rows.append((tr("circulators, {name}", name=pump.name), duty, rule))
    for pump in choice.pumps:
        duty = _duty(pump, system) if pump.head_pa is not None else tr(CONFIRM)
        rows.append((tr("{name}: circulator, where none is built in", name=pump.name), duty, source_pump(pump, system)))
    return table(
        "",
        [tr("part"), tr("size"), tr("by which rule"), tr("confirmed by")],
        [[*row, LINE] for row in rows],
        "wWWw",
        tr(
            "Circuits and gas lines are those of the sizes entered; another unit's plate changes them. Breakers,"
            " wire, gas pipe and vents by North American tables: the locally adopted code decides."
        ),
    )


def _duty(pump: PumpDuty, system: str) -> str:
    flow = show(pump.flow_m3_s, "flow", system, 2) if pump.flow_m3_s is not None else tr(CONFIRM)
    head = show(pump.head_pa, "head", system) if pump.head_pa is not None else tr(CONFIRM)
    return tr("{flow} at {head}", flow=flow, head=head)


def entered_rows(choice: OptionChoice, system: str) -> Iterator[tuple[str, str]]:
    """Each source as entered with its breaker, wire, gas line and relief valve, and what keeps the pressure: the sizes of `sizes_table`."""
    for source in choice.sources:
        gas = _gas(source.name, source.entered_gas, system) if source.entered_gas is not None else ()
        entries = [_heater(source, system)[1]]
        for at, (part, size, rule) in enumerate((*_circuit(source), *gas, *_relief(source, choice, system))):
            what = part.removeprefix(f"{source.name}: ")
            if size != tr(CONFIRM):
                entries.append(f"{what} {size}")
            elif at == 0:  # a circuit that no table tells stays open; other open lines stand on the inspector's page
                entries.append(f"{what} {size} ({rule})")
        yield source.name, "; ".join(entries)
    yield _expansion(choice.circuit, system)[:2]


def _sources(choice: OptionChoice, system: str) -> Iterator[Row]:
    for source in choice.sources:
        yield _heater(source, system)
        yield from _circuit(source)
        if source.entered_gas is not None:
            yield from _gas(source.name, source.entered_gas, system)


def _heater(source: SourceChoice, system: str) -> Row:
    entered = _entered(source, system)
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


def _entered(source: SourceChoice, system: str) -> str:
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


def _circuit(source: SourceChoice) -> Iterator[Row]:
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


def _gas(name: str, gas: GasChoice, system: str) -> Iterator[Row]:
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


def _pressure(choice: OptionChoice, system: str) -> Iterator[Row]:
    set_at, heat = show(choice.circuit.relief_pa, "pressure", system, 0), [one.entered_w for one in choice.sources]
    fires = choice.circuit.fires
    yield _expansion(choice.circuit, system)
    for source in choice.sources:
        yield from _relief(source, choice, system)
    if len(heat) > 1 and fires:
        rule = tr("all sources at once, where it guards them all (ASME BPVC IV): {plate}", plate=fire_relief(fires))
        yield tr("relief valve on the tank"), tr(CONFIRM), rule
    elif len(heat) > 1:
        size = tr("{set_at}, {heat} or more", set_at=set_at, heat=show(sum(heat), "power", system, 0))
        yield tr("relief valve on the tank"), size, tr("all sources at once, where it guards them all (ASME BPVC IV)")


def _relief(source: SourceChoice, choice: OptionChoice, system: str) -> Iterator[Row]:
    if source.fire:
        yield tr("{name}: relief valve of its own", name=source.name), tr(CONFIRM), fire_relief(source.name)
    elif source.entered_w > 0:
        at, heat = show(choice.circuit.relief_pa, "pressure", system, 0), show(source.entered_w, "power", system, 0)
        yield (
            tr("{name}: relief valve of its own", name=source.name),
            tr("{set_at}, {heat} or more", set_at=at, heat=heat),
            tr("not less than its output (ASME BPVC IV)"),
        )


def _expansion(choice: CircuitChoice, system: str) -> Row:
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
