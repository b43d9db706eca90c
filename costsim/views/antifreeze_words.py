"""Which circuits a mix of antifreeze fills, and how to keep it to the one that needs it."""

from __future__ import annotations

from costsim.results.cautions import sources_of
from costsim.study.case import Case
from costsim.words import tr


def antifreeze_words(case: Case) -> str:
    """Say what the study's antifreeze fills, and what is done where it shall stay outdoors; empty where there is nothing to say.

    Parameters
    ----------
    case : Case
        With a floor or without one.
    """
    outdoors = ", ".join(dict.fromkeys(source.label for source in sources_of(case, "outdoors")))
    if case.floor is None or case.floor.antifreeze == "none":
        return (
            tr(
                "Antifreeze outdoors alone: {outdoors} is computed behind an exchanger of its own, whose approach stands on Sources;"
                " all else holds plain water. The mix in that short loop comes on top of the fill.",
                outdoors=outdoors,
            )
            if outdoors
            else ""
        )
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
