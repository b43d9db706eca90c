"""What a study's services charge for heating: fixed charges of one that is there anyway are no cost of it."""

from __future__ import annotations

from costsim.study.case import Case
from costsim.tariffs.charges import Tariff, due_by_use

ELECTRICITY = "electricity"


def there_anyway(case: Case, key: str) -> bool:
    """Whether a house has a service whatever heats it: as typed, else electricity on the house's own meter alone."""
    typed = case.prices[key].service
    return key == ELECTRICITY if typed == "usual" else typed == "there_anyway"


def heating_tariffs(case: Case) -> dict[str, Tariff]:
    """What heating pays of each service, by price table."""
    return {key: _heating_tariff(case, key) for key in case.prices}


def _heating_tariff(case: Case, key: str) -> Tariff:
    """What heating pays of a service: all its charges, or without those that are due whatever heats the house.

    Where the house's other electricity is known its bill is told with and without heating, and all charges stand.
    """
    found = case.prices[key].tariff(key)
    if not there_anyway(case, key) or (key == ELECTRICITY and case.other_electricity_known):
        return found
    return due_by_use(found)
