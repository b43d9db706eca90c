"""What a page rests on, made up: an option's season, and a basis of which any part may be another."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any


def option(name: str, hours: int = 0, *, warm: bool | None = None, **more: Any) -> Any:
    unmet = SimpleNamespace(hours=hours, worst_w=1500.0, worst_hour=0, energy_j=7.2e6)
    kept = hours <= 20 if warm is None else warm
    return SimpleNamespace(
        name=name, unmet=unmet, keeps_warm=kept, cost_total=100.0, cost_fixed=40.0, cost_energy=60.0, **more
    )


def basis(**more: Any) -> Any:
    made: dict[str, Any] = {
        "system": "si",
        "case": SimpleNamespace(
            price_date="2026-11", options=[1, 2], program=None, typed={}, house=SimpleNamespace(max_unmet_hours=20), currency="$",
            economics=SimpleNamespace(study_period=20),
        ),
        "common": SimpleNamespace(design_outdoor_source="typed in the study"),
        "result": SimpleNamespace(route=SimpleNamespace(key="entered", load_w=9e3), options=[], warnings=(), clock=["Jan 5, 6 am"]),
        "signed": SimpleNamespace(name="A", checks=(), needs=SimpleNamespace(antifreeze=True), option=SimpleNamespace(sources=())),
    }  # fmt: skip
    for path, value in more.items():
        *parents, last = path.split("__")
        at: Any = made
        for part in parents:
            at = at[part] if isinstance(at, dict) else getattr(at, part)
        if isinstance(at, dict):
            at[last] = value
        else:
            setattr(at, last, value)
    return SimpleNamespace(**made)
