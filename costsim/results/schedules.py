"""What must be said of zones and of days away."""

from __future__ import annotations

from costsim.results.result import Assumption
from costsim.study.case import Case
from costsim.study.zone_loops import loops_are_named
from costsim.units.quantity import show

Words = tuple[str, str, str, str, str, str]


def schedule_assumptions(case: Case) -> list[Assumption]:
    """What is assumed of zones and absences."""
    house, found = case.house, []
    if house.zone:
        shares = ", ".join(f"{zone.name} {zone.share(house.floor_area_m2):.0%}" for zone in house.zone)
        text = f"{shares} of the heat loss; heat between rooms is not counted, all zones share one water temperature"
        found.append(Assumption("zones", text, "by area, or as typed; method", "house.zone"))
        if loops_are_named(house):
            text = (
                "each on its own loops; the water is as hot at design as the neediest zone wants it, up to the tank's highest,"
                " and what its loops still do not let through is unmet load of the floor"
            )
            found.append(Assumption("zones and their loops", text, "method", "house.zone"))
        if case.floor is not None and case.floor.mass is not None:
            text = (
                "each zone on its share of slab and rooms, or on the slab over its own loops; where the sources are short, each"
                " gets its share of what it calls for; scenarios and their odds see the mean of the rooms alone"
            )
            found.append(Assumption("zones and their recovery", text, "method", "house.zone"))
    for at, absence in enumerate(house.absence, 1):
        until = f", warm again from {absence.back_at}" if absence.back_at else ""
        cool = f"{show(absence.indoor_temperature_c, 'temperature', 'us')} ({show(absence.indoor_temperature_c, 'temperature', 'si')})"
        typed = "indoor_temperature_c" in absence.model_fields_set
        source = "typed in the study" if typed else "common practice, no source"
        text = f"{absence.from_day} to {absence.to_day} at {cool}{until}; no hot water drawn"
        found.append(Assumption("nobody there", text, source, f"house.absence[{at}]"))
    return found


def absence_words(case: Case) -> list[Words]:
    """The caution on frost while nobody is there, as `Caution` takes it."""
    if not case.house.absence:
        return []
    return [
        (
            "absence",
            "Frost while nobody is there",
            "A low-temperature alarm, water shut off at the main, antifreeze or drained pipes.",
            "The thermostat does not feel the coldest pipe: pipes in outside walls freeze while it still reads the frost set-point, and"
            " a power or fuel failure goes unseen. Fit a low-temperature alarm, shut the water off at the main, and have antifreeze or"
            " drained pipes where they could freeze; ask the insurer how often somebody must look in.",
            "the plumbing and mechanical codes on freeze protection",
            "the study's own [[house.absence]]; common practice, no source",
        )
    ]
