"""What the pages to inspect and to sign say of a fire that no control puts out."""

from __future__ import annotations

from collections.abc import Iterator

from costsim.report.basis import Basis
from costsim.report.reader import LINE
from costsim.results.fires import burns_on, flues_apart, names, solid
from costsim.results.return_water import USUAL_MOST_C
from costsim.units.quantity import show
from costsim.words import tr

Row = tuple[str, str]


def fires(basis: Basis) -> str:
    """Names of the fires of the option that is signed, which nothing puts out; empty where there is none."""
    return names(burns_on(basis.signed.option.sources))


def pump_rows(basis: Basis) -> Iterator[Row]:
    """The pump of a source stands still: a control stops the source, or its fire burns on."""
    burning = burns_on(basis.signed.option.sources)
    others = [source for source in basis.signed.option.sources if source not in burning]
    if others or not burning:
        yield (
            tr("the pump of {names} stands still", names=names(others))
            if fires(basis)
            else tr("the pump of a source stands still"),
            tr(
                "the unit heats its own water to its limit in minutes: high limit and low-water control must"
                " stop it, its relief valve is the last guard"
            ),
        )
    if fires(basis):
        yield (
            tr("the pump of {names} stands still", names=fires(basis)),
            tr(
                "no limit puts out a charge that burns: the heat dump must take all its heat, without power; the relief valve is the last"
                " guard; load nothing more"
            ),
        )
        yield (
            tr("the power fails while {names} burns", names=fires(basis)),
            tr(
                "pumps, fan and controls stop, the charge glows on for hours: the heat dump opens by itself and takes its heat by"
                " gravity; without one the boiler makes steam and its relief valve blows"
            ),
        )


def limits_words(basis: Basis, then: str) -> str:
    """What stops a tank that grows too hot, and what happens `then`, without it."""
    if not fires(basis):
        return tr("high limits stop the sources that have one; without them {text}", text=then)
    return tr(
        "high limits stop the sources that have one, but not the fire of {names}: its heat dump must take it; without it {text}",
        names=fires(basis),
        text=then,
    )


def by_hand(basis: Basis) -> list[str]:
    """What is to be written down on site."""
    sources = basis.signed.option.sources
    logs, others = flues_apart(sources)
    chores = []
    if fires(basis):
        chores.append(tr("heat dump of {names}: kind, size, tried with the power off", names=fires(basis)))
    if solid(sources):
        chores.append(
            tr(
                "return to {names} held at {least} or more: by what, set at",
                names=names(solid(sources)),
                least=show(USUAL_MOST_C, "temperature", basis.system, 0),
            )
        )
    if logs:
        chores.append(tr("a flue each for {logs} and {others}, seen by", logs=logs, others=others))
    return chores


def to_confirm(basis: Basis, *, parts: bool) -> list[Row]:
    """The heat dump as an open item of the page to sign, or of the household's page."""
    if not fires(basis):
        return []
    what = tr("heat dump, warm return") if parts else tr("heat dump of {names}", names=fires(basis))
    then = (
        tr(
            "{names}: works without power, sized by the boiler's manual; tried by: {line}",
            names=fires(basis),
            line=LINE,
        )
        if parts
        else tr("must work without power: ask who installs it")
    )
    return [(what, then)]
