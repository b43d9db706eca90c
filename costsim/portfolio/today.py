"""Each home against what heats it today: the study's option of today, or the one that a column of the table names for the home."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from costsim.portfolio.fuel_words import what_heats
from costsim.portfolio.own_columns import today_column
from costsim.portfolio.plan import COST, SHORT_HOURS, PortfolioPlan
from costsim.portfolio.quantiles import ExactSum, quantiles_of
from costsim.portfolio.store import Store
from costsim.sources import HeatSource
from costsim.units.arrays import Bools, Floats, Ints
from costsim.words import tr

NOT_KNOWN, TODAYS = -1, "today's option"


class Today:
    """Which option heats each home today, and what the others save against it.

    `column` is the planner's own column that says it, as results name it, or empty; `option` the study's option of today where no
    column says it, or `NOT_KNOWN`.
    """

    def __init__(self, recipe: PortfolioPlan, kept: dict[str, str]) -> None:
        at = today_column(enumerate(kept))
        self._heading = "" if at is None else [*kept][at]
        self.column = kept.get(self._heading, "")
        self._recipe, self.option = recipe, NOT_KNOWN if self.column else _of_study(recipe)
        self._options: dict[str, tuple[int, str]] = {}
        self._homes: dict[str, ExactSum] = {}
        self._sums = [[ExactSum() for _ in range(4)] for _ in recipe.options]
        self._weight, self._cost, self._short = ExactSum(), ExactSum(), ExactSum()

    @property
    def known(self) -> bool:
        """Whether there is anything to compare with."""
        return bool(self.column) or self.option != NOT_KNOWN

    def of(self, texts: Sequence[str], homes: int) -> Ints:
        """Number of each home's option of today (homes,)."""
        if not self.column:
            return np.full(homes, self.option, dtype=np.int64)
        names, at = np.unique(np.array(texts, dtype=object), return_inverse=True)
        for name in names.tolist():
            if name not in self._options:
                self._options[name] = option_of(self._recipe, name)
        return np.array([self._options[name][0] for name in names.tolist()], dtype=np.int64)[at]

    def names(self, texts: Sequence[str], homes: int) -> tuple[str, ...]:
        """Name of each home's option of today (homes,); empty where the study has none."""
        options = [ready.option.name for ready in self._recipe.options]
        return tuple("" if at == NOT_KNOWN else options[at] for at in self.of(texts, homes).tolist())

    def add(self, texts: Sequence[str], weights: Floats, values: Floats) -> None:
        """Add a part: texts of the column and weights (homes,), and all columns (columns, homes)."""
        today = self.of(texts, len(weights))
        for name in sorted(set(texts)):
            mine = np.array([text == name for text in texts], dtype=bool)
            self._homes.setdefault(name, ExactSum()).add(weights[mine])
        saved, warm, has = self._saved(today, values)
        weights = np.where(has, weights, 0.0)
        self._weight.add(weights)
        costs = values[[ready.sheet.place(COST) for ready in self._recipe.options]]
        self._cost.add(costs[today, np.arange(len(today))] * weights)
        hours = values[[ready.sheet.place(SHORT_HOURS) for ready in self._recipe.options]]
        most = self._recipe.common.case.house.max_unmet_hours
        self._short.add(weights[hours[today, np.arange(len(today))] > most])
        for (total, better, both, both_saved), mine, good in zip(self._sums, saved, warm, strict=True):
            total.add(mine * weights)
            better.add(weights[mine > 0])
            both.add(weights[good])
            both_saved.add((mine * weights)[good])

    def _saved(self, today: Ints, values: Floats) -> tuple[Floats, Bools, Bools]:
        """What each option saves each home, where it and today are both warm (options, homes), and which homes have a today."""
        cost, hours = (
            values[[ready.sheet.place(which) for ready in self._recipe.options]] for which in (COST, SHORT_HOURS)
        )
        warm = hours <= self._recipe.common.case.house.max_unmet_hours
        has, at = today != NOT_KNOWN, np.arange(len(today))
        return cost[today, at] - cost, warm & warm[today, at] & has, has

    def summary(self, store: Store, numbers: Sequence[int], heaviest: float) -> dict[str, Any]:
        """Savings of each option, without rows where no home's today is known to the study."""
        weight = self._weight.value
        summary: dict[str, Any] = {
            "column": self._heading,
            "option": self._recipe.options[self.option].option.name if self.option != NOT_KNOWN else "",
            "by_value": [*self._by_value()],
            "homes": weight,
            "cost_total": self._cost.value,
            "homes_short": self._short.value,
            "rows": [],
        }
        if not weight:
            return summary
        columns = [*self._recipe.columns]

        def parts() -> Iterator[tuple[Floats, Floats]]:
            for number in numbers:
                for weights, values in store.parts(columns, [number]):
                    texts = store.texts([self.column], number)[0] if self.column else []
                    saved, _, has = self._saved(self.of(texts, len(weights)), values)
                    yield saved[:, has], weights[has]

        quantiles = quantiles_of(parts, len(self._recipe.options), heaviest)
        for at, (ready, sums) in enumerate(zip(self._recipe.options, self._sums, strict=True)):
            if at == self.option:
                continue
            total, better, both, both_saved = (counted.value for counted in sums)
            summary["rows"].append(
                {
                    "option": ready.option.name,
                    "saves": {"quantiles": quantiles[at], "mean": total / weight},
                    "saves_total": total,
                    "saves_share": better / weight,
                    "homes_warm_in_both": both,
                    "saves_warm_in_both_mean": both_saved / both if both else None,
                }
            )
        return summary

    def _by_value(self) -> Iterator[dict[str, Any]]:
        for name in sorted(self._options):
            at, why = self._options[name]
            option = self._recipe.options[at].option.name if at != NOT_KNOWN else None
            yield {"value": name, "homes": self._homes[name].value, "option": option, "why": why}


def _of_study(recipe: PortfolioPlan) -> int:
    """The option that the study marks as today's, or that says so by its name."""
    marked = [at for at, ready in enumerate(recipe.options) if ready.option.today]
    named = [at for at, ready in enumerate(recipe.options) if "today" in ready.option.name.lower().split()]
    return marked[0] if marked else named[0] if len(named) == 1 else NOT_KNOWN


def plain_electric(sources: Sequence[HeatSource]) -> bool:
    """Whether sources heat by electricity as it is, which a heat pump, cheap hours or a store are not."""
    return not any(
        source.feels_cold or source.windows or source.store or source.utility_controlled for source in sources
    )


def option_of(recipe: PortfolioPlan, text: str) -> tuple[int, str]:
    """The option that a text of the column names, by its name, its fuel or its kind of source; else why there is none."""
    wanted = what_heats(text)
    if not wanted:
        return NOT_KNOWN, tr("is empty")
    for at, ready in enumerate(recipe.options):
        if ready.option.name.lower() == text.strip().lower():
            return at, ""
    alike = [
        at
        for at, ready in enumerate(recipe.options)
        if all(
            wanted in (offer.fuel.replace("_", " "), source.kind.replace("_", " "))
            for offer, source in zip(ready.offers, ready.option.sources, strict=True)
        )
    ]
    fits = [at for at in alike if wanted != "electricity" or plain_electric(recipe.options[at].option.sources)]
    if alike and not fits:
        names = ", ".join(recipe.options[at].option.name for at in alike)
        return NOT_KNOWN, tr("no option of the study is electric alone, at any hour ({names} is not)", names=names)
    today = [at for at in fits if recipe.options[at].option.today or "today" in recipe.options[at].option.name.lower()]
    if len(fits) == 1 or len(today) == 1:
        return (fits if len(fits) == 1 else today)[0], ""
    names = ", ".join(recipe.options[at].option.name for at in fits)
    several = tr("fits several options ({names}); write the name of one", names=names)
    return NOT_KNOWN, several if fits else tr("no option of the study is that")
