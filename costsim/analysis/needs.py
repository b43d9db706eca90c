"""What a case asks of its sources and the parts of its circuit: temperatures, content, swelling, and the heat that relief must carry."""

from __future__ import annotations

import math

from costsim.engine.emitter_circuits import USUAL_DROP_K
from costsim.engine.lower import LoweredStudy, option_study
from costsim.engine.water import HOTTEST_WATER_C
from costsim.physics.emitters import EMITTERS
from costsim.physics.fluids import FILL_C, FluidProperties, boiling_c, mixed
from costsim.physics.hydraulics import TUBES
from costsim.results.caution import Caution
from costsim.results.cautions import cautions_of
from costsim.results.fires import burns_on, mild_water_c, names
from costsim.study.case import Case, Option
from costsim.study.emitter_parts import emitter_parts
from costsim.study.fluid import antifreeze_of
from costsim.study.ratings import Needs, Ratings, vessel_m3
from costsim.study.zone_loops import mean_kept_c

UNCOUNTED_SHARE = 0.1
"""Put on the water of a store and its tubes where the study does not tell what units and other pipes hold; common practice, no source."""


def mixture(case: Case, temperature_c: float) -> FluidProperties:
    """What circulates, at a temperature."""
    return mixed(*antifreeze_of(case), temperature_c)


def contents_m3(case: Case) -> dict[str, float]:
    """What the circuit holds, by part [m³]: what is filled in, what grows when it is hot, and what its weight comes from."""
    floor, plan = case.floor, case.floor.layout if case.floor else None
    parts = {
        "tubes": math.fsum(
            loop.count * loop.length_m * TUBES[loop.tube].area_m2 for loop in (floor.loops if floor else ())
        ),
        "mains": math.fsum(2.0 * level.mains_m for level in plan.level) * TUBES[plan.mains_tube].area_m2
        if plan
        else 0.0,
        "tank": case.tank.volume_m3 if case.tank else 0.0,
        "units and other pipes": case.ratings.extra_water_volume_m3 if case.ratings else 0.0,
    }
    return {part: volume for part, volume in parts.items() if volume > 0}


def uncounted_m3(case: Case, load_w: float) -> float | None:
    """What is put on for boilers, emitters and mains that are not typed [m³]: a share of a store and its tubes, where that is enough.

    Without a store, or where emitters that are not described usually hold more (`Emitter.water_m3_w`), None: it must be typed.

    Parameters
    ----------
    case : Case
        As the option sees it.
    load_w : float
        Design load [W].
    """
    if case.tank is None:
        return None
    parts = emitter_parts(case.house, floor=case.floor is not None)
    shares = [(part.emitter, part.load_share) for part in parts] or [
        (None if case.floor is not None else case.house.emitter, 1.0)
    ]
    usual = math.fsum(load_w * share * EMITTERS[kind].water_m3_w for kind, share in shares if kind is not None)
    put_on = UNCOUNTED_SHARE * math.fsum(contents_m3(case).values())
    return put_on if put_on >= usual else None


def case_of(case: Case, option: Option) -> Case:
    """The case as if it had that option alone, with the tank and the floor that it heats.

    What was typed stays as it was: do not run such a case with changed sizes.
    """
    return option.seen_in(case).model_copy(update={"option": (option,)})


def cautions_for(common: LoweredStudy, system: str, option: Option | None = None) -> tuple[Caution, ...]:
    """The cautions of one option, or of all of them, by the hottest tank and the earliest ice among them."""
    case = common.case if option is None else case_of(common.case, option)
    needs = [needs_of(common, case_option) for case_option in case.options]
    needed = max(supply_at_design_c(option_study(common, case_option)) for case_option in case.options)
    return cautions_of(
        case,
        coldest_c=needs[0].coldest_c,
        freeze_c=max(option_needs.freeze_c for option_needs in needs),
        max_temperature_c=max(option_needs.max_temperature_c for option_needs in needs),
        system=system,
        supply_c=None if any(case_option.tank_of(case) for case_option in case.options) else supply_at_design_c(common),
        return_c=min(return_at_design_c(option_study(common, case_option)) for case_option in case.options),
        needed_c=needed,
        load_w=float(common.route.load_w),
        mild_c=mild_water_c(indoor_c=case.house.indoor_temperature_c, water_c=needed, exponent=common.water.exponent),
    )


def supply_c(common: LoweredStudy, load_w: float) -> float:
    """Water that the floor or the emitters take for a load [°C]."""
    return float(mean_kept_c(common.case.house) + load_w * common.water.resistance_k_w)


def supply_at_design_c(common: LoweredStudy) -> float:
    """Water that the floor or the emitters take at design [°C]; a laid floor no hotter than it may have it, though rooms are short."""
    apart = common.water.circuits
    if apart:
        return float(apart[0].tank_c)
    return min(supply_c(common, common.route.load_w), common.water.supply_top_c)


def floor_supply_c(common: LoweredStudy) -> float:
    """Water that the floor that is described takes at design [°C]: what all take, where no other emitter needs hotter water."""
    own = [circuit.supply_c for circuit in common.water.circuits if circuit.emitter is None]
    return float(own[0]) if own else supply_at_design_c(common)


def water_at_design_c(common: LoweredStudy, option: Option) -> float:
    """How hot an option's tank, or what its emitters run on, is at design [°C]: for what its floor gives, and no hotter than its tank may be."""
    seen = option_study(common, option)
    water = supply_c(seen, min(seen.route.load_w, seen.water.limit_w))
    return min(water, seen.water.supply_top_c, seen.water.max_temperature_c)


def stops_at_design(common: LoweredStudy, option: Option) -> tuple[bool, ...]:
    """Of each source of an option, whether it gives nothing at the design load, whose water is hotter than it makes."""
    if all(source.makes_water(HOTTEST_WATER_C) for source in option.sources):
        return (False,) * len(option.sources)
    water_c = water_at_design_c(common, option)
    return tuple(not source.makes_water(water_c) for source in option.sources)


def return_at_design_c(common: LoweredStudy) -> float:
    """Water that comes back at design [°C]: the supply less what the floor's water cools, else less `USUAL_DROP_K`."""
    drop = float(common.route.load_w * common.water.drop_k_w) or USUAL_DROP_K
    return max(supply_at_design_c(common) - drop, common.case.house.indoor_temperature_c)


def needs_of(common: LoweredStudy, option: Option | None = None) -> Needs:
    """What an option asks of its parts; without one, what the study's own tank and the largest option do."""
    common = common if option is None else option_study(common, option)
    case, water = common.case, common.water
    options = case.options if option is None else (option,)
    plan = case.floor.layout if case.floor else None
    cold, hot = mixture(case, FILL_C).density_kg_m3, mixture(case, water.hottest_c).density_kg_m3
    return Needs(
        max_temperature_c=water.hottest_c,
        coldest_c=common.coldest_c,
        freeze_c=water.freeze_c,
        antifreeze=antifreeze_of(case)[0] != "none",
        floor=case.floor is not None,
        tank=case.tank is not None,
        source_w=max(
            sum(source.nameplate_w() for source in case_option.sources if not burns_on([source]))
            for case_option in options
        ),
        fires=names([source for case_option in options for source in burns_on(case_option.sources)]),
        content_m3=math.fsum(volume for part, volume in contents_m3(case).items() if part != "units and other pipes"),
        swell_share=cold / hot - 1.0,
        density_kg_m3=cold,
        open_circuit=case.tank is not None and case.tank.circuit == "open",
        pump_head_pa=case.floor.pump.head_values_pa[0] if case.floor and case.floor.pump else 0.0,
        boiling_c=boiling_c(altitude_m=common.surroundings.altitude_m),
        rise_m=max((level.rise_m for level in plan.level), default=0.0) if plan else 0.0,
        uncounted_m3=uncounted_m3(case, float(common.route.load_w)),
    )


def needed_vessel_m3(common: LoweredStudy, ratings: Ratings) -> float | None:
    """Expansion tank of the study's own circuit; see `vessel_m3`."""
    return vessel_m3(ratings, needs_of(common))
