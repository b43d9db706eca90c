"""The inspector's page: diagrams, ratings against the worst the system can do, ways it can fail, and what stays open."""

from __future__ import annotations

from collections.abc import Iterator

from costsim.analysis.layout_plan import LayoutResult
from costsim.analysis.propane_tank import BoilOff
from costsim.physics.floor import surface_excess_k
from costsim.physics.fluids import freeze_point_c, mass_fraction_from_volume
from costsim.physics.gas_pipe import GASES
from costsim.report.basis import Basis
from costsim.report.blocks import Block, Chart, Facts, Heading, Signatures, Table, Text, table
from costsim.report.fires import by_hand, limits_words, pump_rows
from costsim.report.sizes import sizes_table
from costsim.study.case import Option
from costsim.study.fluid import antifreeze_of
from costsim.units.quantity import show
from costsim.views.schematic import draw
from costsim.views.schematic_words import WARNING
from costsim.views.system import system_of
from costsim.words import each, tr

STANDARDS = {
    "tube": "ASTM F876, F877; EN ISO 15875",
    "tank": "ASME BPVC VIII or IV; EN 12897",
    "open tank": "the mechanical code on open systems",
    "pump": "its plate; UL 778; EN 60335-2-51",
    "expansion tank": "ASME BPVC VIII; EN 13831; size by the ASHRAE Handbook or EN 12828",
    "relief valve": "ASME BPVC IV; EN ISO 4126-1",
    "fill pressure": "EN 12828",
    "freezing point of what circulates": "ASTM D1177 (freezing), D3306; the maker's chart",
}
"""Where to look a rating up; numbers from memory."""
BLANK = "_" * 34
WEAKER_SHARE, LOST_SHARE = 0.10, 0.10
SIGNERS = (
    ("Installer", "What is installed has the ratings above; open items are filled in."),
    ("Inspector", "Seen; the locally adopted codes decide."),
)


def inspect_pages(basis: Basis) -> tuple[Block, ...]:
    """Give the blocks of the inspector's page."""
    return (
        Text(
            tr(
                "What each part must stand against what it is rated for, how the system fails and what it"
                " then does. The locally adopted codes and the makers' instructions decide; this page only"
                " collects what they will ask."
            )
        ),
        diagram(basis),
        Heading(tr("{name}: each part against the worst the system can do", name=basis.signed.name)),
        equivalence(basis),
        Heading(tr("{name}: sizes off the shelf", name=basis.signed.name)),
        sizes_table(basis),
        Heading(tr("{name}: when something fails", name=basis.signed.name)),
        failures(basis),
        Heading(tr("{name}: open items, to be filled in by hand", name=basis.signed.name)),
        Facts(tuple((what, BLANK) for what in open_items(basis))),
        Signatures(each(SIGNERS)),
    )


def diagram(basis: Basis) -> Chart:
    """The schematic of the option that is signed, in the wide frame."""
    return _drawn(basis, basis.signed.option, basis.signed.layout)


def other_diagrams(basis: Basis) -> tuple[Chart, ...]:
    """The schematics of the options that are not signed."""
    return tuple(
        _drawn(basis, option, basis.layout) for option in basis.case.options if option.name != basis.signed.name
    )


def _drawn(basis: Basis, option: Option, laid: LayoutResult | None) -> Chart:
    drawing = draw(system_of(basis.common, option, basis.look(option.name).sources, laid), basis.system)
    return Chart(f"{drawing.title}. {tr(WARNING)}", drawing.svg, drawing.about)


def equivalence(basis: Basis) -> Table:
    """Ratings, the worst case, the verdict, and the standard to look up."""
    rows = [
        [
            tr(check.what),
            check.given_text(basis.system),
            check.needed_text(basis.system),
            tr(check.verdict),
            check.ground,
            tr(STANDARDS.get(check.what.split(":")[0], "the part's data sheet")),
        ]
        for check in basis.signed.checks
    ]
    rows += [
        _propane(source.boils_off, source.name, basis.system)
        for source in basis.look(basis.signed.name).sources
        if source.boils_off
    ]
    note = tr(
        "Gauge pressures. “Not given” is to be read from the part's plate; the standards named are"
        " to be confirmed by the inspector."
    )
    headings = [tr("part"), tr("rated"), tr("worst case"), tr("verdict"), tr("because of"), tr("look up")]
    return table("", headings, rows, "wrrlww", note, marks=(tr("fail"), tr("take care")))


def _propane(boil_off: BoilOff, name: str, system: str) -> list[str]:
    """What a propane tank boils off in the cold, against the fire of the design night and full fire."""
    verdict = "pass" if boil_off.enough else "take care" if boil_off.gives_w >= boil_off.design_w else "fail"
    burns = (show(watts, "power", system, 0) for watts in (boil_off.design_w, boil_off.burns_w))
    return [
        tr("propane tank of {name}, {tank}", name=name, tank=show(boil_off.tank_m3, "volume", system, 0)),
        tr("boils off {gives}", gives=show(boil_off.gives_w, "power", system, 0)),
        tr("{night} on the design night, {full} at full fire", night=next(burns), full=next(burns)),
        tr(verdict),
        tr("{cold} outside, 30 % full; rule of thumb", cold=show(boil_off.coldest_c, "temperature", system, 0)),
        tr("the supplier's table; NFPA 58"),
    ]


def failures(basis: Basis) -> Table:
    """What can go wrong, and what the system then does, with this study's numbers."""
    rows = [[what, then] for what, then in _failures(basis)]
    return table("", [tr("what fails"), tr("what the system then does")], rows, "wW")


def _failures(basis: Basis) -> Iterator[tuple[str, str]]:
    yield from _pump_stuck(basis)
    for failure in basis.look(basis.signed.name).failures:
        lowest = show(failure.lowest_c, "temperature", basis.system, 0)
        levels = [
            tr("{level} after {hours} h", level=show(level, "temperature", basis.system, 0), hours=hours)
            for level, hours in failure.hours_to_level.items()
            if hours
        ]
        reached = f", {', '.join(levels)}" if levels else tr("; the others carry on")
        yield (
            tr("{what} out, coldest week", what=failure.what),
            tr("the house falls to {lowest}{reached}", lowest=lowest, reached=reached),
        )
    yield from _relief_lifts(basis)
    yield from _weak_antifreeze(basis)
    yield from _overheats(basis)


def _pump_stuck(basis: Basis) -> Iterator[tuple[str, str]]:
    """A pump that stands still: its share of the load is gone, and its source must stop by itself."""
    if basis.signed.layout is not None:
        load = {plan.circuit.name: plan.design.load_w for plan in basis.signed.layout.loops}
        circuits = list(dict.fromkeys(plan.circuit.name for plan in basis.signed.layout.loops))
        worst = max(basis.signed.layout.pumps, key=lambda pump: sum(load[circuits[i]] for i in pump.loops))
        lost = sum(load[circuits[i]] for i in worst.loops)
        yield (
            tr("a pump of the floor stands still"),
            tr(
                "at most {lost} of {design_load} is lost, on {level}; further pumps run on: {pumps}",
                lost=show(lost, "power", basis.system),
                design_load=show(basis.signed.layout.design_load_w, "power", basis.system),
                level=worst.level,
                pumps=len(basis.signed.layout.pumps) - 1,
            ),
        )
    elif basis.signed.case.floor is not None:
        yield tr("a pump of the floor stands still"), tr("its loops cool; the others run on")
    yield from _emitter_pumps_stuck(basis)
    yield from pump_rows(basis)


def _emitter_pumps_stuck(basis: Basis) -> Iterator[tuple[str, str]]:
    """The pump of baseboards, radiators or coils stands still: what of the load is gone."""
    total = basis.result.route.load_w
    for pump in basis.selection.pumps:
        if pump.load_share is None:
            continue
        lost = show(pump.load_share * total, "power", basis.system)
        what = tr("the pump of {name} stands still", name=pump.name)
        if pump.load_share >= 1.0:
            yield (
                what,
                tr("all heat is lost, {lost} at design; thermostats call in vain until it runs again", lost=lost),
            )
        else:
            design = show(total, "power", basis.system)
            yield (
                what,
                tr(
                    "{lost} of {design} is lost, all of its part of the house; the others run on",
                    lost=lost,
                    design=design,
                ),
            )


def _relief_lifts(basis: Basis) -> Iterator[tuple[str, str]]:
    needs, case = basis.signed.needs, basis.signed.case
    lost = needs.content_m3 * LOST_SHARE
    text = (
        tr("what {fires} gives at its peak leaves as hot water and steam where its pipe ends", fires=needs.fires)
        if needs.fires
        else tr(
            "up to {source} leaves as hot water and steam where its pipe ends",
            source=show(needs.source_w, "power", basis.system),
        )
    )
    antifreeze, share = antifreeze_of(case)
    if antifreeze != "none":
        left = share * (1.0 - LOST_SHARE)
        text += tr(
            "; {lost} lost and filled up with water thin the antifreeze from {concentration_share} % to {left} %",
            lost=show(lost, "volume", basis.system),
            concentration_share=f"{share * 100:.0f}",
            left=f"{left * 100:.0f}",
        )
    yield tr("a relief valve lifts"), text


def _weak_antifreeze(basis: Basis) -> Iterator[tuple[str, str]]:
    case, needs = basis.signed.case, basis.signed.needs
    coldest = show(needs.coldest_c, "temperature", basis.system, 0)
    antifreeze, share = antifreeze_of(case)
    if antifreeze == "none":
        yield (
            tr("plain water in the cold"),
            tr(
                "ice forms below {show} and bursts pipes; coldest outside {coldest}",
                show=show(0.0, "temperature", basis.system, 0),
                coldest=coldest,
            ),
        )
        return
    weaker = max(share - WEAKER_SHARE, 0.0)
    mass = mass_fraction_from_volume(fluid=antifreeze, volume_fraction=weaker)
    freeze = freeze_point_c(fluid=antifreeze, mass_fraction=mass)
    verdict = (
        tr("still open at")
        if freeze <= needs.coldest_c
        else tr("slush that pumps cannot move, where pipe lies outside the heated house, at")
    )
    yield (
        tr("antifreeze weaker by {weaker_share} % by volume", weaker_share=f"{WEAKER_SHARE * 100:.0f}"),
        tr(
            "ice begins at {freeze} in place of {freeze_2}: {verdict} the coldest outside, {coldest}",
            freeze=show(freeze, "temperature", basis.system, 0),
            freeze_2=show(needs.freeze_c, "temperature", basis.system, 0),
            verdict=verdict,
            coldest=coldest,
        ),
    )


def _overheats(basis: Basis) -> Iterator[tuple[str, str]]:
    """The tank at its highest temperature, and a floor that takes that water unmixed."""
    case, needs = basis.signed.case, basis.signed.needs
    top = show(needs.max_temperature_c, "temperature", basis.system, 0)
    text = (
        tr(
            "it steams at {boiling} and its level falls; the vent must be free",
            boiling=show(needs.boiling_c, "temperature", basis.system, 0),
        )
        if needs.open_circuit
        else tr("the relief valve lifts at its set pressure or temperature")
    )
    yield (
        tr("the tank runs past {top}", top=top),
        limits_words(basis, text),
    )
    loops = basis.signed.common.water.loops
    if case.floor is None or not loops:
        return
    heat = sum(check.count * check.heat_w_k for check in loops) * (
        needs.max_temperature_c - case.house.indoor_temperature_c
    )
    warm = case.house.indoor_temperature_c + float(surface_excess_k(flux_w_m2=heat / case.floor.area_m2))
    most = sum(check.surface_limit_w for check in loops) / case.floor.area_m2
    limit = case.house.indoor_temperature_c + float(surface_excess_k(flux_w_m2=most))
    verdict = "within" if warm <= limit else "over"
    yield (
        tr("the floor takes {top} water unmixed", top=top),
        tr(
            "its surface goes to {warm}, {verdict} the limit of {limit}; a limit thermostat must stop its pumps",
            warm=show(warm, "temperature", basis.system, 0),
            verdict=verdict,
            limit=show(limit, "temperature", basis.system, 0),
        ),
    )


def open_items(basis: Basis) -> list[str]:
    """What nobody but people on site can write down."""
    sources = basis.signed.option.sources
    burning = any(source.burns_fuel for source in sources)
    gas = any(source.fuel_key in GASES for source in sources)
    missing = [tr(check.what) for check in basis.signed.checks if check.verdict == "not given"]
    return [
        *missing,
        tr("standards and editions that apply, confirmed by"),
        tr("make and model of each source"),
        tr("pressure test: pressure, hours, by whom"),
        *([tr("antifreeze as measured, freezing point and date")] if basis.signed.needs.antifreeze else []),
        tr("backflow preventer, make and test date"),
        tr("high limit and low-water control tried"),
        *([tr("combustion air and vent as installed")] if burning else []),
        *([tr("gas line test pressure")] if gas else []),
        *([tr("carbon-monoxide alarms, where")] if burning else []),
        *by_hand(basis),
        tr("circuit and wire as installed, by whom"),
    ]
