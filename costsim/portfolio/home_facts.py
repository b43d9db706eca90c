"""What each home is: floor area, design load, heat loss, balance point, and the sizes that its options got."""

from __future__ import annotations

from typing import Any

import numpy as np

from costsim.engine.house_loss import internal_gains_w
from costsim.portfolio.plan import PortfolioPlan
from costsim.study.case import Case
from costsim.units.arrays import Floats
from costsim.units.quantity import to_display, unit_for

Fact = tuple[str, str]
"""What it is called, and its dimension."""
OF_HOUSE: tuple[Fact, ...] = (
    ("floor area", "area"),
    ("design load", "power"),
    ("heat loss", "heat_loss_rate"),
    ("balance point", "temperature"),
)
HOUSE_ALONE = "electricity bill without heating"
_SI = {"area": "m2", "power": "W", "heat_loss_rate": "W/K", "temperature": "degC", "volume": "m3"}


def facts_of(recipe: PortfolioPlan) -> tuple[Fact, ...]:
    """What is told of each home: of the house, then of each option's sources and tank, then what is paid without heating."""
    facts = [*OF_HOUSE]
    for ready in recipe.options:
        name = ready.option.name
        for source, label in zip(ready.option.sources, ready.sheet.sources, strict=True):
            what, dimension = ("area", "area") if source.collects_sun else ("rated output", "power")
            facts.append((f"{name}: {what} of {label}", dimension))
        if ready.option.tank_of(recipe.case) is not None:
            facts.append((f"{name}: tank", "volume"))
    return (*facts, (HOUSE_ALONE, "money_per_year"))


def fact_columns(recipe: PortfolioPlan) -> tuple[str, ...]:
    """Names of all facts among the results."""
    return tuple(fact_column(fact, recipe.case.currency) for fact in facts_of(recipe))


def fact_column(fact: Fact, coin: str) -> str:
    """Name of a fact among the results, in SI units.

    Examples
    --------
    >>> fact_column(("heat loss", "heat_loss_rate"), "$"), fact_column((HOUSE_ALONE, "money_per_year"), "€")
    ('heat loss [W/K]', 'electricity bill without heating [€/year]')
    """
    name, dimension = fact
    return f"{name} [{_SI.get(dimension, f'{coin}/year')}]"


def shown_fact(fact: Fact, values: Floats, coin: str, system: str) -> tuple[str, Floats]:
    """Heading of a fact and its values (homes,) in the reader's units.

    Examples
    --------
    >>> shown_fact(("balance point", "temperature"), np.array([10.0]), "$", "us")
    ('balance point [degF]', array([50.]))
    """
    name, dimension = fact
    if dimension not in _SI:
        return fact_column(fact, coin), values
    shown: Any = to_display(values, dimension, system)  # type: ignore[arg-type]
    return f"{name} [{unit_for(dimension, system)}]", shown


def home_facts(case: Case, loss_w_k: Any, load_w: Any, alone: Any) -> Floats:
    """Facts of one home, or of many whose figures are arrays (homes,), in SI.

    Parameters
    ----------
    case : Case
        The study with the values of the home or homes; sizes of sources and tank are one home's, or the same in all of them.
    loss_w_k : float or array
        Loss per kelvin [W/K].
    load_w : float or array
        Design load [W].
    alone : float or array
        Bill of the other electricity [money/year]; zero where it is not known.

    Returns
    -------
    array (homes, facts)
        In the order of `facts_of`; the balance point is that of the indoor temperature by which the load was found.
    """
    house = case.house
    balance = house.found_at_c - internal_gains_w(case, loss_w_k) / loss_w_k
    figures: list[Any] = [house.floor_area_m2, load_w, loss_w_k, balance]
    for option in case.options:
        for source in option.sources:
            figures.append((source.collector_area_m2() or 0.0) if source.collects_sun else source.nameplate_w())
        tank = option.tank_of(case)
        figures += [] if tank is None else [tank.volume_m3]
    return np.stack(np.broadcast_arrays(*(np.atleast_1d(figure) for figure in (*figures, alone))), axis=1).astype(float)
