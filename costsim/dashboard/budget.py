"""What one visitor's study may ask of a server that others use too: counted before anything is built."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from costsim.errors import Fault, InputError
from costsim.words import tr

MOST_ITEMS, MOST_KEYS, MOST_VALUES, MOST_SCENARIOS = 60, 60, 6_000, 24_000
"""Items of a list, keys of a table, values in all, and scenarios times options."""
ITEMS = {
    "room": 300,
    "surface": 300,
    "charge": 120,
    "weather": 10,
    "period": 40,
    "block": 24,
    "demand": 24,
    "option": 12,
}
"""Lists that may be longer than others, or must be shorter: what each item costs differs a thousandfold."""
LINES_SHOWN = 20


def check_budget(study: Mapping[str, Any], file: str) -> None:
    """Refuse a study that asks more than a session is given; on the command line it may.

    Parameters
    ----------
    study : mapping
        The study as typed, not yet looked at by anything else.
    file : str
        Its name, for messages.

    Raises
    ------
    InputError
        With one fault for each list or table that is too long, at most `LINES_SHOWN`.
    """
    faults: list[Fault] = []
    values = 0
    for where, key, count, most in _counts(study, "", ""):
        values += count
        if count > most and len(faults) < LINES_SHOWN:
            what = tr(
                "holds {count} {value}",
                count=f"{count:,}",
                value=tr("keys") if most == MOST_KEYS and (not key) else tr("items"),
            )
            faults.append(
                Fault(
                    where,
                    what,
                    tr("the dashboard takes up to {most}; {elsewhere}", most=f"{most:,}", elsewhere=tr(_ELSEWHERE)),
                    file,
                )
            )
        if values > MOST_VALUES:
            faults.append(
                Fault(
                    "", tr("holds more than {most_values} values", most_values=f"{MOST_VALUES:,}"), tr(_ELSEWHERE), file
                )
            )
            break
    faults += _draw_faults(study, file)
    if faults:
        raise InputError(faults)


_ELSEWHERE = "use costsim on the command line for more"


def _counts(node: object, where: str, key: str) -> Iterator[tuple[str, str, int, int]]:
    if isinstance(node, Mapping):
        yield where, "", len(node), MOST_KEYS
        for name, value in node.items():
            yield from _counts(value, f"{where}.{name}".lstrip("."), str(name))
    elif isinstance(node, list | tuple):
        yield where, key or "list", len(node), ITEMS.get(key, MOST_ITEMS)
        for at, value in enumerate(node, 1):
            yield from _counts(value, f"{where}[{at}]", "")


def _draw_faults(study: Mapping[str, Any], file: str) -> list[Fault]:
    table, options = study.get("uncertainty"), study.get("option")
    scenarios = table.get("scenarios") if isinstance(table, Mapping) else None
    if not isinstance(scenarios, int) or not isinstance(options, list | tuple):
        return []
    most = MOST_SCENARIOS // max(len(options), 1)
    if scenarios <= most:
        return []
    problem = tr(
        "{scenarios} scenarios of {options} options take too long here",
        scenarios=f"{scenarios:,}",
        options=len(options),
    )
    return [
        Fault(
            "uncertainty.scenarios",
            problem,
            tr("up to {most}; {elsewhere}", most=f"{most:,}", elsewhere=tr(_ELSEWHERE)),
            file,
        )
    ]


def shown(lines: list[str]) -> list[str]:
    """The first lines of many, and how many more there are.

    Examples
    --------
    >>> shown(["a", "b"]), shown(["x"] * 23)[-1]
    (['a', 'b'], '… and 3 more')
    """
    more = len(lines) - LINES_SHOWN
    return lines if more <= 0 else [*lines[:LINES_SHOWN], tr("… and {more} more", more=f"{more:,}")]
