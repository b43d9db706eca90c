"""What must be said of what fills the system: freezing, antifreeze, and drinking water."""

from __future__ import annotations

from collections.abc import Sequence

from costsim.results.caution import Site
from costsim.results.fires import names
from costsim.sources import HeatSource
from costsim.study.case import Case
from costsim.study.fluid import antifreeze_of, on_the_mix
from costsim.words import tr

Words = tuple[str, str, str, str, str, str]


def freezing_words(case: Case, site: Site, exposed: Sequence[HeatSource]) -> list[Words]:
    """The caution on freezing, as `Caution` takes it; none where it never freezes. `exposed` stand outdoors."""
    if site.coldest_c >= 0.0:
        return []
    coldest, freeze = site.temperature(site.coldest_c), site.temperature(site.freeze_c)
    short = tr(
        "Slush begins in the mixture at {freeze}; the coldest outside, of this weather year or at"
        " design, is {coldest}; other years' are colder. Measure it every year.",
        freeze=freeze,
        coldest=coldest,
    )
    outdoors = _outdoors(case, site, exposed) if exposed else ""
    if antifreeze_of(case)[0] == "none":
        where = tr("none outdoors") if outdoors else tr("no tube outside the heated house")
        short = tr("Plain water, coldest {coldest}: {where}, and a plan for a power cut.", coldest=coldest, where=where)
        text = tr(
            "The coldest outside, of the weather year or at design, is {coldest} and plain water freezes at {freeze}. Every"
            " tube with it must lie inside the heated house, and a long power cut in the cold needs a"
            " plan: drain it, or fill it with antifreeze.",
            coldest=coldest,
            freeze=freeze,
        )
    elif site.freeze_c > site.coldest_c:
        short = tr(
            "Slush begins in the mixture at {freeze}, the coldest outside is {coldest}: a stronger mix only where"
            " pipe lies outside the heated house.",
            freeze=freeze,
            coldest=coldest,
        )
        text = tr(
            "Slush begins in the mixture at {freeze}, and the coldest outside, of the weather year or at design, is {coldest}. How far"
            " below its slush it keeps pipe from bursting, the maker's table says. Pipe that lies outside the"
            " heated house needs a stronger mix.",
            freeze=freeze,
            coldest=coldest,
        )
    else:
        text = tr(
            "Slush begins in the mixture at {freeze}; the coldest outside, of this weather year or at design, is {coldest}, and"
            " other winters are colder: leave a margin where pipe lies outside the heated house. Measure it every"
            " year with its inhibitors.",
            freeze=freeze,
            coldest=coldest,
        )
    return [
        (
            "freezing",
            tr("Freeze protection"),
            short + outdoors,
            text + outdoors,
            tr("the mechanical or residential code on hydronic piping, and the maker's table of the antifreeze"),
            tr("coldest hour of the weather file, or at design; freezing point tabulated from CoolProp"),
        )
    ]


def _outdoors(case: Case, site: Site, exposed: Sequence[HeatSource]) -> str:
    """What keeps that from freezing which stands outdoors: a circuit of its own, or the mix that fills the whole system."""
    direct = on_the_mix(case, exposed)
    apart = [source for source in exposed if source not in direct]
    text = ""
    if apart:
        text += tr(
            " What stands outdoors ({exposed}) needs antifreeze of its own behind an exchanger, or must"
            " drain by itself.",
            exposed=names(apart),
        )
    if direct and site.freeze_c > site.coldest_c:
        text += tr(" THIS MIX IS TOO WEAK for {exposed}, which stands outdoors on it.", exposed=names(direct))
    elif direct:
        text += tr(" {exposed} stands outdoors on the same mix, without an exchanger.", exposed=names(direct))
    return text


def drinking_water_words(case: Case) -> Words:
    """The caution on backflow, and on the antifreeze that must not flow back, as `Caution` takes it."""
    antifreeze = antifreeze_of(case)[0]
    poison = {
        "none": "",
        "propylene_glycol": tr(" The heating water holds propylene glycol with inhibitors, which nobody should drink."),
        "ethylene_glycol": tr(
            " The heating water holds ethylene glycol, which is POISONOUS: use propylene glycol wherever"
            " it could reach drinking water."
        ),
    }[antifreeze]
    short = tr("A backflow preventer on the filling line; heating water never reaches a tap.")
    if antifreeze != "none":
        kind = tr("ethylene glycol: POISONOUS") if antifreeze == "ethylene_glycol" else tr("propylene glycol")
        short = tr(
            "{kind}, inhibited and made for heating, never a car's antifreeze; a backflow preventer of the kind that the local code asks"
            " for with it; heating water never reaches a tap.",
            kind=f"{kind[:1].upper()}{kind[1:]}",
        )
        poison += tr(
            " Use a mix that is inhibited and made for heating systems, never a car's antifreeze, whose additives foul exchangers and pumps, and"
            " parts and seals that its maker allows with it. Many local codes ask for a backflow preventer of a higher hazard class, or for a"
            " feeder that no water main is joined to, wherever a system holds antifreeze: ask before it is filled. What is drained is"
            " caught, not let into ground or septic tank."
        )
    return (
        "drinking_water",
        tr("Backflow and drinking water"),
        short,
        tr(
            "Heating water must never reach the tap: a backflow preventer on the filling line, and a"
            " double-walled exchanger wherever one tank serves both.{poison}",
            poison=poison,
        ),
        tr("the plumbing code with ASSE 1012 or 1013, CSA B64, EN 1717"),
        tr("every closed circuit is filled from drinking water; standards from memory"),
    )
