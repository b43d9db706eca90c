"""Every bound of the schema can be run: each key at its limits gives finite figures, or one clear line of why not."""

from __future__ import annotations

import copy
import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from cases import study, wavy_weather
from fuzz.targets import _with_kind
from pydantic import BaseModel

from costsim import InputError, simulate
from costsim.analysis.uncertainty import uncertainty
from costsim.engine.lower import lower_study
from costsim.sources import KINDS
from costsim.study.case import Case, case_from
from costsim.units.fields import OPEN, QuantityField, file_key
from costsim.units.quantity import DIMENSIONS, to_display, unit_for

HOURS = 8760
WEATHER = wavy_weather(-10.0 * np.cos(np.arange(HOURS) / HOURS * 2 * np.pi))
WEATHER = type(WEATHER)(**{**{name: getattr(WEATHER, name) for name in WEATHER.__slots__}, "ghi_w_m2": np.full(HOURS, 100.0),
                           "dni_w_m2": np.full(HOURS, 50.0), "dhi_w_m2": np.full(HOURS, 80.0)})  # fmt: skip


def fields_of(
    model: type[BaseModel], data: Any, path: tuple[str | int, ...]
) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    """Every numeric key of the tables that a study has, with what it is."""
    for name, field in model.model_fields.items():
        key = field.alias or file_key(name)
        for item in field.metadata:
            if isinstance(item, QuantityField) or hasattr(item, "ge") or hasattr(item, "le"):
                yield (*path, key), (item, field)
        inner = data.get(key) if isinstance(data, dict) else None
        below = _model_in(field.annotation)
        if below is None or inner is None:
            continue
        if isinstance(inner, dict) and set(inner) & {file_key(n) for n in below.model_fields}:
            yield from fields_of(below, inner, (*path, key))
        elif isinstance(inner, dict):
            for table, one in inner.items():
                yield from fields_of(below, one, (*path, key, table))
        elif isinstance(inner, list) and inner and isinstance(inner[0], dict) and below.__name__ != "HeatSource":
            yield from fields_of(below, inner[0], (*path, key, 0))


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    found = [_model_in(inner) for inner in getattr(annotation, "__args__", ())]
    known = [one for one in found if one is not None]
    return known[0] if known and len({*known}) == 1 else None


def limits(item: Any, field: Any) -> list[Any]:
    """Texts or numbers of a field's lowest and highest value."""
    if isinstance(item, QuantityField):
        if item.dimension in OPEN:
            return []
        low = (
            item.at_least
            if item.at_least is not None
            else None
            if item.above is None
            else item.above + abs(item.above) * 1e-6 + 1e-6
        )
        unit = unit_for(item.dimension, "si")
        texts = []
        for value in (low, item.most):
            if value is not None:
                shown = to_display(value, item.dimension, "si")
                inside = shown * (1 - 1e-12) if value == item.most and value > 0 else shown
                texts.append(f"{inside!r} {unit}".replace("°", "deg"))
        return texts
    return [value for value in (getattr(item, "ge", None), getattr(item, "le", None)) if value is not None]


def changed(data: dict[str, Any], path: tuple[str | int, ...], value: Any) -> dict[str, Any]:
    found = copy.deepcopy(data)
    at: Any = found
    for part in path[:-1]:
        at = at[part]
    at[path[-1]] = value
    return found


def all_limits(kind: str) -> Iterator[tuple[dict[str, Any], tuple[str | int, ...], Any]]:
    data = _with_kind(kind)
    if kind.endswith("electric"):
        data["option"][0]["source"][0] |= {"volts": "240 V", "breaker": "60 A"}
    seen = [*fields_of(Case, data, ())] if kind == "gas" else []
    seen += list(fields_of(KINDS[kind], data["option"][0]["source"][0], ("option", 0, "source", 0)))
    for path, (item, field) in seen:
        for value in limits(item, field):
            yield data, path, value


@pytest.mark.long
@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_key_at_its_limits_runs_or_says_in_one_line_why_not(kind: str) -> None:
    tried = refused = 0
    for data, path, value in all_limits(kind):
        tried += 1
        where = f"{'.'.join(map(str, path))} = {value!r}"
        try:
            case = case_from(changed(data, path, value))
            result = simulate(case, WEATHER)
        except InputError as error:
            refused += 1
            assert all(len(str(one).splitlines()) == 1 for one in error.faults), where
            # refused for what stands beside it, never for the limit itself
            assert not any("must be at" in str(one) or "more than" in one.problem[:9] for one in error.faults), (
                where,
                str(error),
            )
            continue
        except Exception as error:  # a limit that cannot be run is the defect this looks for
            raise AssertionError(where) from error
        for option in result.options:
            figures = (option.cost_total, option.demand_j, option.delivered_j, option.hourly.imbalance())
            assert all(math.isfinite(figure) for figure in figures), (where, figures)
    assert tried > (120 if kind == "gas" else 4)
    assert refused < tried / 2


def test_dimensions_have_a_largest_value_where_a_field_knows_none() -> None:
    from costsim.units.fields import LARGEST

    assert set(LARGEST) <= set(DIMENSIONS) | {"money_by_time"}
    with pytest.raises(ValueError, match="must be at most"):
        QuantityField("flow", "flow").read("1e30 L/min")


@pytest.mark.long
def test_uncertainty_at_its_limits_gives_figures() -> None:
    data = _with_kind("heat_pump")
    data["uncertainty"] = {"scenarios": 100}
    data["floor"].pop("mass")  # takes long
    keys = [(path, pair) for path, pair in fields_of(Case, data, ()) if path[0] == "uncertainty"]
    tried = 0
    for path, (item, field) in keys:
        for value in limits(item, field):
            if path[-1] in ("scenarios", "seed"):
                continue
            tried += 1
            found = uncertainty(case_from(changed(data, path, value)), WEATHER)
            assert all(np.isfinite(one.cost).all() for one in found.options), (path, value)
    assert tried >= 10


def test_a_loop_that_no_pump_can_serve_is_told() -> None:
    loops = [{"count": 8, "length": "300 ft", "tube": "1/2 in PEX", "flow": "6 gpm"}]
    told = lower_study(study({"kind": "electric", "output": "9 kW"}, floor__loops=loops), WEATHER).water.warnings
    assert any("asks for a head of" in text and "circulators of houses end at about 150 kPa" in text for text in told)
    loops[0]["flow"] = "0.6 gpm"
    told = lower_study(study({"kind": "electric", "output": "9 kW"}, floor__loops=loops), WEATHER).water.warnings
    assert not any("asks for a head" in text for text in told)


@pytest.mark.parametrize(
    ("fuel", "unit", "content", "says"),
    [
        ("propane", "gal", "91452 Btu/ft3", "is not between"),
        ("natural_gas", "therm", "10.36 Btu/ft3", "natural gas usually has 1.036 kBtu/ft³"),
        ("electricity", "kWh", "1036 Btu/ft3", "electricity has none"),
        ("wood", "cord", "70 MMBtu/cord", "what firewood can have"),
    ],
)
def test_a_heat_content_that_the_fuel_cannot_have_is_refused(fuel: str, unit: str, content: str, says: str) -> None:
    source = {
        "propane": {"kind": "gas", "fuel": "propane", "output": "9 kW", "efficiency": "90 %"},
        "natural_gas": {"kind": "gas", "output": "9 kW", "efficiency": "90 %"},
        "electricity": {"kind": "electric", "output": "9 kW"},
        "wood": {**dict(KINDS["wood"].example)},
    }[fuel]
    with pytest.raises(InputError, match=says):
        study(source, **{f"prices__{fuel}": {"energy": f"1.00 $/{unit}", "heat_content": content}})


@pytest.mark.parametrize(("content", "fits"), [(3.1, False), (2.9, True), (0.35, True), (0.32, False)])
def test_a_third_to_three_times_the_usual_heat_content_is_taken(content: float, fits: bool) -> None:
    # 1,036 Btu/ft³ is usual of natural gas (EIA)
    source = {"kind": "gas", "output": "9 kW", "efficiency": "90 %"}
    price = {"energy": "1.00 $/therm", "heat_content": f"{content * 1036:.1f} Btu/ft3"}
    if fits:
        assert study(source, prices__natural_gas=price).prices["natural_gas"].heat_content is not None
    else:
        with pytest.raises(InputError, match="is not between"):
            study(source, prices__natural_gas=price)
