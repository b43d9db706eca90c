"""Which tariff and option suit how many homes: a portfolio under several tariffs, home by home."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow.dataset as ds
from numpy.typing import NDArray

from costsim.analysis.tariff_choice import with_prices
from costsim.errors import InputError
from costsim.files import write_text
from costsim.portfolio.costs import house_alone
from costsim.portfolio.homes import open_homes
from costsim.portfolio.plan import PortfolioPlan, prepare
from costsim.portfolio.rows import Home, RowError, read_row
from costsim.portfolio.run import run_portfolio
from costsim.study.case import Case
from costsim.weather import Weather

Floats = NDArray[np.float64]
TOGETHER = 128
AS_TYPED = "as typed"


@dataclass(frozen=True, slots=True)
class TariffShares:
    """Who wins among homes.

    Parameters
    ----------
    tariffs, options : tuple of str
    homes : int
        Homes that could be computed under every tariff.
    by_option : array (tariffs, options)
        For each option, share of homes for which the tariff is cheapest.
    by_pair : array (tariffs, options)
        Share of homes for which tariff and option together are cheapest among those that keep the house warm.
    mean : array (tariffs, options)
        Mean of a year's whole bill.
    currency : str
    """

    tariffs: tuple[str, ...]
    options: tuple[str, ...]
    homes: int
    by_option: Floats
    by_pair: Floats
    mean: Floats
    currency: str

    def as_json(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "currency": self.currency,
            "homes": self.homes,
            "rows": [
                {
                    "tariff": tariff,
                    "option": option,
                    "mean_whole_bill": float(self.mean[i, j]),
                    "cheapest_tariff_of_option_share": float(self.by_option[i, j]),
                    "cheapest_of_all_share": float(self.by_pair[i, j]),
                }
                for i, tariff in enumerate(self.tariffs)
                for j, option in enumerate(self.options)
            ],
        }


def run_tariffs(
    case: Case,
    weather: Weather,
    homes: str | Path,
    folder: str | Path,
    tariffs: Mapping[str, Mapping[str, Any]],
    **settings: Any,
) -> TariffShares:
    """Run a portfolio once for each tariff, each into a folder of its own, and say who wins.

    Parameters
    ----------
    case, weather, homes, folder
        As for `run_portfolio`; the folder gets ``tariff-1``, ``tariff-2`` ... and ``tariffs.json``.
    tariffs : mapping of str to mapping
        Price tables of each tariff by its name; one without tables is the study as typed.
    **settings
        Of `run_portfolio`.

    Returns
    -------
    TariffShares
        Shares go by weight, a tie is split. Whole bills are compared: what heating adds, and the home's other electricity.

    Raises
    ------
    InputError
        A tariff, the table or the folder cannot be used.

    Notes
    -----
    A column of the table that is a price, such as ``prices.electricity.energy``, overrides that price under every tariff.
    """
    cases = {name: with_prices(case, prices, name) if prices else case for name, prices in tariffs.items()}
    found: list[dict[int, tuple[float, Floats, Floats]]] = []
    for number, own in enumerate(cases.values(), 1):
        there = Path(folder) / f"tariff-{number}"
        run_portfolio(own, weather, homes, there, **settings)
        found.append(_homes_of(own, weather, homes, there))
    rows = sorted(set.intersection(*(set(one) for one in found)))
    weights = np.array([found[0][row][0] for row in rows])
    whole = np.array([[one[row][1] for row in rows] for one in found])  # tariffs, homes, options
    warm = np.array([[one[row][2] for row in rows] for one in found])
    names = tuple(option.name for option in case.options)
    shape = (len(cases), len(names))
    if not rows or not weights.sum():
        nothing = np.zeros(shape)
        shares = TariffShares(tuple(cases), names, len(rows), nothing, nothing, nothing, case.currency)
    else:
        share = weights / weights.sum()
        pairs = np.where(warm > 0, whole, np.inf).transpose(0, 2, 1).reshape(-1, len(rows))
        shares = TariffShares(
            tuple(cases),
            names,
            len(rows),
            np.array([_won(whole[:, :, at]) @ share for at in range(len(names))]).T,
            (_won(pairs) @ share).reshape(shape),
            np.einsum("tho,h->to", whole, share),
            case.currency,
        )
    text = json.dumps(shares.as_json(), indent=2, ensure_ascii=False)
    write_text(Path(folder) / "tariffs.json", text + "\n")
    return shares


def _won(cost: Floats) -> Floats:
    """Who is cheapest of each home (rows, homes); a tie is split, a home without a candidate counts for none."""
    best = cost.min(axis=0)
    won = (cost == best) & np.isfinite(best)
    return np.asarray(won / np.maximum(won.sum(axis=0), 1))


def _homes_of(case: Case, weather: Weather, homes: str | Path, folder: Path) -> dict[int, tuple[float, Floats, Floats]]:
    """Weight, whole bill and whether it keeps warm, of each home and option, by row of the table."""
    table = ds.dataset(folder / "homes", format="parquet").to_table()
    options = [option.name for option in case.options]
    cost, hours = (
        [table[f"{name}: {what}"].to_numpy() for name in options]
        for what in (f"cost [{case.currency}/year]", "unmet [h]")
    )
    rows, weights = table["row"].to_numpy(), table["weight"].to_numpy()
    alone = _alone(case, weather, homes)
    whole = np.array(cost).T + np.array([alone[int(row)] for row in rows])[:, None]
    warm = (case.house.max_unmet_hours >= np.array(hours).T).astype(float)
    return {int(row): (float(w), a, b) for row, w, a, b in zip(rows, weights, whole, warm, strict=True)}


def _alone(case: Case, weather: Weather, homes: str | Path) -> dict[int, float]:
    """Bill of the other electricity of each home that can be read, by row."""
    table = open_homes(homes, case)
    recipe = prepare(case, weather, table.layout)
    found: dict[int, float] = {}
    for block in table.blocks(TOGETHER):
        read = [
            home
            for home in (_read(recipe, at, cells) for at, cells in enumerate(block.rows, block.first_row + 1))
            if home
        ]
        if read:
            found |= dict(zip((home.row for home in read), house_alone(recipe, read).tolist(), strict=True))
    return found


def _read(recipe: PortfolioPlan, number: int, cells: tuple[str, ...]) -> Home | None:
    try:
        return read_row(recipe, number, cells)
    except (RowError, InputError):
        return None
