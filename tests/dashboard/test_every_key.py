"""Every key of a study can be set on a page: the schema is walked, and each key is typed into its own field."""

from __future__ import annotations

from typing import Any

import pytest
from dashboard.app import SCRIPT, turn
from pydantic import BaseModel
from streamlit.testing.v1 import AppTest

from costsim.dashboard.field_text import dotted
from costsim.dashboard.form import BY_SOURCE
from costsim.dashboard.kinds import key_of, kind_of, measured_of, model_of, models_of, starter
from costsim.dashboard.registry import load_pages
from costsim.sources import KINDS
from costsim.study.case import Case, Option
from costsim.units.fields import OPEN, QuantityField, choices_of
from costsim.units.quantity import UnitError, split_text
from costsim.units.reading import understand
from costsim.units.rows import Each
from costsim.units.usual import SOLD, USUAL, number_in, shown_number, usual_units

Path = tuple[str | int, ...]
IN_WORDS = "absence"
"""A list that one field takes in words."""
TABLES = ("model", "models", "table", "lists", "tables", "union")


def full(model: type[BaseModel]) -> dict[str, Any]:
    """A table with every table inside it, and of other keys only what is required."""
    data = dict(starter(model))
    for name, field in model.model_fields.items():
        kind, inner = kind_of(field), model_of(field)
        if inner is not None and kind == "model":
            data[key_of(name, field)] = full(inner)
        elif inner is not None and kind == "models":
            data[key_of(name, field)] = [full(inner)] if key_of(name, field) != IN_WORDS else "Dec 20 - Jan 5"
        elif kind == "union":
            data[key_of(name, field)] = [full(one) | {"kind": each} for each, one in models_of(field).items()]
    return data


def study() -> dict[str, Any]:
    """A study that holds every table there is, and a source of every kind; it need not be one that can be computed."""
    data: dict[str, Any] = {"title": "All of it"}
    for name, field in Case.model_fields.items():
        kind, inner = kind_of(field), model_of(field)
        if kind == "model" and inner is not None:
            data[key_of(name, field)] = full(inner)
        elif kind == "union":
            data[key_of(name, field)] = [full(one) | {"kind": each} for each, one in models_of(field).items()]
        elif kind == "tables" and inner is not None:
            data[key_of(name, field)] = {"electricity": full(inner)}
    option = {key: value for key, value in full(Option).items() if key != "source"}
    kinds = {
        kind: {"kind": kind} | {k: v for k, v in full(model).items() if k != "kind"} for kind, model in KINDS.items()
    }
    data["option"] = [option | {"name": kind, "source": [source]} for kind, source in kinds.items()]
    return data


def keys(model: type[BaseModel], path: Path, data: Any) -> list[tuple[Path, Any]]:
    """Every key below a table, with its field."""
    found: list[tuple[Path, Any]] = []
    for name, field in model.model_fields.items():
        key, kind, inner = key_of(name, field), kind_of(field), model_of(field)
        here = (*path, key)
        if kind == "tables" and inner is not None:
            found += [one for at in data[key] for one in keys(inner, (*here, at), data[key][at])]
        elif kind in ("table", "lists"):
            found.append(((*here, "electric" if key in BY_SOURCE else "electricity"), field))
        elif key == IN_WORDS:
            found.append((here, field))
        elif kind == "models" and inner is not None and key in data:
            found += [one for at in range(len(data[key])) for one in keys(inner, (*here, at), data[key][at])]
        elif kind == "model" and inner is not None and key in data:
            found += keys(inner, here, data[key])
        elif kind == "union":
            for at, item in enumerate(data[key]):
                found += keys(models_of(field)[item["kind"]], (*here, at), item)
        elif key != "kind" and kind not in TABLES:
            found.append((here, field))
    return found


def typed(field: Any) -> Any:
    """What a person would type, or choose, in a field."""
    kind, measured = kind_of(field), measured_of(field)
    if measured is not None and kind == "lists":
        return f"{measured.sample}, {measured.sample}"
    if measured is not None and kind in ("quantity", "table"):
        return measured.sample
    if kind == "flag":
        return not field.default
    if kind == "choice":
        return next(one for one in reversed(list(choices_of(field))) if one != field.default)
    return {"count": "3", "number": "0.25", "texts": "06:00-08:00, 12:00-13:00"}.get(kind, "typed here")


SURFACES = ("name", "area", "u_value", "typical", "difference")
TABLED = "house.surface"
"""A table whose cells take a number with its unit."""
BY_SPAN_ALONE = ("money_by_time",)
"""An amount a day is billed by days and one a month by months: a value that stands turns into no other."""
OF_FIREWOOD = "species"
"""Drawn on the card of firewood alone; this study's price is electricity's."""
STATION = "place.weather"
"""Chosen by its own search box."""


def measures() -> set[QuantityField]:
    """How every quantity of the schema is read, those in rows included."""
    fields = [field for _, field in keys(Case, (), study())]
    rows = [one.measured for field in fields for one in field.metadata if isinstance(one, Each)]
    return {*rows, *(one for one in map(measured_of, fields) if one is not None)}


@pytest.mark.parametrize("system", ["us", "si"])
def test_every_quantity_is_the_same_in_each_unit_of_its_menu(system: str) -> None:
    walked = 0
    for measured in measures():
        for fuel in ("", *SOLD) if measured.dimension in OPEN else ("",):
            units = usual_units(measured, system, fuel, "$", split_text(measured.sample)[1])
            assert len(set(units)) == len(units)
            for unit in units if len(units) > 1 else ():
                try:
                    number = number_in(measured.sample, measured, unit)
                except UnitError:  # by another dimension of its fuel: `test_forms.py`
                    continue
                walked += 1
                # exact, and what the field shows is read in the menu's unit again
                same, wanted = measured.quantity(f"{number!r} {unit}").value, measured.quantity(measured.sample).value
                assert same == pytest.approx(wanted, rel=1e-12, abs=1e-9), (measured, unit)
                shown = shown_number(measured.sample, measured, unit, system)
                read = understand(shown, measured, system=system, fuel=fuel, unit=unit)
                again = measured.quantity(read.answers[0] if read.answers else read.text).value
                assert again == pytest.approx(wanted, rel=1e-3, abs=0.006), (measured, unit, shown, read)
        if measured.dimension in USUAL:
            assert len(usual_units(measured, system)) > 1, measured
    assert walked > 150


@pytest.mark.long
def test_every_key_of_the_schema_has_its_field_and_takes_what_is_typed() -> None:
    data = study()
    wanted = {dotted(path): (path, field) for path, field in keys(Case, (), data) if path[-1] != OF_FIREWOOD}
    assert len(wanted) > 200
    app = AppTest.from_file(str(SCRIPT), default_timeout=200)
    app.session_state["typed"], app.session_state["study_name"] = data, "all"
    app.session_state["show_all"] = True
    seen: dict[str, str] = {}
    menus: set[str] = set()
    for one in load_pages():
        turn(app, one.key)
        menus |= {str(one.key).split("/", 3)[-1] for one in app.selectbox if str(one.key).startswith("unit/")}
        for kind in ("text_input", "number_input", "checkbox", "selectbox"):
            for widget in getattr(app, kind):
                key = str(widget.key or "").split("/", 2)[-1]
                if str(widget.key or "").startswith("field/") and key in wanted and key not in seen:
                    seen[key] = one.key
                    if key != STATION:
                        widget.set_value(typed(wanted[key][1]))
        app.run()
        assert not app.exception, (one.key, app.exception)
    assert sorted(set(wanted) - set(seen)) == []
    several = {
        key
        for key, (_, one) in wanted.items()
        if (measured := measured_of(one)) is not None
        and measured.dimension in USUAL
        and not key.startswith(TABLED)
        and measured.dimension not in BY_SPAN_ALONE
    }
    assert sorted(several - menus) == []
    unset = []
    for key, (path, field) in wanted.items():
        value: Any = app.session_state["typed"]
        for part in path:
            value = value[part] if isinstance(part, int) else (value or {}).get(part)
        if key != STATION and (value in (None, "", []) or (kind_of(field) == "flag" and value is not typed(field))):
            unset.append(key)
    assert unset == []
    assert app.session_state["typed"]["economics"]["price_path"]["electricity"] == ["104 %", "104 %"]
