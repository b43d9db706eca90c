"""How many homes got which size of those that can be bought."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

from costsim.analysis.size_steps import output_of
from costsim.portfolio.home_facts import fact_column
from costsim.portfolio.plan import PortfolioPlan
from costsim.portfolio.store import Store
from costsim.study.selection import WHATS


def counts_of_sizes(recipe: PortfolioPlan, store: Store, numbers: Sequence[int]) -> list[dict[str, Any]]:
    """How many homes got which size, by option and source that has an output.

    Returns
    -------
    list of dict
        `what` is the list it is sold by, empty where there is none, and `dimension` that of its sizes; `sizes`, rising, have the size as
        its list has it [W], the weight of homes, and whether it is sold.
    """
    tallies, lists = [], dict(recipe.layout.sold)
    for ready in recipe.options:
        for source, label in zip(ready.option.sources, ready.sheet.sources, strict=True):
            if source.collects_sun:
                continue
            name = fact_column((f"{ready.option.name}: rated output of {label}", "power"), recipe.case.currency)
            what, counts = source.market_list, Counter[float]()
            for weights, (outputs,) in store.parts([name], numbers):
                for watts, weight in zip(outputs.tolist(), weights.tolist(), strict=True):
                    counts[round(watts / output_of(source, what, 1.0), 3)] += weight
            listed = [round(size, 3) for size in lists.get(what, ())]
            sizes = [{"size": size, "homes": homes, "sold": size in listed} for size, homes in sorted(counts.items())]
            dimension = WHATS.get(what, "power")
            tallies.append(
                {"option": ready.option.name, "source": label, "what": what, "dimension": dimension, "sizes": sizes}
            )
    return tallies
