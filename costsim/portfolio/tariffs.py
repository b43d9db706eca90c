"""Which tariff and option suit how many homes: a portfolio under several tariffs, home by home."""

from __future__ import annotations

import functools
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow.parquet as pq

from costsim.analysis.tariff_choice import with_prices
from costsim.files import write_text
from costsim.portfolio.home_facts import HOUSE_ALONE, fact_column
from costsim.portfolio.homes import about_rows
from costsim.portfolio.run import BLOCK, opened, run_portfolio
from costsim.study.case import Case
from costsim.units.arrays import Bools, Floats, Ints
from costsim.weather import Weather

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
    weight : float
        What all homes count for.
    set_aside, rows_in_cells : int
        Rows that could not be used, and rows that lie in a cell of another, as a quotation mark was not closed.
    """

    tariffs: tuple[str, ...]
    options: tuple[str, ...]
    homes: int
    by_option: Floats
    by_pair: Floats
    mean: Floats
    currency: str
    weight: float = 0.0
    set_aside: int = 0
    rows_in_cells: int = 0

    def as_json(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "currency": self.currency,
            "homes": self.homes,
            "weight": self.weight,
            "homes_set_aside": self.set_aside,
            "folders": {f"tariff-{number}": name for number, name in enumerate(self.tariffs, 1)},
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
    folders = [Path(folder) / f"tariff-{number}" for number in range(1, len(cases) + 1)]
    block, tell = int(settings.pop("block", BLOCK)), settings.pop("progress", None)
    open_table = opened(case, weather, homes, sizes=settings.pop("sizes", "study"))
    rows, aside, swallowed = about_rows(homes), 0, 0
    for number, (own, there) in enumerate(zip(cases.values(), folders, strict=True)):
        progress = None if tell is None else _after(tell, number * rows)
        totals = run_portfolio(own, weather, open_table, there, block=block, progress=progress, **settings)
        aside, swallowed = max(aside, totals["homes_set_aside"]), totals["rows_in_cells"]
    shares = _sum_up(tuple(cases), case, folders, (aside, swallowed))
    text = json.dumps(shares.as_json(), indent=2, ensure_ascii=False)
    write_text(Path(folder) / "tariffs.json", text + "\n")
    return shares


def _after(tell: Callable[[int], None], done: int) -> Callable[[int], None]:
    """Tell homes done in one of several runs, after those of the runs before it."""
    return lambda rows: tell(done + rows)


def _sum_up(tariffs: tuple[str, ...], case: Case, folders: Sequence[Path], left_out: tuple[int, int]) -> TariffShares:
    """Who wins, part by part of all runs, so that memory does not grow with the table."""
    names = tuple(option.name for option in case.options)
    mean, by_option, by_pair = (np.zeros((len(tariffs), len(names))) for _ in range(3))
    number, total = 0, 0.0
    for name in sorted(path.name for path in (folders[0] / "homes").glob("part-*.parquet")):
        parts = [_part(case, there / "homes" / name) for there in folders]
        rows = functools.reduce(np.intersect1d, [part.rows for part in parts])
        picked = [np.searchsorted(part.rows, rows) for part in parts]
        weights = parts[0].weights[picked[0]]
        whole = np.array([part.whole[at] for part, at in zip(parts, picked, strict=True)])  # tariffs, homes, options
        warm = np.array([part.warm[at] for part, at in zip(parts, picked, strict=True)])
        pairs = np.where(warm, whole, np.inf).transpose(0, 2, 1).reshape(by_pair.size, len(rows))
        number, total = number + len(rows), total + float(weights.sum())
        mean += np.einsum("tho,h->to", whole, weights)
        by_option += np.array([_won(whole[:, :, at]) @ weights for at in range(len(names))]).T
        by_pair += (_won(pairs) @ weights).reshape(by_pair.shape)
    share = 1.0 / total if total else 0.0
    return TariffShares(
        tariffs, names, number, by_option * share, by_pair * share, mean * share, case.currency, total, *left_out
    )


def _won(cost: Floats) -> Floats:
    """Who is cheapest of each home (rows, homes); a tie is split, a home without a candidate counts for none."""
    best = cost.min(axis=0)
    won = (cost == best) & np.isfinite(best)
    return np.asarray(won / np.maximum(won.sum(axis=0), 1))


@dataclass(frozen=True, slots=True)
class _Part:
    """Homes of a block under one tariff: rows and weights (homes,), whole bills and whether they are warm (homes, options)."""

    rows: Ints
    weights: Floats
    whole: Floats
    warm: Bools


def _part(case: Case, path: Path) -> _Part:
    names, coin = [option.name for option in case.options], case.currency
    columns = [[f"{name}: {what}" for name in names] for what in (f"cost [{coin}/year]", "unmet [h]")]
    alone = fact_column((HOUSE_ALONE, "money_per_year"), coin)
    table = pq.read_table(path, columns=["row", "weight", alone, *columns[0], *columns[1]], partitioning=None)
    cost, hours = (np.array([table[name].to_numpy() for name in headings]).T for headings in columns)
    whole = cost + table[alone].to_numpy()[:, None]
    return _Part(table["row"].to_numpy(), table["weight"].to_numpy(), whole, hours <= case.house.max_unmet_hours)
