"""The page to sign from made-up results: which options stand on it, what its tables leave out and say so, and its blocks in order."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from report.bases import basis, option

from costsim.report import sign
from costsim.report.blocks import Facts, Heading, Items, Signatures, Text, table

NAMES = ("A", "B", "C", "D", "E", "F")
"""Six options, one more than are all shown above the signatures."""


def many(names: tuple[str, ...] = NAMES, *, today: str = "", signed: str = "E") -> Any:
    """Options of which each costs less than the one before; all keep the house warm."""
    made = [option(name) for name in names]
    for at, one in enumerate(made):
        one.cost_total = 1000.0 - 10 * at
        one.hourly = SimpleNamespace(delivered_w=np.array([8e3]))
    typed = [SimpleNamespace(name=name) for name in names]
    return basis(
        case__options=typed, case__today=next((one for one in typed if one.name == today), None), case__use=None,
        result__options=made, signed__name=signed, uncertainty=SimpleNamespace(scenarios=2000),
        band=lambda name: (80.0, 100.0, 120.0), look=lambda name: SimpleNamespace(sources=[SimpleNamespace(rated_w=9e3, day_w=8e3)]),
    )  # fmt: skip


@pytest.fixture
def ranked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sign, "ranked", lambda result: sorted(result.options, key=lambda one: one.cost_total))
    monkeypatch.setattr(sign, "first_cost", lambda typed, coin: f"cost of {typed.name}")


@pytest.mark.usefixtures("ranked")
def test_four_of_many_stand_above_the_signatures_the_signed_one_and_todays_among_them() -> None:
    """F costs least, then E and D; the order is that of the study."""
    assert sign.shown(many()) == ("C", "D", "E", "F")
    assert sign.shown(many(today="A")) == ("A", "D", "E", "F")
    assert sign.shown(many(today="A", signed="B")) == ("A", "B", "E", "F")
    assert sign.shown(many(NAMES[:5], signed="A")) == NAMES[:5]


@pytest.mark.usefixtures("ranked")
def test_tables_of_some_options_say_how_many_they_leave_out() -> None:
    one = many()
    costs, few = sign.costs(one), sign.costs(one, ("B", "E"))
    assert [row[0] for row in costs.rows] == list(NAMES)
    assert costs.note.startswith("One year at the prices entered. 80% range: 2,000 scenarios")
    assert "Heating alone; fixed charges" in costs.note
    assert few.rows == (
        ("B", "$990", "$80 to $120", "$40", "$60", "cost of B"),
        ("E", "$960", "$80 to $120", "$40", "$60", "cost of E"),
    )
    assert few.note.startswith("4 more options stand below the signatures. One year")
    assert sign.costs(one, NAMES[:5]).note.startswith("1 more option stands below the signatures.")
    assert sign.costs(one, NAMES).note == costs.note
    assert [row[0] for row in sign.capacities(one).rows] == list(NAMES)
    assert [row[0] for row in sign.capacities(one, ("B", "E")).rows] == ["B", "E"]
    one.case.use = [1]
    assert "Heating and what else the tank serves; fixed charges" in sign.costs(one).note


def test_a_tank_lends_what_is_over_the_sources_own_by_more_than_rounding() -> None:
    """8 kW available: 8.03 kW is read as the same, 8.1 kW came from the tank; 10 kW are rated. What has no source lends nothing."""

    def lent(*delivered_w: float, day_w: float = 8e3) -> bool:
        made = [
            option(f"O{at}", hourly=SimpleNamespace(delivered_w=np.array([0.0, w]))) for at, w in enumerate(delivered_w)
        ]
        look = SimpleNamespace(sources=[SimpleNamespace(rated_w=10e3, day_w=day_w)])
        note = sign.capacities(basis(result__options=made, look=lambda name: look)).note
        assert note.startswith("The house loses 9.0 kW on a design day. ")
        return note.endswith("the tank lent it, or the hour was milder than the coldest.")

    assert not lent(8e3)
    assert not lent(8.03e3)
    assert lent(8.1e3)
    assert lent(8.1e3, 7e3)
    assert lent(7e3, 8.1e3)
    assert lent(10.5e3)
    assert not lent(0.0, day_w=0.0)


def test_of_many_others_only_their_number_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    one = many()
    monkeypatch.setattr(sign, "first_cost", lambda typed, coin: "$5,000")
    one.signed.option = None
    one.result.option = lambda name: option(name, 0)
    assert sign.own_answer(one).endswith("0 hours of the weather year too cold. It was compared with 5 others.")


@pytest.mark.parametrize("count", [5, 6])
def test_blocks_stand_in_their_order_and_all_options_below_where_they_are_many(
    count: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is signed, its diagram and open items above the signatures; cautions, all options and sources below."""
    for name in ("own_answer", "costs", "verdicts", "capacities", "diagram", "gains_sentence"):
        monkeypatch.setattr(
            sign,
            name,
            lambda *asked, name=name: name if len(asked) < 2 or name == "gains_sentence" else f"{name} of few",
        )
    monkeypatch.setattr(sign, "design_night_sentence", lambda result, system, few: f"night of {', '.join(few)}")
    monkeypatch.setattr(sign, "bought", lambda _: ("bought",))
    monkeypatch.setattr(sign, "_eligibility", lambda _: ("eligible",))
    monkeypatch.setattr(sign, "_warnings", lambda _: ("warned",))
    monkeypatch.setattr(sign, "assumed", lambda _: (("prices", "typed"),))
    monkeypatch.setattr(sign, "shown", lambda _: ("A",))
    monkeypatch.setattr(sign, "open_rows", lambda basis, waiting: (("waiting", str(waiting)),))
    notes = [
        SimpleNamespace(title=title, short=f"{title}!", standards="nfpa 54; nec")
        for title in ("Open flame", "Hot water")
    ]
    one = basis(case__options=[1] * count, signed__cautions=notes, sentence="The answer.")
    found = sign.sign_page(one, 3)
    assert found[:2] == (Text("own_answer", "answer"), Text("The answer."))
    at = next(at for at, block in enumerate(found) if isinstance(block, Signatures))
    above, below = found[2:at], found[at + 1 :]
    for block in (
        "costs of few", "verdicts", "capacities of few", Text("gains_sentence", "small"), Text("night of A"), "eligible", "warned", "diagram", "bought",
        Heading("What is signed: A"), Facts((("waiting", "3"), ("cautions below", "open flame; hot water"), *sign.BY_HAND)),
    ):  # fmt: skip
        assert above.count(block) == 1
    (cautions,) = (block for block in below if isinstance(block, Items))
    assert cautions.items == (
        ("Open flame", "Open flame!", "Nfpa 54; nec."),
        ("Hot water", "Hot water!", "Nfpa 54; nec."),
    )
    assert cautions.columns == 2  # what both layouts set side by side
    assert [block for block in below if block in ("costs", "capacities")] == (
        ["costs", "capacities"] if count == 6 else []
    )
    assert found[-2] == Heading("Assumptions and sources")
    assert isinstance(found[-1], Facts)
    assert found[-1].rows[0] == ("prices", "typed")
    assert found[-1].rows[1][0] == "standards and editions"


def test_the_verdict_says_over_how_many_years_and_scenarios(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sign, "verdict_rows", lambda *_: (["a", "b", "c", "d"], [["1", "2", "3", "4"]]))
    monkeypatch.setattr(sign, "cheaper_lines", lambda *_: ["Gas costs less, but is cold."])
    monkeypatch.setattr(sign, "today_sentence", lambda result, name: f"{name} does not pay.")
    found = sign.verdicts(basis(decision=SimpleNamespace(scenarios=2000), signed=SimpleNamespace(name="Pair")))
    assert found == table(
        "Verdict", ["a", "b", "c", "d"], [["1", "2", "3", "4"]], "wwrr",
        "Gas costs less, but is cold. Pair does not pay. Over 20 years; shares of 2,000 scenarios; running costs include maintenance.",
    )  # fmt: skip
