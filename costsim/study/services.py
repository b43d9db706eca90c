"""What a study's services charge for heating: fixed charges of one that is there anyway are no cost of it."""

from __future__ import annotations

import functools

from costsim.study.case import Case
from costsim.study.prices import Price
from costsim.tariffs.charges import Tariff, due_by_use

ELECTRICITY = "electricity"


def there_anyway(case: Case, key: str) -> bool:
    """Whether a house has a service whatever heats it: as typed, else electricity on the house's own meter alone."""
    typed = case.prices[key].service
    return key == ELECTRICITY if typed == "usual" else typed == "there_anyway"


def heating_tariffs(case: Case) -> dict[str, Tariff]:
    """What heating pays of each service, by price table: all its charges, or without those that are due whatever heats the house.

    Where the house's other electricity is known its bill is told with and without heating, and all charges stand.
    """
    known = {ELECTRICITY} if case.other_electricity_known else set()
    return {
        key: _tariff(price, key, there_anyway(case, key) and key not in known) for key, price in case.prices.items()
    }


@functools.lru_cache(maxsize=64)
def _tariff(price: Price, key: str, by_use: bool) -> Tariff:
    # each study lowered asks again, and what goes by a tariff finds the same one quicker than one that is equal
    tariff = price.tariff(key)
    return due_by_use(tariff) if by_use else tariff
