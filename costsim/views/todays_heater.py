"""What heats the house today stays in an option that sets something beside it: its size, its efficiency and what else was typed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from costsim.views.templates import TEMPLATES

ALIKE = {"off_peak_electric": "electric"}
"""Kinds that are the same heater on another rate."""
OF_THE_HEATER = ("output", "efficiency", "volts", "breaker")
"""What stays where only the rate is another."""


def _family(source: Mapping[str, Any]) -> tuple[str, str]:
    kind = str(source.get("kind"))
    return ALIKE.get(kind, kind), str(source.get("fuel", "natural_gas")) if kind == "gas" else ""


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
    alike = [at for at, one in enumerate(sources) if _family(one) == _family(today)]
    running = [at for at, one in enumerate(sources) if not one.get("backup_only")]
    found = alike if len(running) > 1 else [at for at in alike if at not in running]
    return next(iter(found), None)


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
