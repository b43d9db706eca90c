"""What heats the house today stays in an option that sets something beside it: its size, its efficiency and what else was typed."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from typing import Any

from costsim.sources import KINDS
from costsim.views.templates import TEMPLATES

OF_THE_HEATER = ("output", "efficiency", "volts", "breaker")
"""What stays where only the rate is another."""
RENEWAL = ("replacement", "replacement_year")


def _family(source: Mapping[str, Any]) -> tuple[str, str]:
    """The kind, or the one that is the same heater on another rate, and the fuel where a kind has several."""
    kind = str(source.get("kind"))
    model = KINDS.get(kind)
    if model is None:
        return kind, ""
    fuel = model.model_fields.get("fuel")
    return model.same_heater_as or kind, str(source.get("fuel", fuel.default)) if fuel is not None else ""


def staying(sources: Sequence[Mapping[str, Any]], today: Mapping[str, Any]) -> int | None:
    """Which source of an option is today's heater: one beside another that runs too, or else the backup; None where all is new.

    Examples
    --------
    >>> beside = TEMPLATES["off_peak_propane"].sources(1e4, "us")
    >>> staying(beside, {"kind": "electric"}), staying(beside, {"kind": "gas", "fuel": "propane"})
    (0, 1)
    >>> staying(TEMPLATES["heat_pump"].sources(1e4, "us"), {"kind": "electric"})
    1
    """
    alike = [at for at, source in enumerate(sources) if _family(source) == _family(today)]
    running = [at for at, source in enumerate(sources) if not source.get("backup_only")]
    candidates = alike if len(running) > 1 else [at for at in alike if at not in running]
    return next(iter(candidates), None)


def same_unit(options: list[dict[str, Any]], source: Mapping[str, Any], beside: int) -> dict[str, Any]:
    """A unit of a source's kind and fuel as another option has it, what heats today before others; empty where none does.

    Examples
    --------
    >>> oil = {"kind": "oil", "output": "60 kBtu/h", "efficiency": "84 %", "backup_only": True}
    >>> options = [{"source": [{"kind": "electric"}]}, {"source": [{"kind": "oil"}]}, {"today": True, "source": [oil]}]
    >>> same_unit(options, {"kind": "oil"}, 0), same_unit(options, {"kind": "gas"}, 0)
    ({'kind': 'oil', 'output': '60 kBtu/h', 'efficiency': '84 %'}, {})
    """
    others = sorted(options[:beside] + options[beside + 1 :], key=lambda option: not option.get("today"))
    alike = (
        typed_source
        for option in others
        for typed_source in option.get("source", [])
        if typed_source.get("kind") == source.get("kind") and _family(typed_source) == _family(source)
    )
    return {key: copy.deepcopy(value) for key, value in next(alike, {}).items() if key != "backup_only"}


def asked_at(key: str, now: str, system: str) -> int:
    """The source of a template whose size is asked for: the first that is new beside what heats today.

    Examples
    --------
    >>> asked_at("off_peak_propane", "electric", "us"), asked_at("off_peak_propane", "gas", "us")
    (1, 0)
    """
    if key == now:
        return 0
    return int(staying(TEMPLATES[key].sources(1e4, system), TEMPLATES[now].sources(1e4, system)[0]) == 0)


def keep_todays(option: dict[str, Any], today: Mapping[str, Any], *, sized: bool) -> bool:
    """Put today's heater into an option that keeps it.

    Parameters
    ----------
    option : dict
        Changed in place.
    today : mapping
        The source that heats the house today.
    sized : bool
        Whether somebody typed its size; one that follows the house stays what the template gives on another rate.

    Returns
    -------
    bool
        Whether the option keeps it.
    """
    at = staying(option["source"], today)
    if at is None:
        return False
    here = option["source"][at]
    if here["kind"] == today["kind"]:
        kept = {key: here[key] for key in ("name", "backup_only") if key in here}
        option["source"][at] = dict(today) | kept
    elif sized:
        here.update({key: today[key] for key in OF_THE_HEATER if key in today})
    return True


def carry_renewal(option: dict[str, Any], now: Mapping[str, Any]) -> None:
    """Let an option that keeps today's heater pay for a new one when today's heating does, unless a replacement is typed for it.

    Parameters
    ----------
    option : dict
        Changed in place.
    now : mapping
        The option that heats the house today.

    Examples
    --------
    >>> boiler = {"kind": "gas", "fuel": "propane"}
    >>> now = {"source": [boiler], "replacement": "7500 $", "replacement_year": 1}
    >>> beside, alone = {"source": [{"kind": "off_peak_electric"}, boiler]}, {"source": [boiler]}
    >>> carry_renewal(beside, now), carry_renewal(alone, now)
    (None, None)
    >>> beside["replacement"], beside["replacement_year"], "replacement" in alone
    ('7500 $', 1, False)
    """
    due = {key: now[key] for key in RENEWAL if key in now}
    if len(due) == len(RENEWAL) and "replacement" not in option and keeps_todays(option, now):
        option.update(due)


def keeps_todays(option: Mapping[str, Any], now: Mapping[str, Any]) -> bool:
    """Whether an option keeps the heater of the one that heats the house today, beside what is new.

    Examples
    --------
    >>> old, sun = {"kind": "gas", "efficiency": "80 %"}, {"kind": "solar"}
    >>> [keeps_todays({"source": [one, sun]}, {"source": [old]}) for one in (old, {"kind": "gas", "efficiency": "95 %"})]
    [True, False]
    """
    here, today = option.get("source") or [], now.get("source") or []
    at = staying(here, today[0]) if here and today else None
    if at is None:
        return False
    efficiency, other = here[at].get("efficiency"), today[0].get("efficiency")
    return not (efficiency and other and efficiency != other)  # of another efficiency it is a new one
