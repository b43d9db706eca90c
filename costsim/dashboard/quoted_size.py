"""How large a quoted option is: asked beside its price, put into its first source, and found again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.curve_size import scaled, size_of
from costsim.dashboard.field_text import as_shown
from costsim.sources import KINDS
from costsim.units.fields import QuantityField
from costsim.units.quantity import GALLON_M3, show
from costsim.units.reading import Reading
from costsim.views.template_of import template_keys
from costsim.views.template_sources import tank_for_water_gal
from costsim.views.templates import TEMPLATES
from costsim.views.todays_heater import asked_at, keep_todays, staying
from costsim.words import tr

HEAT = QuantityField("power", "Size", above=0, at_most=1e8, example="80 kBtu/h", usual=(1e3, 1e5))
ELECTRIC = QuantityField("electric_power", "Size", above=0, at_most=1e8, example="9 kW", usual=(1e3, 6e4))
TANK = QuantityField("volume", "Volume", above=0, at_most=100, example="200 gal", usual=(0.05, 8.0))
ANY_LOAD_W = 10e3


def size_field(key: str, system: str, at: int = 0) -> tuple[QuantityField | None, str]:
    """The field for the size of a source of a template, its first one or another, and an example; None where it has none."""
    source = TEMPLATES[key].sources(ANY_LOAD_W, system)[at]
    kind = KINDS[str(source["kind"])]
    if kind.curve:
        return HEAT, tr("3 tons") if system == "us" else "10 kW"
    if "output" not in source:
        return None, ""
    return (HEAT, "80 kBtu/h" if system == "us" else "20 kW") if kind.burns_fuel else (ELECTRIC, "9 kW")


def tank_words(key: str, system: str, people: int = 0) -> str:
    """The tank that comes with a template, by the `people` whose water it heats, as the reader writes it; empty where it has none."""
    gallons = tank_for_water_gal(people) if TEMPLATES[key].heats_water and people else TEMPLATES[key].gallons
    return "" if not gallons else show(gallons * GALLON_M3, "volume", system, 0)


def put_tanks(study: dict[str, Any], tanks: Mapping[str, str]) -> None:
    """Write tanks that were typed into their options; texts of a study, empty where the usual one is meant."""
    options = study.get("option", [])
    for key, option in zip(template_keys(options), options, strict=True):
        if text := tanks.get(key, ""):
            option["tank"] = study.get("tank", {}) | option.get("tank", {}) | {"volume": text}


def tanks_now(study: Mapping[str, Any], kept: Mapping[str, Any], system: str) -> dict[str, str]:
    """Answers of tanks that were typed before, as the study holds them now."""
    options = study.get("option", [])
    return {
        f"start/tank/{key}": as_shown(str(option["tank"]["volume"]), system)
        for key, option in zip(template_keys(options), options, strict=True)
        if kept.get(f"start/tank/{key}") and option.get("tank", {}).get("volume")
    }


def say_what_stays(keys: list[str], now: str, size: Reading, system: str) -> None:
    """Say in which options today's heater stays, since their sizes and quotes are then those of what comes beside it."""
    today = TEMPLATES[now].sources(1e4, system)[0]
    kept = [tr(TEMPLATES[key].name) for key in keys if staying(TEMPLATES[key].sources(1e4, system), today) is not None]
    if kept:
        text = tr("What heats the house today stays in: {options}.", options=", ".join(kept))
        if size.text:
            text = tr(
                "What heats the house today ({size}) stays in: {options}.", options=", ".join(kept), size=size.text
            )
        st.caption(state.literal(f"{text} {tr('Size and price asked above are those of what comes beside it.')}"))


def size_label(key: str, system: str, now: str) -> str:
    """Whose size is asked for, where an option has several sources."""
    sources = TEMPLATES[key].sources(1e4, system)
    if len(sources) < 2:
        return tr("{name}, size", name=tr(TEMPLATES[key].name))
    return tr(
        "{name}: size of the {source}",
        name=tr(TEMPLATES[key].name),
        source=str(sources[asked_at(key, now, system)]["name"]).lower(),
    )


def _asked_sources(study: Mapping[str, Any], now: str, system: str) -> Iterator[tuple[str, dict[str, Any]]]:
    """Key of the template and the source that a size is asked of, for each option that began from a template."""
    options = study.get("option", [])
    for key, option in zip(template_keys(options), options, strict=True):
        if key and option.get("source"):
            at = asked_at(key, now, system) if now in TEMPLATES else 0
            yield key, option["source"][min(at, len(option["source"]) - 1)]


def put_sizes(study: dict[str, Any], sizes: Mapping[str, str], system: str, now: str) -> None:
    """Write sizes that were typed over those that follow the house; sizes are texts of a study, empty where not known.

    What heats the house `now` then stays, as it is, in the options that set something beside it.
    """
    for key, source in _asked_sources(study, now, system):
        text = sizes.get(key, "")
        if text and KINDS[str(source["kind"])].curve:
            source.update(scaled(source, float(HEAT.read(text)), system))
        elif text:
            source["output"] = text
    today = next((typed_option["source"][0] for typed_option in study["option"] if typed_option.get("today")), None)
    for option in study["option"]:
        if today is not None and not option.get("today"):
            keep_todays(option, today, sized=bool(sizes.get(now)))


def sizes_now(study: Mapping[str, Any], kept: Mapping[str, Any], system: str) -> dict[str, str]:
    """Answers of sizes that were typed before, as the study holds them now."""
    sizes = {}
    for key, source in _asked_sources(study, str(kept.get("start/now", "")), system):
        if kept.get(f"start/size/{key}"):
            curve = KINDS[str(source["kind"])].curve
            sizes[f"start/size/{key}"] = as_shown(size_of(source, system) if curve else str(source["output"]), system)
    return sizes
