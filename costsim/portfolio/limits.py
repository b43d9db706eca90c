"""What sizes of the study hold homes short of heat, and each home's sources sized to its own load instead."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from costsim.engine.house_loss import altitude_m, route_of
from costsim.portfolio.overrides import breakers_left_out
from costsim.portfolio.plan import PortfolioPlan, PreparedOption
from costsim.portfolio.sold import next_sold_w
from costsim.sources import HeatSource
from costsim.study.case import Case, Option
from costsim.study.changed import Path, changed


def has_output(source: HeatSource) -> bool:
    """Whether it has a key ``output``, which a column may give; one of several outputs over the outdoor temperature has none."""
    return any((field.alias or name) == "output" for name, field in type(source).model_fields.items())


def held_short(recipe: PortfolioPlan, at: int, homes: float, worst_kw: float, peak_kw: float) -> dict[str, Any] | None:
    """What an option's sizes leave undelivered, for which no bill, CO2 or peak is counted.

    Parameters
    ----------
    recipe : PortfolioPlan
    at : int
        Number of the option.
    homes : float
        Weight of homes that lack heat in any hour.
    worst_kw : float
        Sum over homes of the most that each lacks in an hour [kW].
    peak_kw : float
        Highest electricity of all homes as it was delivered [kW].

    Returns
    -------
    dict or None
        `caps` are the sources with the most that each gives in any hour and the breaker that holds it there, of sizes that are the
        same in all homes; `peak_at_most_kw` bounds the highest electricity with all that is short given in its own hour, None where
        stores or other fuels leave open when it would be drawn. None where no home is short.
    """
    ready = recipe.options[at]
    if not homes:
        return None
    least = min((float(source.offer.heat_per_input.min()) for source in ready.sources), default=0.0)
    bound = peak_kw + worst_kw / least if least > 0 and _drawn_at_once(recipe, ready) else None
    return {"homes": homes, "caps": list(_caps(recipe, at)), "peak_at_most_kw": bound}


def _drawn_at_once(recipe: PortfolioPlan, ready: PreparedOption) -> bool:
    """Whether heat that is short would be drawn as electricity in its own hour: no tank, slab or other fuel is between."""
    tank = ready.option.tank_of(recipe.case)
    electric = all(
        source.continuous_load and not source.follows_house() and offer.fuel == "electricity"
        for source, offer in zip(ready.option.sources, ready.offers, strict=True)
    )
    return tank is None and recipe.common.water.mass is None and electric


def _caps(recipe: PortfolioPlan, at: int) -> Iterator[dict[str, Any]]:
    """Sources whose size is the same in all homes, each with the most it gives."""
    ready = recipe.options[at]
    for number, (source, offer, name) in enumerate(
        zip(ready.option.sources, ready.offers, ready.sheet.sources, strict=True), 1
    ):
        if recipe.layout.to_load or f"option[{at + 1}].source[{number}].output" in recipe.layout.keys:
            continue
        if not source.follows_house() and not source.collects_sun:
            sizes = source.typed_sizes()
            by_breaker = "breaker" in dict(offer.derates) or ("breaker" in sizes and "output" not in sizes)
            yield {
                "source": name,
                "most_kw": float(offer.capacity_w.max()) / 1e3,
                "in_hours": bool(source.windows),
                "breaker_a": sizes["breaker"] if by_breaker else None,
            }


def sizes_told(recipe: PortfolioPlan) -> dict[str, Any]:
    """How sizes were come by: `to_load` with each source's share of the design load, and columns of which a breaker was left out."""
    shares = []
    if recipe.layout.to_load:
        load = recipe.common.route.load_w
        for ready in recipe.options:
            for source, name in zip(ready.option.sources, ready.sheet.sources, strict=True):
                if not source.collects_sun:
                    shares.append(
                        {"option": ready.option.name, "source": name, "share": float(source.nameplate_w() / load)}
                    )
    return {"to_load": shares, "breaker_left_out": breakers_left_out(recipe.case.typed, recipe.layout)}


def to_load(case: Case, recipe: PortfolioPlan) -> Case:
    """A home's study with each output as large against its design load as the study's is against its own, or the next size sold.

    Parameters
    ----------
    case : Case
        The study with the home's values. A size that a column gives it stays.
    recipe : PortfolioPlan

    Notes
    -----
    The circuit goes with the size, so that no breaker of the study holds it; outputs over the outdoor temperature go together. Tanks
    and collectors stay.
    """
    outdoor_c = recipe.common.design_outdoor_c
    if case.place.design_outdoor_c is not None:
        outdoor_c = case.place.design_outdoor_c
    load_w = recipe.common.route.load_w
    ratio = route_of(case, outdoor_c, altitude_m(case, recipe.weather)).load_w / load_w

    def size_w(source: HeatSource) -> float:
        return next_sold_w(source, source.nameplate_w() * ratio, recipe.layout.sold)

    changes: list[tuple[Path, Any]] = [
        (("option", i, "source", j), source.resized(case.typed["option"][i]["source"][j], size_w(source)))
        for i, (option, own) in enumerate(zip(recipe.case.options, case.options, strict=True))
        for j, source in enumerate(option.sources)
        if not source.collects_sun and _same_size(source, own, j)
    ]
    return changed(case, *changes) if changes else case


def _same_size(source: HeatSource, own: Option, number: int) -> bool:
    """Whether a home's source has the study's size."""
    return bool(own.sources[number].nameplate_w() == source.nameplate_w())
