"""A file of price tables alone, or a whole study: the ``[prices.*]`` tables of either."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from costsim.errors import Fault, InputError
from costsim.study.bundle import opened_study
from costsim.study.crosschecks import currency_faults, price_faults
from costsim.study.prices import Price, fuel_of
from costsim.study_files import StudyFiles
from costsim.units.faults import faults_of


def read_price_tables(path: str | Path) -> dict[str, Any]:
    """Price tables of a file as plain data, and nothing else of it.

    Raises
    ------
    InputError
        The file cannot be read, or has no ``[prices.*]`` table.
    """
    study, _ = opened_study(path)
    prices = study.get("prices")
    if (
        not isinstance(prices, Mapping)
        or not prices
        or not all(isinstance(price, Mapping) for price in prices.values())
    ):
        remedy = 'write a table such as [prices.electricity] with energy = "0.128 $/kWh"'
        raise InputError(Fault("prices", "there is no price table", remedy, str(path)))
    return dict(prices)


def price_models(tables: Mapping[str, Any], file: str, files: StudyFiles | None = None) -> dict[str, Price]:
    """The tables as models, files of hourly prices read where `files` knows them.

    Raises
    ------
    InputError
        With every fault.
    """
    models: dict[str, Price] = {}
    faults = currency_faults({"prices": dict(tables)}, file)
    for key, table in tables.items():
        if fuel_of(key, table) is None:
            faults.append(
                Fault(f"prices.{key}", "its fuel is not known", 'add fuel = "electricity" (or another fuel)', file)
            )
        try:
            models[key] = Price.model_validate(table)
        except ValidationError as error:
            faults += faults_of(error, Price, file, f"prices.{key}")
    if not faults:
        faults = price_faults(models, file)
    if faults:
        raise InputError(faults)
    for key, price in models.items():
        for at, charge in enumerate(price.charge, 1):
            list(charge.open_files(files or StudyFiles(), f"prices.{key}.charge[{at}]", file))
    return models
