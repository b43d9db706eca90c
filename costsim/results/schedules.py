"""What must be said of zones and of days away."""

from __future__ import annotations

from costsim.results.result import Assumption
from costsim.study.case import Case
from costsim.study.emitter_parts import emitters_differ
from costsim.study.zone_loops import loops_are_named
from costsim.units.quantity import show
from costsim.words import tr

Words = tuple[str, str, str, str, str, str]


def schedule_assumptions(case: Case) -> list[Assumption]:
    """What is assumed of zones and absences."""
    house, assumptions = case.house, []
    if house.zone:
        shares = ", ".join(f"{zone.name} {zone.share(house.floor_area_m2):.0%}" for zone in house.zone)
        text = tr(
            "{shares} of the heat loss; heat between rooms is not counted, all zones share one water temperature",
            shares=shares,
        )
        if emitters_differ(house):
            text = tr("{shares} of the heat loss; heat between rooms is not counted", shares=shares)
        assumptions.append(Assumption(tr("zones"), text, tr("by area, or as typed; method"), "house.zone"))
        if loops_are_named(house):
            text = tr(
                "each on its own loops; the water is as hot at design as the neediest zone wants it, up to"
                " the tank's highest, and what its loops still do not let through is unmet load of the floor"
            )
            assumptions.append(Assumption(tr("zones and their loops"), text, tr("method"), "house.zone"))
        if emitters_differ(house):
            text = tr(
                "one tank, as hot as its neediest emitters want it, and all sources run at that; cooler floors behind a mixing valve;"
                " what a slab stores counts for its own share of the heat loss; pumps of emitters other than the floor are not counted"
            )
            assumptions.append(Assumption(tr("emitters of different kinds"), text, tr("method"), "house.zone"))
        if case.floor is not None and case.floor.mass is not None:
            text = tr(
                "each zone on its share of slab and rooms, or on the slab over its own loops; where the"
                " sources are short, each gets its share of what it calls for; scenarios and their odds see"
                " the mean of the rooms alone"
            )
            assumptions.append(Assumption(tr("zones and their recovery"), text, tr("method"), "house.zone"))
    for at, absence in enumerate(house.absence, 1):
        until = tr(", warm again from {back_at}", back_at=absence.back_at) if absence.back_at else ""
        cool = f"{show(absence.indoor_temperature_c, 'temperature', 'us')} ({show(absence.indoor_temperature_c, 'temperature', 'si')})"
        typed = "indoor_temperature_c" in absence.model_fields_set
        source = tr("typed in the study") if typed else tr("common practice, no source")
        when = absence.months.replace("-", f" {tr('to')} ")
        if absence.days:
            every = tr("{days} of every week", days=absence.days)
            when = f"{every}, {when}" if when else every
        text = tr("{when} at {cool}{until}; no hot water drawn", when=when, cool=cool, until=until)
        assumptions.append(Assumption(tr("vacation or vacant house"), text, source, f"house.absence[{at}]"))
    return assumptions


def absence_words(case: Case) -> list[Words]:
    """The caution on frost while nobody is there, as `Caution` takes it."""
    if not case.house.absence:
        return []
    return [
        (
            "absence",
            tr("Frost while nobody is there"),
            tr("A low-temperature alarm, water shut off at the main, antifreeze or drained pipes."),
            tr(
                "The thermostat does not feel the coldest pipe: pipes in outside walls freeze while it still"
                " reads the frost set-point, and a power or fuel failure goes unseen. Fit a low-temperature"
                " alarm, shut the water off at the main, and have antifreeze or drained pipes where they"
                " could freeze; ask the insurer how often somebody must look in."
            ),
            tr("the plumbing and mechanical codes on freeze protection"),
            tr("the study's own absences; common practice, no source"),
        )
    ]
