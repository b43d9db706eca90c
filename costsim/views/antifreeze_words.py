"""Which circuits a mix of antifreeze fills, and how to keep it to the one that needs it."""

from __future__ import annotations

import math

from costsim.analysis.layout_plan import SPARE_SHARE
from costsim.analysis.needs import contents_m3
from costsim.results.cautions import sources_with
from costsim.study.case import Case
from costsim.study.fluid import antifreeze_of, on_the_mix
from costsim.units.quantity import show
from costsim.words import tr


def antifreeze_words(case: Case) -> str:
    """Say what the study's antifreeze fills, and what is done where it shall stay outdoors; empty where there is nothing to say.

    Parameters
    ----------
    case : Case
        With a floor or without one.
    """
    sources = [source for source in sources_with(case) if source.outdoors]
    outdoors = ", ".join(dict.fromkeys(source.label for source in sources))
    if antifreeze_of(case)[0] == "none":
        return (
            tr(
                "Antifreeze outdoors alone: {outdoors} is computed behind an exchanger of its own, whose approach stands on Sources;"
                " all else holds plain water. The mix in that short loop comes on top of the fill.",
                outdoors=outdoors,
            )
            if outdoors
            else ""
        )
    if case.fluid is not None:
        text = tr(
            "This mix fills everything on the tank's water, without an exchanger between: tank, pipes, emitters and heaters. What they store,"
            " carry and ask of pumps, expansion tank and heaters is computed with it. Hot water, snow melting and sun collectors stay behind"
            " exchangers of their own."
        )
        direct = ", ".join(dict.fromkeys(source.label for source in on_the_mix(case, sources)))
        if direct:
            text += " " + tr(
                "{direct} stands outdoors on it: where the unit's sheet allows, type a smaller approach on Sources, which leaves room for an"
                " exchanger.",
                direct=direct,
            )
        return text
    text = tr(
        "This mix fills the whole system, loops, mains and tank, and every loop is computed with it: it carries less heat and is"
        " harder to pump than water. Glycol in some of the loops alone takes an exchanger before them, which is not computed:"
        " try it with the mix everywhere, which is the safe side, and with none."
    )
    if outdoors:
        text += " " + tr(
            "If only {outdoors} needs it, leave the antifreeze out here: it is computed behind an exchanger of its own already,"
            " whose approach stands on Sources.",
            outdoors=outdoors,
        )
    return text


def fill_words(case: Case, system: str) -> str:
    """How much antifreeze and water fill what is described, with a spare; empty where it is plain water or nothing is described."""
    antifreeze, share = antifreeze_of(case)
    whole = math.fsum(contents_m3(case).values())
    if antifreeze == "none" or not whole:
        return ""
    text = tr(
        "{amount} of inhibited {antifreeze} made for heating, not a car's (a tenth spare), and {water} of water: {share} % by volume",
        amount=show(whole * share * (1.0 + SPARE_SHARE), "volume", system),
        antifreeze=antifreeze.replace("_", " "),
        water=show(whole * (1.0 - share), "volume", system),
        share=f"{share * 100:g}",
    )
    if case.ratings is None or not case.ratings.extra_water_volume_m3:
        text += tr("; what heaters, emitters and pipes beside those described hold comes on top")
    return text
