"""Sizes off the shelf: heater, circuit, gas line, propane tank, vessel and relief of every source and option."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from costsim.analysis.capacity import OptionCapacity, capacity_report
from costsim.analysis.circulators import PumpDuty, room_pumps, source_pumps
from costsim.analysis.gas_line import GasChoice, gas_line, next_size
from costsim.analysis.needs import needed_vessel_m3, needs_of, stops_at_design
from costsim.analysis.on_service import ElectricChoice, on_circuit, on_service
from costsim.analysis.size_steps import (
    SizeStep,
    entered_draw_w,
    output_share,
    share_at_design,
    sized_steps,
)
from costsim.analysis.sized_years import SizedOption
from costsim.engine.lower import LoweredStudy, lower_plant, lower_study, option_study
from costsim.physics.gas_pipe import GASES
from costsim.results.fires import burns_on, names
from costsim.sources import HeatSource
from costsim.study.case import Case, Option
from costsim.study.ratings import (
    Ratings,
    cold_fill_pa,
    handbook_vessel_m3,
    open_room_m3,
    relief_pa,
    swelling_m3,
    water_m3,
)
from costsim.study.selection import Selection, Sizes, sizes_of
from costsim.weather import Weather
from costsim.words import tr


@dataclass(frozen=True, slots=True)
class SourceChoice:
    """What is chosen for one source. No `steps` where its kind is not sold by heat output.

    `entered_w`, `entered_electric` and `entered_gas` are the size that the study has, and circuit and gas line of that size; `kept`
    where it heats the house today, so that it stays. None is `chosen` where the others carry the load. `needed_w` is the design load
    with its margin less `beside_w`, which its `others` are sure to give; it must be left on average over the coldest day, and nothing
    is where it `stops_at_design`.
    """

    name: str
    kind: str
    what: str
    needed_w: float
    steps: tuple[SizeStep, ...]
    chosen: SizeStep | None
    electric: ElectricChoice | None
    gas: GasChoice | None
    note: str
    entered_w: float = 0.0
    entered_electric: ElectricChoice | None = None
    entered_gas: GasChoice | None = None
    kept: bool = False
    design_load_w: float = 0.0
    margin_share: float = 0.0
    beside_w: float = 0.0
    others: int = 0
    stops_at_design: bool = False
    fire: bool = False


@dataclass(frozen=True, slots=True)
class CircuitChoice:
    """What keeps the pressure: the water that is known of, room needed in an open tank, the expansion tank, and the relief valve.

    `needed_m3` and `sold_m3` are what is needed by EN 12828 and its size off the shelf [m³]; None where the water is not known or the
    pressures leave no room, and where no listed size does; `handbook_m3` is what the ASHRAE Handbook asks for.
    `units_counted` says whether the study tells what units
    and other pipes hold; where it does not, `needs.UNCOUNTED_SHARE` more water is taken, or nothing is `known` (see `needs.uncounted_m3`).
    Of `fires` that burn on no discharge is known but what their plates say: it is that of the largest other source, 0 where there is none.
    """

    open_circuit: bool
    water_m3: float
    room_m3: float
    needed_m3: float | None
    sold_m3: float | None
    relief_pa: float
    fill_pa: float
    discharge_needed_w: float
    relief_discharge_w: float | None
    units_counted: bool = True
    known: bool = True
    handbook_m3: float | None = None
    fires: str = ""


@dataclass(frozen=True, slots=True)
class OptionChoice:
    """All of one option; `pumps` are those of its sources."""

    option: str
    sources: tuple[SourceChoice, ...]
    circuit: CircuitChoice
    pumps: tuple[PumpDuty, ...] = ()


@dataclass(frozen=True, slots=True)
class SelectionResult:
    """All options, and what they share."""

    title: str
    design_load_w: float
    target_w: float
    margin_share: float
    options: tuple[OptionChoice, ...]
    pumps: tuple[PumpDuty, ...]
    size_sources: Mapping[str, str]


def select(case: Case, weather: Weather, only: str = "") -> SelectionResult:
    """Choose the next common size up of every part.

    Parameters
    ----------
    case : Case
        Read from text, so that its sizes can be changed.
    weather : Weather
    only : str
        Name of the one option whose parts are chosen; all of them where it is empty.

    Returns
    -------
    SelectionResult

    Raises
    ------
    InputError
        A list of sizes cannot be used, or case and weather do not fit each other.

    Notes
    -----
    A source must carry the design load, no gains credited, with the margin and after all its derates, less what the other
    sources of its option that are always there leave of theirs. A fire carries over the day what its loads burn, with the buffer
    of EN 303-5; its backup is not counted. Collectors carry no load: theirs is the next field over the area typed. Each size is
    run for a year: what it costs and what it leaves short. What may run in some hours only must give the day's heat in those, and no
    size is chosen whose own year is too cold for more hours than the study allows.
    """
    selection = case.selection or Selection()
    sizes = sizes_of(selection, case.files, case.file)
    common = lower_study(case, weather)
    report = capacity_report(case, weather)
    target = common.route.load_w * (1.0 + selection.margin_share)
    options = []
    for at, (option, capacity) in enumerate(zip(case.options, report.options, strict=True)):
        if only and option.name != only:
            continue
        choices, sized = [], SizedOption(case, weather, at, common)
        for number in range(len(option.sources)):
            beside = beside_w(option, capacity, number)
            choice = _source(sized, sizes, selection, number, max(target - beside, 0.0))
            others, load, margin = len(option.sources) - 1, common.route.load_w, selection.margin_share
            choice = replace(choice, design_load_w=load, margin_share=margin, beside_w=beside, others=others)
            kept, stops = _as_today(case, option.sources[number]), capacity.sources[number].stops_at_design
            fire = bool(burns_on([option.sources[number]]))
            choices.append(replace(choice, kept=kept, stops_at_design=stops, fire=fire))
        choices = _with_service(case, selection, choices)
        pressure = _pressure(option_study(common, option), sizes, option)
        options.append(OptionChoice(option.name, tuple(choices), pressure, source_pumps(option.seen_in(case), option)))
    return SelectionResult(
        case.title, common.route.load_w, target, selection.margin_share, tuple(options), room_pumps(case, weather, common),
        sizes.sources,
    )  # fmt: skip


def entered_choice(common: LoweredStudy, option: Option) -> OptionChoice:
    """Circuit, gas line, pressure parts and pumps of an option's sources at the sizes that the study has; no other size is looked at.

    Raises
    ------
    InputError
        A list of sizes cannot be used.
    """
    case, study = common.case, option_study(common, option)
    selection = case.selection or Selection()
    sizes = sizes_of(selection, case.files, case.file)
    choices = []
    for source, offer in zip(option.sources, lower_plant(study, option).offers, strict=True):
        entered_w, share = source.nameplate_w(), output_share(source, offer)
        circuit = on_circuit(selection, source, entered_draw_w(source, offer)) if source.continuous_load else None
        gas = None
        if source.fuel_key in GASES:
            at_design = share_at_design(study, option, source)
            gas = gas_line(study, sizes, selection, source, entered_w, entered_w / min(share, at_design), at_design)
        fire = bool(burns_on([source]))
        choices.append(
            SourceChoice(
                source.label, source.kind, source.market_list, 0.0, (), None, None, None, "",
                entered_w, circuit, gas, _as_today(case, source), fire=fire,
            )
        )  # fmt: skip
    pressure, pumps = _pressure(study, sizes, option), source_pumps(option.seen_in(case), option)
    return OptionChoice(option.name, tuple(_with_service(case, selection, choices)), pressure, pumps)


def _pressure(study: LoweredStudy, sizes: Sizes, option: Option) -> CircuitChoice:
    """What keeps the pressure of an option, with its fires named."""
    fires = burns_on(option.sources)
    largest = max((source.nameplate_w() for source in option.sources if source not in fires), default=0.0)
    return replace(_circuit(study, sizes, largest), fires=names(fires))


def beside_w(option: Option, capacity: OptionCapacity, number: int) -> float:
    """What the other sources of an option are sure to give at design beside one of them [W]."""
    source = option.sources[number]
    return math.fsum(
        max(source_capacity.derated_w, 0.0)
        for i, (source_capacity, other) in enumerate(zip(capacity.sources, option.sources, strict=True))
        if i != number
        and always_there(other)
        and not source_capacity.stops_at_design
        and not (other.backup_only and source.unstoppable)
    )


def _source(sized: SizedOption, sizes: Sizes, selection: Selection, number: int, needed_w: float) -> SourceChoice:
    source = sized.option.sources[number]
    what = source.market_list
    steps, chosen = sized_steps(sized, sizes, number, needed_w) if what else ((), None)
    free = chosen is None and (needed_w <= 0 or not what)
    heat = chosen.output_w if chosen else source.nameplate_w() if free else needed_w
    electric, entered_electric, entered = None, None, source.nameplate_w()
    offer = sized.plant.offers[number]
    share = output_share(source, offer)
    if source.continuous_load:
        rated = source.plate_efficiency() is not None
        load = heat / share if rated or chosen is None else chosen.input_w
        entered_electric = on_circuit(selection, source, entered_draw_w(source, offer))
        electric = entered_electric if free else on_circuit(selection, source, load)
    gas, entered_gas = None, None
    if source.fuel_key in GASES:
        at_design = share_at_design(sized.own, sized.option, source)
        rated_w = [heat_w / min(share, at_design) for heat_w in (heat, entered)]
        if chosen is not None and what.endswith("input"):
            rated_w[0] = chosen.size
        gas, entered_gas = (
            gas_line(sized.study, sizes, selection, source, heat_w, input_w, at_design)
            for heat_w, input_w in zip((heat, entered), rated_w, strict=True)
        )
    return SourceChoice(
        source.label, source.kind, what, needed_w, steps, chosen, electric, gas,
        _note(source, needed_w, steps, chosen, stops_at_design(sized.study, sized.option)[number]) if what else source.sized_by,
        entered, entered_electric, entered_gas,
    )  # fmt: skip


def _as_today(case: Case, source: HeatSource) -> bool:
    """Whether a source, by kind and size, is one of those that heat the house today."""
    units = [unit for option in case.options if option.today for unit in option.sources]
    return any((unit.kind, unit.nameplate_w()) == (source.kind, source.nameplate_w()) for unit in units)


def _note(
    source: HeatSource, needed_w: float, steps: Sequence[SizeStep], chosen: SizeStep | None, stops: bool = False
) -> str:
    if source.collects_sun:
        return "" if chosen else tr("no listed field is as large as the one typed")
    if needed_w <= 0:
        return tr(
            "the other sources carry the coldest hour by themselves, so no size is marked: a larger one may take more of the year from them;"
            " weigh what each costs a year against its price"
        )
    if chosen is None:
        if stops:
            return tr("at the design load the water is hotter than it makes: a second source must carry that")
        cold = steps and steps[-1].left_w <= 0
        if cold and source.outdoors:
            return tr("it gives nothing in the coldest hour: a second source must carry that")
        if steps and steps[-1].left_w >= needed_w:
            return (
                tr("no listed size keeps the house warm through its hours of rest: a larger store, or another source")
                if steps[-1].day_share < 1.0
                else tr(
                    "sizes that carry the load leave more hours too cold than are allowed: its size is not the reason"
                )
            )
        return tr("no listed size carries it: two units, or a longer list")
    if source.unstoppable and chosen.unmet_hours:
        return tr(
            "between its loads the house is too cold in {hours} hours: the others must carry those",
            hours=f"{chosen.unmet_hours:,}",
        )
    return ""


def always_there(source: HeatSource) -> bool:
    """Whether a source may be counted on in the coldest hour: not the sun, a fire, or one that clock, cold or utility switch off.

    Examples
    --------
    >>> from costsim.study.case import read_study
    >>> [[always_there(source) for source in option.sources] for option in read_study("net_loft").options]
    [[True], [True, True], [False, True]]
    """
    barred = source.windows or source.months or source.days != "every day" or source.curtailment is not None
    locked = source.lockout_above_c is not None or source.lockout_below_c is not None
    return not (source.unstoppable or source.collects_sun or barred or locked)


def _with_service(case: Case, selection: Selection, choices: Sequence[SourceChoice]) -> list[SourceChoice]:
    """What the service carries with all electric units of an option at once, as chosen and as entered."""
    chosen = on_service(case, selection, [choice.electric for choice in choices])
    entered = on_service(case, selection, [choice.entered_electric for choice in choices])
    return [
        replace(choice, electric=new, entered_electric=old)
        for choice, new, old in zip(choices, chosen, entered, strict=True)
    ]


def _circuit(common: LoweredStudy, sizes: Sizes, output_w: float) -> CircuitChoice:
    """Vessel or room in the open tank, and the relief valve of the largest source."""
    needs, ratings = needs_of(common), common.case.ratings or Ratings()
    relief, fill, counted = relief_pa(ratings), cold_fill_pa(ratings, needs), ratings.extra_water_volume_m3 > 0
    discharge = next_size(sizes.of("relief valve discharge"), output_w) if output_w > 0 else None
    water = water_m3(ratings, needs)
    if needs.open_circuit:
        room = open_room_m3(ratings, needs)
        return CircuitChoice(True, water, room, None, None, relief, 0.0, output_w, discharge, counted)
    needed = needed_vessel_m3(common, ratings)
    listed = sizes.of("expansion tank")
    sold = next_size(listed, needed) if needed is not None else None
    known = swelling_m3(ratings, needs) is not None
    handbook = handbook_vessel_m3(ratings, needs)
    return CircuitChoice(False, water, 0.0, needed, sold, relief, fill, output_w, discharge, counted, known, handbook)


def as_json(selection: SelectionResult) -> dict[str, Any]:
    """The selection as plain data, in SI; keys end in their unit."""
    return asdict(selection)
