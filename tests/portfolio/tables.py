"""Tables of homes for the tests, and one home by the whole simulation."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from costsim import load_weather, read_study, simulate
from costsim.portfolio.compute import run_block
from costsim.portfolio.homes import open_homes
from costsim.portfolio.overrides import overridden
from costsim.portfolio.plan import PortfolioPlan, prepare
from costsim.study.case import Case, case_from
from costsim.units.quantity import KWH_J

HEADINGS = {
    "lantern_cottage": "home,weight,house.design_heat_loss [kW],house.balance_point [degF],house.indoor_temperature [degF],"
    "prices.natural_gas.energy [$/therm],prices.electricity.energy [$/kWh],prices.electricity.fixed [$/month]",
    "net_loft": "home,weight,house.design_heat_loss [kW],house.balance_point [degC],prices.propane.energy [$/gal],prices.electricity.energy [$/kWh]",
    "valley_row": "home,weight,house.floor_area [m2],house.heat_loss_per_area [W/m2],house.gains [W],prices.wood.energy [€/m3],"
    "house.other_electricity [kWh/year]",
}
SPANS = {
    "lantern_cottage": [(4, 11), (55, 66), (67, 73), (0.8, 2.5), (0.08, 0.2), (5, 25)],
    "net_loft": [(9, 34), (10, 18), (2, 5), (0.1, 0.3)],
    "valley_row": [(50, 160), (25, 70), (100, 500), (60, 150), (1000, 5000)],
}


def rows(study: str, number: int, seed: int = 1) -> list[str]:
    """Random homes as lines of a table."""
    rng = np.random.default_rng(seed)
    return [
        ",".join([f"h{at}", f"{rng.uniform(0.5, 3):.3f}", *(f"{rng.uniform(*span):.4g}" for span in SPANS[study])])
        for at in range(number)
    ]


def write(path: Path, study: str, lines: list[str]) -> Path:
    """Write a table."""
    path.write_text("\n".join([HEADINGS[study], *lines]) + "\n", encoding="utf-8")
    return path


def recipe_for(study: str | Case, path: Path, size: int = 10_000) -> tuple[PortfolioPlan, list]:
    """The study made ready for a table, and the table's blocks."""
    case = read_study(study) if isinstance(study, str) else study
    homes = open_homes(path, case)
    return prepare(case, load_weather(case), homes.layout), list(homes.blocks(size))


def whole(recipe: PortfolioPlan, cells: tuple[str, ...]) -> tuple[dict[str, float], np.ndarray]:
    """One home by `simulate`: every column of the results by its name, and hourly electricity (options, n)."""
    texts = [cells[at] for at, _ in recipe.layout.columns]
    case = case_from(overridden(recipe.case.typed, recipe.layout, texts))
    values, watts = {}, []
    for option in simulate(case, recipe.weather).options:
        name, coin = option.name, recipe.case.currency
        values[f"{name}: heat wanted [J]"] = option.demand_j
        used = dict.fromkeys([*(s.price_key for s in option.sources if s.price_key), "electricity"], 0.0)
        used["electricity"] += option.pump_j
        for source in option.sources:
            values[f"{name}: heat from {source.name} [J]"] = source.heat_j
            used["electricity"] += source.auxiliary_j
            if source.price_key:
                used[source.price_key] += source.input_j
        values |= {f"{name}: {key} [kWh]": joule / KWH_J for key, joule in used.items()}
        values[f"{name}: cost [{coin}/year]"] = option.cost_total
        values[f"{name}: unmet [kWh]"] = option.unmet.energy_j / KWH_J
        values[f"{name}: unmet [h]"] = option.unmet.hours
        values[f"{name}: largest unmet [kW]"] = option.unmet.worst_w / 1e3
        values[f"{name}: CO2 [kg]"] = option.co2_kg
        electric = [i for i, source in enumerate(option.sources) if source.fuel == "electricity"]
        hourly = option.hourly
        watts.append(hourly.input_w[electric].sum(axis=0) + hourly.auxiliary_w.sum(axis=0) + hourly.pump_w)
    return values, np.array(watts)


__all__ = ["HEADINGS", "recipe_for", "rows", "run_block", "whole", "write"]
