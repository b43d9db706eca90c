"""What a kind of source must say, looked at when its class is made: its traits, and its example as a study would read it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from pydantic import ValidationError

from costsim.physics.fuels import FUELS
from costsim.sources.traits import MARKET_LISTS, SYMBOLS

if TYPE_CHECKING:
    from costsim.sources.base import HeatSource


def lacks(model: type[HeatSource], base: type[HeatSource]) -> list[str]:
    """All that a kind lacks, each as a few words; `base` is the class whose defaults it must replace."""
    rests_on = model.rests_on
    rows = isinstance(rests_on, tuple) and all(isinstance(row, tuple) and len(row) == 4 for row in rests_on)
    kinds = getattr(model.model_fields["kind"].annotation, "__args__", ())
    fields = model.model_fields.keys()
    rows_fit = ("outdoor" in fields) == bool(model.over_outdoor) and fields >= {*model.over_outdoor}
    own_example = model.example.get("kind") in kinds
    said = (
        (model.title != base.title, "a title"),
        (own_example, "an example with its kind"),
        (model.offer is not base.offer, "offer(surroundings)"),
        (model.nameplate_w is not base.nameplate_w, "nameplate_w()"),
        (not model.burns_fuel or model.fuel_key is not base.fuel_key, "fuel_key, since it burns: a key of FUELS"),
        (not model.burns_fuel or model.air_standard, "air_standard, since it burns"),
        (
            rows_fit,
            "over_outdoor, the names of its fields that have one value for each temperature of its field outdoor",
        ),
        (rows, "rests_on as a tuple of (what, how, source, key)"),
        (
            "efficiency_share" not in model.model_fields or model.plate_efficiency is not base.plate_efficiency,
            "plate_efficiency(), since it has an efficiency",
        ),
        (
            not model.market_list or model.market_list in MARKET_LISTS,
            f"a market_list that there is, not '{model.market_list}': {', '.join(MARKET_LISTS)}",
        ),
        (
            model.symbol in SYMBOLS,
            f"a symbol that there is, not '{model.symbol}': {', '.join(symbol for symbol in SYMBOLS if symbol)}",
        ),
    )
    missing = [text for good, text in said if not good]
    return [*missing, *_lacks_by_example(model)] if own_example and rows_fit else missing


def _lacks_by_example(model: type[HeatSource]) -> Iterator[str]:
    if not getattr(model, "__pydantic_complete__", True):  # it names classes that its module has still to define
        return
    try:
        source = model.model_validate(model.example)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        yield f"an example that can be read ({'.'.join(map(str, first['loc']))}: {first['msg']})".replace("(: ", "(")
        return
    fuel, share = source.fuel_key, source.plate_efficiency()
    if fuel not in ("", "electricity") and not model.burns_fuel:
        yield f"burns_fuel = True, since its fuel is {FUELS[fuel].title.lower()}"
    if fuel == "electricity" and not model.continuous_load and not model.burns_fuel:
        yield "continuous_load = True, since it runs on electricity, or a fuel_key of its own"
    if not 0.0 < source.nameplate_w() < math.inf:
        yield "a rated output above 0 in its example"
    if share is not None and model.uncertain_efficiency is not None and share > model.uncertain_efficiency.most:
        most = model.uncertain_efficiency.most
        yield f"uncertain_efficiency with its own upper limit, since {share:.0%} is above {most:.0%}".replace("%", " %")
    if model.market_list.endswith("input") and share is None and not source.condenses():
        yield "plate_efficiency(), since its list is by input"
