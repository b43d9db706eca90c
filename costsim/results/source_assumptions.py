"""What sources rest on where nothing is typed."""

from __future__ import annotations

from costsim.engine.lower import LoweredStudy
from costsim.results.result import Assumption
from costsim.sources import HeatSource
from costsim.units.fields import file_key
from costsim.words import tr


def source_assumptions(common: LoweredStudy) -> list[Assumption]:
    """What each kind of source in the study assumes, where one of that kind has nothing typed for it."""
    rows = dict.fromkeys(
        (source.title, *row) for option in common.case.options for source in option.sources for row in left_open(source)
    )
    units = dict.fromkeys(
        (unit.title, *row)
        for option in common.case.options
        for unit in option.sources
        for row in unit.holds_at(common.surroundings.altitude_m)
    )
    rows |= {(*row, ""): None for row in units}
    return [
        Assumption(
            f"{tr(title)[:1].lower() + tr(title)[1:]}, {tr(what)}",
            tr(how),
            tr(source),
            f"option.source.{key}" if key else "",
        )
        for title, what, how, source, key in rows
    ]


def left_open(source: HeatSource) -> list[tuple[str, str, str, str]]:
    """What the kind of a source assumes where this one has nothing typed for it."""
    keys = {file_key(name) for name in source.model_fields_set}
    keys |= {source.stands_for[key] for key in keys if key in source.stands_for}
    return [row for row in source.rests_on if row[3] not in keys]
