"""Cautions that follow from the fuel that a source burns, whatever its kind."""

from __future__ import annotations

from collections.abc import Iterator

from costsim.physics.fuels import FUELS
from costsim.sources import HeatSource
from costsim.sources.traits import KindCaution
from costsim.words import tr


def of_fuel(source: HeatSource) -> Iterator[KindCaution]:
    """Licensed work on gas and oil, and the chimney of solid fuel; none for electricity and the sun."""
    fuel = FUELS.get(source.fuel_key)
    if fuel is None:
        return
    if fuel.work == "gas":
        yield _gas_work(propane=fuel.name == "propane")
    if fuel.work == "oil":
        yield KindCaution(
            "oil_work",
            tr("Oil tank and burner are licensed work"),
            tr("Tank, lines, flue and burner by a licensed trade."),
            (tr("tank, lines, flue and burner are for a licensed trade; a leak spoils ground and well."),),
            "NFPA 31, EN 12285-2",
            "the study burns oil in {names}; standards from memory",
            deadly=True,
        )
    if fuel.solid:
        yield KindCaution(
            "chimney",
            tr("Solid fuel and chimney"),
            tr("A lined chimney, clear of what burns, swept every year."),
            (tr("chimney lined, clear of anything that burns, and swept every year; ash kept in metal, outdoors."),),
            "NFPA 211, CSA B365, EN 15287-1, EN 303-5",
            "the study burns {names}; standards from memory",
        )


def _gas_work(*, propane: bool) -> KindCaution:
    work = tr(
        "piping, regulator, venting and first firing are for a licensed gas fitter, with a permit and a pressure test."
    )
    tank = (tr("The tank's place, distance and regulator are part of it."),) if propane else ()
    more = tr(", NFPA 58 (propane)") if propane else ""
    return KindCaution(
        "gas_work",
        tr("Gas work is licensed work"),
        tr("Piping, regulator, venting and first firing by a licensed gas fitter, with permit and pressure test."),
        (work, *tank),
        tr("NFPA 54 / ANSI Z223.1{more} or the fuel-gas code, CSA B149.1, EN 1775", more=more),
        "the study burns gas in {names}; standards from memory",
        deadly=True,
    )
