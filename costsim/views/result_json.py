"""A result and its bills as data: what `--json` writes."""

from __future__ import annotations

from typing import Any

from costsim import __version__
from costsim.results.result import OptionResult, Result, SourceSeason
from costsim.units.quantity import KWH_J
from costsim.views.carbon import known
from costsim.views.tables import when


def as_json(result: Result) -> dict[str, Any]:
    """Give the documented JSON: energy in kWh, power in kW, money in the study's currency."""
    return {
        "title": result.title,
        "currency": result.currency,
        "options": [_option_json(result, option) for option in result.options],
        "design_load": {
            "used": result.route.key,
            "routes": [
                {"key": route.key, "words": route.words, "kw": route.load_w / 1e3, "band": route.band}
                for route in result.load_routes
            ],
        },
        "assumptions": [
            {"what": item.what, "value": item.value, "source": item.source, "key": item.key}
            for item in result.assumptions
        ],
        "warnings": list(result.warnings),
        "weather": dict(result.weather_facts),
        "version": __version__,
    }


def own_generation_json(option: OptionResult) -> dict[str, Any]:
    """Where own generation goes, in kWh; nothing where there is none."""
    own_use = option.self_use
    if own_use is None:
        return {}
    parts = {
        "generated": own_use.generated_j,
        "house": own_use.house_j,
        "heating": own_use.heating_j,
        "exported": own_use.exported_j,
    }
    parts["counted_for_heating"] = own_use.counted_j
    energies = {name: joule / KWH_J for name, joule in parts.items()}
    return {"own_generation_kwh": energies, "own_generation_off_heating": own_use.saved}


def _option_json(result: Result, option: OptionResult) -> dict[str, Any]:
    short = option.unmet
    return {
        "name": option.name,
        "rule": option.rule,
        "demand_kwh": option.demand_j / KWH_J,
        "delivered_kwh": option.delivered_j / KWH_J,
        "unmet_kwh": short.energy_j / KWH_J,
        "unmet_hours": short.hours,
        "unmet_by_cause_kwh": {cause: joule / KWH_J for cause, joule in short.by_cause_j.items()},
        "worst_unmet_kw": short.worst_w / 1e3,
        "worst_unmet_at": when(result, short.worst_hour) or None,
        "longest_unmet_hours": short.longest_run_hours,
        "cost_total": option.cost_total,
        "cost_fixed": option.cost_fixed,
        "cost_energy": option.cost_energy,
        "co2_kg": known(option.co2_kg),
        **own_generation_json(option),
        "biogenic_co2_kg": option.biogenic_co2_kg,
        "pump_kwh": option.pump_j / KWH_J,
        "sources": [_source_json(source) for source in option.sources],
        "uses": [use.as_dict() for use in option.uses],
        "zones": [zone.as_dict() for zone in option.zones],
        **{name: part.as_dict() if (part := getattr(option, name)) else None for name in ("solar", "recovery")},
        "warnings": list(option.warnings),
    }


def _source_json(source: SourceSeason) -> dict[str, Any]:
    return {
        "name": source.name,
        "kind": source.kind,
        "fuel": source.fuel,
        "heat_kwh": source.heat_j / KWH_J,
        "input_kwh": source.input_j / KWH_J,
        "auxiliary_kwh": source.auxiliary_j / KWH_J,
        "dumped_kwh": source.dumped_j / KWH_J,
        "cost": source.cost,
        "hours": source.hours,
        "peak_kw": source.peak_w / 1e3,
        "rated_kw": source.rated_w / 1e3,
        "derates_kw": {label: watts / 1e3 for label, watts in source.derates},
        "co2_kg": known(source.co2_kg),
        "biogenic_co2_kg": source.biogenic_co2_kg,
        "facts": dict(source.facts),
    }


def bills_json(option: OptionResult) -> dict[str, Any]:
    """Every line of every bill of an option; quantities in J, W, months or years, as `unit` says."""
    return {
        "option": option.name,
        "bills": [
            {
                "name": key,
                "total": bill.total,
                "fixed": bill.fixed,
                "lines": [
                    {
                        "month": x.month,
                        "label": x.label,
                        "quantity": x.quantity,
                        "unit": x.unit,
                        "rate": x.rate,
                        "amount": x.amount,
                    }
                    for x in bill.lines
                ],
            }
            for key, bill in option.bills.items()
        ],
    }
