"""What a cubic meter of the air that leaks holds at the place's altitude, in words."""

from __future__ import annotations

from costsim.engine.lower import LoweredStudy
from costsim.physics.envelope import AIR_J_M3K, air_capacity_j_m3k
from costsim.results.result import Assumption
from costsim.units.quantity import HOUR_S, show
from costsim.units.table import BTU_J, FOOT_M
from costsim.words import tr

US_J = BTU_J / (FOOT_M**3 * 5 / 9)


def air_words(altitude_m: float, system: str) -> str:
    """How the air that is renewed is counted, in one sentence.

    Parameters
    ----------
    altitude_m : float
        Of the place [m].
    system : str
        ``"us"`` or ``"si"``.
    """
    here, sea = air_capacity_j_m3k(altitude_m=altitude_m), AIR_J_M3K
    return tr(
        "Air: {here} × volume × changes an hour; EN 12831-1 has {sea} at sea level, and here at {altitude} it holds {share} of that, in"
        " proportion to its pressure (standard atmosphere, ISO 2533).",
        here=_shown(here, system),
        sea=_shown(sea, system),
        altitude=show(altitude_m, "length", system, 0),
        share=f"{here / sea:.0%}",
    )


def _shown(capacity_j_m3k: float, system: str) -> str:
    if system == "us":
        return f"{capacity_j_m3k / US_J:.4f} Btu/(ft³ °F)"
    return f"{capacity_j_m3k / HOUR_S:.3f} Wh/(m³ K)"


def air_assumption(common: LoweredStudy) -> list[Assumption]:
    """The air's heat capacity, where the load that counts has air of its own."""
    house, high = common.case.house, common.surroundings.altitude_m
    airy = {"envelope": [house.infiltration], "rooms": [room.infiltration for room in house.room]}
    if not any(airy.get(common.route.key, ())):
        return []
    here = air_capacity_j_m3k(altitude_m=high)
    text = tr(
        "{si} ({us}) at {altitude}",
        si=_shown(here, "si"),
        us=_shown(here, "us"),
        altitude=f"{show(high, 'length', 'si', 0)} ({show(high, 'length', 'us', 0)})",
    )
    source = tr(
        "EN 12831-1 at sea level, times the pressure of the standard atmosphere (ISO 2533) over that at sea level"
    )
    return [Assumption(tr("air that leaks"), text, source, "place.altitude")]
