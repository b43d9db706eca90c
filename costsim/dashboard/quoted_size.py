"""How large a quoted option is: asked beside its price, put into its first source, and found again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from costsim.dashboard.curve_size import scaled, size_of
from costsim.dashboard.field_text import as_shown
from costsim.sources import KINDS
from costsim.units.fields import QuantityField
from costsim.views.templates import TEMPLATES
from costsim.words import tr

HEAT = QuantityField("power", "Size", above=0, at_most=1e8, example="80 kBtu/h", usual=(1e3, 1e5))
ELECTRIC = QuantityField("electric_power", "Size", above=0, at_most=1e8, example="9 kW", usual=(1e3, 6e4))
ANY_LOAD_W = 10e3


def size_field(key: str, system: str) -> tuple[QuantityField | None, str]:
    """The field for the size of a template's first source, and an example; None where it has none."""
    source = TEMPLATES[key].sources(ANY_LOAD_W, system)[0]
    kind = KINDS[str(source["kind"])]
    if kind.curve:
        return HEAT, tr("3 tons") if system == "us" else "10 kW"
    if "output" not in source:
        return None, ""
    return (HEAT, "80 kBtu/h" if system == "us" else "20 kW") if kind.burns_fuel else (ELECTRIC, "9 kW")


def _first_sources(data: Mapping[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Key of the template and first source of each option that bears a template's name."""
    keys = {tr(template.name): key for key, template in TEMPLATES.items()}
    for option in data.get("option", []):
        if str(option.get("name")) in keys and option.get("source"):
            yield keys[str(option["name"])], option["source"][0]


def put_sizes(data: dict[str, Any], sizes: Mapping[str, str], system: str) -> None:
    """Write sizes that were typed over those that follow the house; sizes are texts of a study, empty where not known."""
    for key, source in _first_sources(data):
        text = sizes.get(key, "")
        if text and KINDS[str(source["kind"])].curve:
            source.update(scaled(source, float(HEAT.read(text)), system))
        elif text:
            source["output"] = text


def sizes_now(data: Mapping[str, Any], kept: Mapping[str, Any], system: str) -> dict[str, str]:
    """Answers of sizes that were typed before, as the study holds them now."""
    found = {}
    for key, source in _first_sources(data):
        if kept.get(f"start/size/{key}"):
            curve = KINDS[str(source["kind"])].curve
            found[f"start/size/{key}"] = as_shown(size_of(source, system) if curve else str(source["output"]), system)
    return found
