"""Many tariffs at once: what each option costs under each of them, and which rate the house should be on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from costsim.engine.study_clock import calendar_of
from costsim.simulation import simulate
from costsim.study.case import Case, case_from
from costsim.study.services import there_anyway
from costsim.weather import Weather


@dataclass(frozen=True, slots=True)
class TariffChoice:
    """Cost of a year by tariff and option (money), and the hours in which an option falls short; rows as `tariffs`."""

    tariffs: tuple[str, ...]
    options: tuple[str, ...]
    costs: tuple[tuple[float, ...], ...]
    unmet_hours: tuple[tuple[int, ...], ...]
    whole_bills: tuple[tuple[float, ...], ...]
    currency: str

    def best(self, option: str) -> str:
        """The tariff under which an option costs least, the house's other electricity counted."""
        at = self.options.index(option)
        return min(zip(self.whole_bills, self.tariffs, strict=True), key=lambda row: row[0][at])[1]

    def as_json(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "currency": self.currency,
            "tariffs": [
                {"tariff": name, "options": [
                    {"name": option, "heating_adds": cost, "whole_bill": whole, "unmet_hours": hours}
                    for option, cost, whole, hours in zip(self.options, *row, strict=True)
                ]}
                for name, *row in zip(self.tariffs, self.costs, self.whole_bills, self.unmet_hours, strict=True)
            ],
            "best": {option: self.best(option) for option in self.options},
        }  # fmt: skip


def with_prices(case: Case, prices: Mapping[str, Any], file: str = "") -> Case:
    """The study with the price tables of a tariff file in place of its own of the same names.

    Raises
    ------
    InputError
        The tables have faults, or do not fit the study.
    """
    study = {**case.typed, "prices": {**case.typed["prices"], **prices}}
    return case_from(study, file=file or case.file, files=case.files)


def compare_tariffs(case: Case, weather: Weather, tariffs: Mapping[str, Mapping[str, Any]]) -> TariffChoice:
    """Run every option under every tariff.

    Parameters
    ----------
    case, weather
    tariffs : mapping of str to mapping
        Price tables of each tariff by its name; a tariff without tables is the study as typed.
    """
    costs, wholes, hours = [], [], []
    for name, prices in tariffs.items():
        own = with_prices(case, prices, name) if prices else case
        result = simulate(own, weather)
        # a service that an option does not buy is there for the house all the same
        alone = _house_alone(own, weather)
        costs.append(tuple(option.cost_total for option in result.options))
        wholes.append(tuple(option.cost_total + alone for option in result.options))
        hours.append(tuple(option.unmet.hours for option in result.options))
    names = tuple(option.name for option in case.options)
    return TariffChoice(tuple(tariffs), names, tuple(costs), tuple(hours), tuple(wholes), case.currency)


def _house_alone(case: Case, weather: Weather) -> float:
    """The bill of the house's other electricity without heating; where that is not known what is due without any use."""
    from costsim.tariffs.bill import bill

    if "electricity" not in case.prices or not (case.other_electricity_known or there_anyway(case, "electricity")):
        return 0.0
    calendar = calendar_of(case, weather)
    return bill(case.prices["electricity"].tariff("electricity"), calendar, case.other_electricity_j(calendar)).total


def winners(choice: TariffChoice) -> Sequence[tuple[str, str, float]]:
    """The best tariff of each option with its cost, in the options' order."""
    cheapest = []
    for at, option in enumerate(choice.options):
        best = choice.best(option)
        cheapest.append((option, best, choice.costs[choice.tariffs.index(best)][at]))
    return cheapest
