"""What homes share: values of whole studies, what the sun gives alone, today's option, units of headings."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import study
from pyarrow import ArrowException

from costsim import read_study
from costsim.errors import Fault, InputError
from costsim.portfolio import costs, home_rows, homes, lowered, plan, summary, variants
from costsim.portfolio.columns import Column, Layout, read_layout
from costsim.portfolio.headings import _PRICE, _TITLES, sample_of
from costsim.portfolio.homes import Block
from costsim.portfolio.today import NOT_KNOWN
from costsim.sources import Offer
from costsim.tariffs.bill import plain_calendar

CASE = read_study("lantern_cottage")


def test_six_homes_with_the_same_values_share_a_study() -> None:
    slow = Column("b", "tank.volume", ("tank", "volume"), "L", True)
    layout = Layout(("a", "b"), 0, None, ((1, slow),))
    recipe: Any = SimpleNamespace(layout=layout, slow=("tank.volume",))
    rows = [*["300"] * 5, *["200 "] * 3, *["200"] * 3]
    block = Block(0, 0, (*((str(at), text) for at, text in enumerate(rows)), ("short",)))
    groups, others = variants.shared_values(recipe, block, range(12))
    assert groups == [(("200",), [5, 6, 7, 8, 9, 10])]
    assert others == [0, 1, 2, 3, 4, 11]
    # what no column says keeps them apart
    recipe.slow = ("tank.volume", "solar_electric")
    assert variants.shared_values(recipe, block, [3, 4]) == ([], [3, 4])
    recipe.slow = ()
    assert variants.shared_values(recipe, block, [3, 4]) == ([], [3, 4])


def test_of_collectors_the_kernel_takes_what_the_sun_gives_where_they_may_run(monkeypatch: Any) -> None:
    monkeypatch.setattr(plan, "may_run", lambda source, weather, clock: np.array([1.0, 0.5, 0.0, 1.0, 1.0]))
    fields: dict[str, Any] = dict.fromkeys(Offer.__dataclass_fields__)
    offer = Offer(**{**fields, "capacity_w": np.full(5, 7.0)})
    sun = SimpleNamespace(shared_capacity_w=lambda seen: np.array([100.0, 100.0, 100.0, -5.0, -np.inf]))
    plain = SimpleNamespace(shared_capacity_w=lambda seen: None)
    recipe: Any = SimpleNamespace(common=SimpleNamespace(surroundings=None, calendar=None), weather=None)
    option: Any = SimpleNamespace(sources=(sun, plain))
    first, second = plan.kernel_offers(recipe, option, [offer, offer])
    assert first.capacity_w.tolist() == [100.0, 50.0, -np.inf, 0.0, -np.inf]
    assert second is offer


def test_where_electricity_moves_is_told_against_the_study_s_today_alone() -> None:
    power = np.array([[3e3, 1e3], [1e3, 2e3]])
    peak = summary.PeakHours(np.array([1.0, 0.0]), "")

    def told(option: int, known: bool = True) -> Any:
        today: Any = SimpleNamespace(
            known=known, option=option, summary=lambda store, numbers, heaviest: {"rows": [{"option": "x"}]}
        )
        return summary._against_today(today, None, [], 1.0, power, peak)  # type: ignore[arg-type]

    assert told(NOT_KNOWN) == {"rows": [{"option": "x"}]}
    assert told(0)["rows"] == [
        {"option": "x", "peak_hours_less_kwh": 2.0, "other_hours_more_kwh": 1.0, "other_hours_most_more_kw": 1.0}
    ]
    assert told(1)["rows"][0]["peak_hours_less_kwh"] == -2.0
    assert told(0, known=False) is None


def test_a_heading_s_example_has_the_unit_its_fuel_is_sold_by() -> None:
    assert sample_of(_PRICE["energy"], "prices.natural_gas.energy", CASE) == "$/therm"
    assert sample_of(_PRICE["energy"], "prices.electricity.energy", CASE) == "$/kWh"
    assert sample_of(_TITLES["house.floor_area"][1], "house.floor_area", CASE) == "ft2"
    assert sample_of(_TITLES["house.floor_area"][1], "house.floor_area", read_study("valley_row")) == "m2"


def test_so_many_studies_are_kept_and_the_oldest_goes_first(monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[tuple[str, ...]] = []
    recipe: Any = SimpleNamespace(variants={})

    def prepared(_: Any, values: tuple[str, ...]) -> tuple[str, ...]:
        made.append(values)
        return values

    monkeypatch.setattr(variants, "_prepared", prepared)
    names = [str(at) for at in range(variants.KEPT + 1)]
    for name in (*names[:-1], *names[:-1], names[-1], names[0]):
        assert variants.variant(recipe, [name]) == (name,)
        assert len(recipe.variants) <= variants.KEPT
    assert made == [(name,) for name in (*names, names[0])]  # each once, but for the one that had gone


def test_a_study_of_their_own_is_made_ready_only_for_values_that_leave_the_other_columns_quick(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    area = Column("area", "house.floor_area", ("house", "floor_area"), "m2", True)
    loss = Column("loss", "house.design_heat_loss", ("house", "design_heat_loss"), "kW", True)
    layout = Layout(("home", "area", "loss"), 0, None, ((1, area), (2, loss)))
    recipe: Any = SimpleNamespace(layout=layout, case=CASE, slow=("house.floor_area",), columns=("a",), weather=None)
    seen: list[Any] = []

    def made(slow: tuple[str, ...], columns: tuple[str, ...]) -> Any:
        def prepare(case: Any, weather: Any, rest: Layout) -> Any:
            seen.append((case.house.floor_area_m2, [column.key for _, column in rest.columns]))
            return SimpleNamespace(slow=slow, columns=columns)

        monkeypatch.setattr(variants, "prepare", prepare)
        return variants._prepared(recipe, ("300",))

    assert made((), ("a",)).columns == ("a",)
    assert seen == [(300.0, ["house.design_heat_loss"])]
    assert made(("house.floor_area",), ("a",)) is None
    assert made((), ("b",)) is None
    assert variants._prepared(recipe, ("many",)) is None


@pytest.mark.parametrize(
    ("more", "wanted"), [({"house__other_electricity": "5000 kWh/year"}, 5000 * 0.10 + 12 * 9.0), ({}, 12 * 9.0)]
)
def test_the_bill_of_a_house_without_heating(more: dict[str, str], wanted: float) -> None:
    """5,000 kWh at 10 cents and nine dollars a month; without other use what is due anyway."""
    case = study(
        {"kind": "electric", "output": "9 kW"},
        prices__electricity={"energy": "0.10 $/kWh", "fixed": "9 $/month"},
        **more,
    )
    common: Any = SimpleNamespace(calendar=plain_calendar())
    assert costs.house_alone(case, common) == pytest.approx(wanted)
    without: Any = SimpleNamespace(prices={}, other_electricity_known=True)
    assert costs.house_alone(without, common) == 0.0


def test_what_goes_wrong_with_a_table_is_one_plain_fault() -> None:
    for error, said in (
        (OSError(28, "No space left"), "cannot be read (No space left)"),
        (OSError("odd"), "cannot be read (odd)"),
        (ArrowException("x"), "is not Parquet: x"),
    ):
        with pytest.raises(InputError) as caught, homes._plain_faults("f"):
            raise error
        assert said in str(caught.value)


def test_a_group_of_rows_is_as_large_as_memory_holds_at_most(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(homes, "MOST_UNPACKED", 5_000_000)

    def file(size: int) -> Any:
        return SimpleNamespace(
            schema_arrow=[],
            metadata=SimpleNamespace(num_row_groups=1, row_group=lambda at: SimpleNamespace(total_byte_size=size)),
        )

    assert homes._checked(file(5_000_000)) == []
    with pytest.raises(ArrowException, match="more than 5 MB"):
        homes._checked(file(5_000_001))


def test_a_table_that_changes_nothing_is_told_what_it_may_hold() -> None:
    with pytest.raises(InputError, match=r"no column overrides the study; add .*\[") as caught:
        read_layout(("home", "weight"), CASE, "homes.csv")
    assert "Heat loss" in str(caught.value)


def test_the_sun_on_windows_is_known_or_not(monkeypatch: pytest.MonkeyPatch) -> None:
    recipe: Any = SimpleNamespace(case=None, weather=None)

    def unknown(*_: Any) -> Any:
        raise InputError(Fault("", "the weather tells no sun", ""))

    for given, known in ((lambda *_: np.zeros(3), True), (lambda *_: np.zeros(0), False), (unknown, False)):
        monkeypatch.setattr(plan, "south_sun_w_m2", given)
        assert plan._has_sun(recipe) is known


def test_other_electricity_by_home_needs_a_study_of_its_own_where_the_house_generates() -> None:
    case = study({"kind": "electric", "output": "9 kW"})
    sunny = case.model_copy(update={"solar_electric": SimpleNamespace(net_metering="none")})
    for heading, one, slow in (
        ("house.other_electricity [kWh/year]", sunny, True),
        ("house.other_electricity [kWh/year]", case, False),
        ("house.design_heat_loss [kW]", sunny, False),
    ):
        layout = read_layout(("home", heading), case, "homes.csv")
        assert ("solar_electric" in plan._slow(one, layout)) is slow


def test_sources_that_follow_the_house_are_asked_by_their_number() -> None:
    options = [
        SimpleNamespace(numbers=(0, 1), option=SimpleNamespace(sources=("boiler", "pump"))),
        SimpleNamespace(numbers=(2,), option=SimpleNamespace(sources=("stove",))),
    ]
    recipe: Any = SimpleNamespace(own=((1, 5), (1, 6)), options=options)
    assert lowered._followers(recipe) == {1: "pump"}


def test_each_source_s_energy_is_parted_among_the_periods_of_its_own_tariff() -> None:
    """Wood that is not sold by a tariff has one period, electricity here three; of four rows the fourth is nobody's."""
    ready: Any = SimpleNamespace(offers=(SimpleNamespace(price_key="wood"),), shares=np.zeros((2, 4)))
    common: Any = SimpleNamespace(tariffs={"electricity": SimpleNamespace(n_periods=3)})
    assert home_rows._period_rows(ready, common).tolist() == [[1, 0, 0, 0], [1, 1, 1, 0]]
