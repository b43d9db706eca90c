"""What a page rests on, made up: an option's season, and a basis of which any part may be another."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

KW = 1000.0


def option(name: str, hours: int = 0, *, warm: bool | None = None, **more: Any) -> Any:
    unmet = SimpleNamespace(hours=hours, worst_w=1500.0, worst_hour=0, energy_j=7.2e6)
    kept = hours <= 20 if warm is None else warm
    return SimpleNamespace(
        name=name, unmet=unmet, keeps_warm=kept, cost_total=100.0, cost_fixed=40.0, cost_energy=60.0, **more
    )


def basis(**more: Any) -> Any:
    made: dict[str, Any] = {
        "system": "si",
        "look": lambda name: SimpleNamespace(sources=()),
        "short": False,
        "case": SimpleNamespace(
            price_date="2026-11", options=[1, 2], program=None, typed={}, house=SimpleNamespace(max_unmet_hours=20), currency="$",
            economics=SimpleNamespace(study_period=20, discount_rate_share_per_year=0.03),
        ),
        "common": SimpleNamespace(design_outdoor_source="typed in the study"),
        "result": SimpleNamespace(route=SimpleNamespace(key="entered", load_w=9e3), options=[], warnings=(), clock=["Jan 5, 6 am"]),
        "selection": SimpleNamespace(pumps=()),
        "signed": SimpleNamespace(name="A", checks=(), needs=SimpleNamespace(antifreeze=True), option=SimpleNamespace(sources=()),
                                  case=SimpleNamespace(fluid=None, floor=None, tank=None, ratings=None)),
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


def failing(antifreeze: str = "propylene_glycol", share: float = 0.3, **needs: Any) -> Any:
    found = {"content_m3": 0.5, "source_w": 20 * KW, "fires": "", "coldest_c": -10.0, "freeze_c": -13.0, "max_temperature_c": 60.0, "boiling_c": 97.0,
             "open_circuit": False, "antifreeze": antifreeze != "none"} | needs  # fmt: skip
    floor = SimpleNamespace(antifreeze=antifreeze, concentration_share=share, area_m2=100.0)
    house = SimpleNamespace(indoor_temperature_c=20.0)
    loops = [SimpleNamespace(count=2, heat_w_k=100.0, surface_limit_w=10 * KW)]
    return basis(
        signed__needs=SimpleNamespace(**found), signed__layout=None, signed__case=SimpleNamespace(fluid=None, floor=floor, house=house),
        signed__common=SimpleNamespace(water=SimpleNamespace(loops=loops)),
    )  # fmt: skip
