"""Rows and lines of a decision that terminal, page and paper share: what it hangs on, the cost of waiting, how prices move."""

from __future__ import annotations

import re

from costsim.analysis.decision import EIA_JANUARY, TYPED_PATH, Decision
from costsim.study.case import Case
from costsim.units.fields import in_words
from costsim.views.answer import called
from costsim.views.tables import money
from costsim.views.wording import named
from costsim.words import tr

MOST_DRIVERS = 6


def driver_rows(decision: Decision) -> tuple[list[str], list[list[str]]]:
    """What the gap of the best two hangs on, the largest share first."""
    rows = [[named(name), f"{share:.0%}"] for name, share in list(decision.drivers.items())[:MOST_DRIVERS]]
    return [tr("what"), tr("share of the uncertainty")], rows


def driver_title(decision: Decision) -> str:
    """What the rows of `driver_rows` are of."""
    return tr(
        "What changes the life-cycle cost of {pair} against {pair_2} most",
        pair=called(decision.pair[0]),
        pair_2=called(decision.pair[1]),
    )


def waiting_lines(case: Case, decision: Decision) -> list[str]:
    """What a year's waiting costs with each option, one line each."""
    base, lines = (case.today or case.options[0]).name, []
    for name, cost in decision.waiting:
        lines.append(
            tr(
                "Keeping {base} a year longer, then {name}: {amount} more in today's money."
                if cost > 0
                else "Keeping {base} a year longer, then {name}: {amount} less in today's money.",
                name=called(name),
                base=called(base),
                amount=money(abs(cost), case.currency),
            )
        )
    return lines


def swing_rows(decision: Decision) -> tuple[list[str], list[list[str]]]:
    """How each price moves from year to year, with its source."""
    rows = [
        [tr(in_words(key)), f"{swing.volatility:.1%}", f"{swing.reversion:.0%}", _path_source(swing.source)]
        for key, swing in decision.swings.items()
    ]
    return [
        tr("price"),
        tr("a usual year moves it by"),
        tr("share of the distance it comes back each year"),
        tr("source"),
    ], rows


def swing_lines(decision: Decision) -> list[str]:
    """The same, one line each; what is of several prices is said once."""
    lines: dict[tuple[float, float, str], list[str]] = {}
    for key, spread in decision.swings.items():
        lines.setdefault((spread.volatility, spread.reversion, _path_source(spread.source)), []).append(
            key.replace("_", " ")
        )
    return [
        tr(
            "Path of the price of {names}: a year moves it by {swing} (standard deviation), and {back}"
            " of its distance from its level comes back each year [{source}].",
            names=", ".join(names),
            swing=f"{swing:.1%}",
            back=f"{back:.0%}",
            source=source,
        )
        for (swing, back, source), names in lines.items()
    ]


def _path_source(text: str) -> str:
    """Where the path of a price is from, in the reader's language."""
    for form in (EIA_JANUARY, TYPED_PATH):
        if match := re.fullmatch(re.sub(r"\\{(\w+)\\}", r"(?P<\1>.*)", re.escape(form)), text):
            return tr(form, **{key: _path_source(value) for key, value in match.groupdict().items()})
    return tr(text)
