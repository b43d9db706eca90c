"""Water that comes back too cool to a boiler whose flue gas must not condense."""

from __future__ import annotations

from collections.abc import Iterator

from costsim.physics.fuels import FUELS
from costsim.results.caution import Caution, Site
from costsim.sources import HeatSource
from costsim.study.case import Case
from costsim.words import tr

LEAST_RETURN_C, USUAL_MOST_C = 54.4, 60.0
"""130 and 140 °F: inlet below which makers of boilers that do not condense ask for a bypass or mixing valve. Seen in manuals: 130 °F
(Camus DynaFlame, page 19), 120 °F (Raypak Hi Delta of 87 %, page 39), and 140 °F in another."""
DRY_BELOW_SHARE = 0.90
"""No boiler whose flue gas stays dry reaches it (`costsim.results.condensing`)."""


def must_stay_dry(source: HeatSource) -> bool:
    """Whether the flue gas of a burner must not condense: one of gas, propane or oil with an efficiency that says so."""
    fuel = FUELS.get(source.fuel_key)
    share = source.plate_efficiency()
    burner = fuel is not None and fuel.work != "" and not source.condenses()
    return burner and share is not None and share < DRY_BELOW_SHARE


def return_water(case: Case, site: Site) -> Iterator[Caution]:
    """Of boilers that must stay dry and get water under `LEAST_RETURN_C` back; none where there is none."""
    if site.return_c is None or site.return_c >= LEAST_RETURN_C:
        return
    dry = [source.label for option in case.options for source in option.sources if must_stay_dry(source)]
    if not dry:
        return
    words = {
        "names": ", ".join(dict.fromkeys(dry)),
        "least": site.temperature(LEAST_RETURN_C),
        "most": site.temperature(USUAL_MOST_C),
        "back": site.temperature(site.return_c),
    }
    yield Caution(
        "return_water",
        tr("Return water too cool for a boiler that must stay dry"),
        tr(
            "{names}: the water comes back below {least}, so flue gas condenses in it; fit the return protection its maker names.",
            **words,
        ),
        tr(
            "{names}: even at design the water comes back at about {back}, and cooler on mild days. Below about {least} the flue gas of a"
            " boiler that is not made to condense turns to acid water, which eats boiler and flue, and a flue with holes lets out carbon"
            " monoxide. Fit the return protection that its maker names, a mixing or bypass valve that holds its inlet at his least"
            " temperature, usually {least} to {most}. On the drawing it is LU, a loading unit.",
            **words,
        ),
        tr("the maker's instructions on the lowest return temperature, NFPA 54 or NFPA 31 (venting)"),
        tr(
            "{names} has an efficiency under 90 %, and the supply water at design less what it cools gives {back}; least inlet of"
            " makers' manuals (Camus, Raypak), else common practice, no source",
            **words,
        ),
    )
