"""What homes pay beside their other electricity, and what keeps them from the quick way: everything around is made up."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from costsim.engine import layout as k
from costsim.portfolio import compute, costs, plan, summary
from costsim.portfolio.homes import Block
from costsim.portfolio.table import OwnPrice
from costsim.portfolio.today import Today
from costsim.sources import HeatSource


class Table:
    """So many homes."""

    def __init__(self, count: int, **more: Any) -> None:
        self.count, self.house, self.prices = count, dict[str, Any](), dict[str, Any]()
        self.__dict__.update(more)

    def __len__(self) -> int:
        return self.count


# money


@pytest.mark.parametrize(("metering", "billed"), [("none", [2.0, 0.0, 3.0]), ("month", [2.0, -1.0, 3.0])])
def test_what_heating_adds_where_a_house_generates(
    metering: str, billed: list[float], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Other use of 3, 1 and 3 less 1, 2 and 0 from the roof: what is fed in is no use unless it is set off against use."""
    seen: dict[str, Any] = {}
    monkeypatch.setattr(costs, "export_terms", lambda case: SimpleNamespace(net_metering=metering))
    monkeypatch.setattr(costs, "generation_j", lambda case, weather: np.array([1.0, 2.0, 0.0]))
    monkeypatch.setattr(costs, "monthly_energy_j", lambda tariff, clock, hours: np.array([hours.tolist(), [0.0] * 3]))
    monkeypatch.setattr(costs, "monthly_peaks_w", lambda tariff, clock, hours: hours)
    monkeypatch.setattr(costs, "added_cost", lambda tariff, clock, terms, **given: seen.update(given) or "cost")
    case = SimpleNamespace(other_electricity_j=lambda clock: np.array([3.0, 1.0, 3.0]))
    common: Any = SimpleNamespace(case=case, weather=None, calendar=None, tariffs={"electricity": None})
    assert costs._generating(common, None, "bought", "peaks", "kept") == "cost"  # type: ignore[arg-type, comparison-overlap]
    assert seen["house_j"].tolist() == [[[one, 0.0] for one in billed]]  # (1, months, rows)
    assert seen["alone_w"].tolist() == [[2.0, 0.0, 3.0]]
    assert [seen[name] for name in ("energy_j", "peaks_w", "kept_j")] == ["bought", "peaks", "kept"]


def paid(monkeypatch: pytest.MonkeyPatch, *, known: bool = True, solar: Any = None, anyway: bool = False) -> Any:
    """Cost of two homes that buy 5 and 0 of electricity and gas, at a price that grows by the square; and whose tariffs were asked for."""
    asked: list[Any] = []
    monkeypatch.setattr(costs, "charges_of", lambda common, owners: [(owner, None) for owner in owners])
    monkeypatch.setattr(costs, "row_count", lambda common, key: 1)
    monkeypatch.setattr(costs, "there_anyway", lambda case, key: anyway)
    monkeypatch.setattr(costs, "_known", lambda common, homes: known)
    monkeypatch.setattr(costs, "_whole", lambda common: "whole")
    monkeypatch.setattr(costs, "own_tariff", lambda tariff, own: asked.append((tariff, own.per_month)) or tariff)
    monkeypatch.setattr(costs, "_other_use", lambda common, homes: (np.full((2, 12, 1), 1.0), None))
    monkeypatch.setattr(costs, "_generating", lambda common, tariff, bought, peaks, kept: kept.sum(axis=(1, 2)) * 100)
    monkeypatch.setattr(
        costs, "price_month_period", lambda tariff, energy, peaks, calendar: (energy**2).sum(axis=(1, 2))
    )
    case = SimpleNamespace(solar_electric=solar)
    common = SimpleNamespace(tariffs={"natural_gas": "gas", "electricity": "power"}, calendar=None, case=case)
    ready: Any = SimpleNamespace(offers=[SimpleNamespace(price_key="natural_gas"), SimpleNamespace(price_key="wood")])
    energy = np.zeros((2, 4, 12, 1))  # gas, wood, electricity of pumps, what is kept
    energy[0, 0, 0], energy[0, 2, 1], energy[:, 3, 0] = 5.0, 7.0, 2.0
    years: Any = SimpleNamespace(energy_j=energy, peaks_w=np.zeros((2, 3, 12)))
    homes: Any = Table(2, prices={"natural_gas": OwnPrice(None, 9.0), "electricity": OwnPrice(None, 8.0)})
    return costs.costs_of(SimpleNamespace(common=common), ready, homes, years).tolist(), asked  # type: ignore[arg-type]


def test_electricity_counts_at_the_margin_of_other_use(monkeypatch: pytest.MonkeyPatch) -> None:
    # gas 5² = 25; electricity beside 1 a month (1 + 7)² + 11 less 12 = 63
    assert paid(monkeypatch) == ([25.0 + 63.0, 0.0], [("gas", 9.0), ("whole", 8.0)])
    # where other use is not known 7² = 49
    assert paid(monkeypatch, known=False) == ([25.0 + 49.0, 0.0], [("gas", 9.0), ("power", 8.0)])
    # what is due anyway is no cost of heating
    assert paid(monkeypatch, known=False, anyway=True)[1] == [("gas", None), ("power", None)]
    # a house that generates is billed for what it kept
    assert paid(monkeypatch, solar="roof")[0] == [25.0 + 200.0, 0.0]


def test_other_use_is_the_study_s_profile_or_each_home_s_year(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(costs, "house_profile_j", lambda year, clock: np.array([0.25, 0.75]) * year)
    monkeypatch.setattr(costs, "monthly_energy_j", lambda tariff, clock, hours: hours[None])
    monkeypatch.setattr(costs, "monthly_peaks_w", lambda tariff, clock, hours: hours[None] * 10)
    house = SimpleNamespace(other_electricity_profile="")
    case = SimpleNamespace(house=house, other_electricity_j=lambda clock: np.array([3.0, 4.0]))
    common: Any = SimpleNamespace(tariffs={"electricity": None}, calendar=None, case=case)
    homes: Any = Table(2, other_electricity_j=lambda case: np.array([4.0, 8.0]))
    use, peaks = costs._other_use(common, homes)
    assert (use.tolist(), peaks.tolist()) == ([[[1.0], [3.0]], [[2.0], [6.0]]], [[[10.0, 30.0]], [[20.0, 60.0]]])
    house.other_electricity_profile = "meter.csv"
    use, peaks = costs._other_use(common, homes)
    assert (use.tolist(), peaks.tolist()) == ([[[3.0], [4.0]]] * 2, [[[30.0, 40.0]]] * 2)


@pytest.mark.parametrize(
    ("known", "anyway", "served", "wanted"),
    [(False, False, True, 0.0), (True, False, True, 7.0), (False, True, True, 7.0), (True, True, False, 0.0)],
)
def test_a_house_alone_pays_for_what_is_known_or_due_anyway(
    known: bool, anyway: bool, served: bool, wanted: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(costs, "_known", lambda common, table: known)
    monkeypatch.setattr(costs, "there_anyway", lambda case, key: anyway)
    monkeypatch.setattr(costs, "_whole", lambda common: "whole")
    monkeypatch.setattr(costs, "own_tariff", lambda tariff, own: tariff)
    monkeypatch.setattr(costs, "_other_use", lambda common, table: ("use", "peaks"))
    monkeypatch.setattr(costs, "price_month_period", lambda tariff, use, peaks, calendar: np.full(2, 7.0))
    common = SimpleNamespace(tariffs={"electricity": 1} if served else {}, case=None, calendar=None)
    assert costs.houses_alone(SimpleNamespace(common=common), Table(2)).tolist() == [wanted] * 2  # type: ignore[arg-type]


# what all homes share


def shared(
    monkeypatch: pytest.MonkeyPatch, *, even: bool, own_use: bool, solar: str = "", known: bool = True
) -> dict[str, Any]:
    """What the kernel is given that all homes share: of two hours and sources of wood and electricity."""
    seen: dict[str, Any] = {}
    study = np.full((k.SOURCES, 2), 5.0)
    monkeypatch.setattr(plan, "house_rows", lambda common: ("scalars", study))
    monkeypatch.setattr(plan, "source_rows", lambda offers: ("source scalars", "source hours"))
    monkeypatch.setattr(plan, "house_profile_j", lambda year, clock: f"a year of {year:g}")
    monkeypatch.setattr(plan, "meters_of", lambda common, keys, profile: (keys, profile))
    monkeypatch.setattr(plan, "generation_j", lambda case, weather: np.array([7200.0, 3600.0]))
    monkeypatch.setattr(
        plan, "share", lambda scalars, hours, *given, **more: seen.update(hours=hours, given=given, **more)
    )
    case = SimpleNamespace(
        solar_electric=SimpleNamespace(net_metering=solar) if solar else None, other_electricity_known=known,
        other_electricity_j=lambda clock: np.array([3600.0, 7200.0]),
    )  # fmt: skip
    common: Any = SimpleNamespace(
        case=case, calendar=SimpleNamespace(month="months"), weather=SimpleNamespace(outdoor_c=np.array([3.0, -4.0]))
    )
    offers: Any = [SimpleNamespace(price_key=key, heat_per_input=np.full(2, 0.5)) for key in ("wood", "electricity")]
    plan.shared_by_homes(common, offers, np.zeros((2, 2), dtype=np.int64), "shares", even=even, own_use=own_use)  # type: ignore[arg-type]
    assert (study == 5.0).all()  # the study's own stay as they are
    return seen


def test_homes_share_hours_without_limits_of_floors_and_even_ones_without_rooms(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    even, own = (shared(monkeypatch, even=one, own_use=not one) for one in (True, False))
    others = [row for row in range(k.SOURCES) if row not in (k.ROOM, k.FLOOR_LIMIT)]
    for found, room in ((even, 0.0), (own, 5.0)):
        assert found["hours"][k.FLOOR_LIMIT].tolist() == [np.inf, np.inf]
        assert found["hours"][k.ROOM].tolist() == [room, room]
        assert (found["hours"][others] == 5.0).all()
        assert found["takers"].tolist() == [0.0, 1.0, 1.0]
        assert found["degrees"].tolist() == [-3.0, 4.0]
        assert found["free"] is None
        assert found["meters"] == ("wood", "electricity", "electricity")
    assert (even["payers"], own["payers"]) == (None, "a year of 1")


def test_what_a_roof_gives_beyond_other_use_is_free(monkeypatch: pytest.MonkeyPatch) -> None:
    # an hour of 7,200 J less 3,600 J is 1 W
    assert shared(monkeypatch, even=True, own_use=False, solar="none")["free"].tolist() == [1.0, 0.0]
    assert shared(monkeypatch, even=True, own_use=False, solar="month")["free"] is None
    assert shared(monkeypatch, even=True, own_use=False, solar="none", known=False)["free"] is None


def test_sources_of_others_and_weather_without_sun_are_told_of_one_home_at_a_time(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    class Own:
        """A source that tells many houses at once."""

        kind, charging = "own", "full"
        for_houses = staticmethod(lambda houses: None)

    class Other(Own):
        """One that is asked of each."""

        kind = "corn"
        for_houses = HeatSource.for_houses

    case = SimpleNamespace(floor=None, house=SimpleNamespace(zone=[]), solar_electric=None)

    def asked(own: tuple[tuple[int, int], ...], keys: tuple[str, ...] = (), sun: bool = True) -> list[str]:
        monkeypatch.setattr(plan, "_has_sun", lambda recipe: sun)
        recipe: Any = SimpleNamespace(case=case, layout=SimpleNamespace(keys=keys), own=own, options=[])
        return list(plan._asked_one_by_one(recipe, [Own(), Other()]))  # type: ignore[list-item]

    assert asked(((0, 1), (0, 2))) == asked(()) == []
    assert asked(((0, 1), (1, 1), (1, 2))) == ["a source of kind corn"]
    window = ("house.solar_aperture",)
    assert asked((), window, sun=True) == asked((), (), sun=False) == []
    assert asked((), window, sun=False) == ["house.solar_aperture"]


# homes that are too heavy, sizes, todays


def test_homes_that_are_too_heavy_are_told_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of four rows the second is odd, the third too heavy; where all are heavy nothing is run together."""
    block = Block(0, 0, (("a",), ("b",), ("c",), ("d",)), (4, 5, 7, 9))
    heavy = [False, True, False]
    ran: list[Any] = []

    class Rows(Table):
        """Rows that were read."""

        def __init__(self, rows: Any) -> None:
            super().__init__(len(rows), rows=np.array(rows), names=("n",) * len(rows), weights=np.ones(len(rows)))

        def pick(self, mask: Any) -> Rows:
            """Those of a mask."""
            return Rows(self.rows[mask])

    monkeypatch.setattr(compute, "read_table", lambda recipe, numbers, rows: (Rows([4, 7, 9]), [1]))
    monkeypatch.setattr(compute, "lower_table", lambda recipe, table: table.rows.tolist())
    monkeypatch.setattr(compute, "no_house", lambda recipe, homes: np.zeros(3, dtype=bool))
    monkeypatch.setattr(compute, "with_houses", lambda table, case: None)
    monkeypatch.setattr(compute, "_facts", lambda recipe, table, lowered: None)
    monkeypatch.setattr(compute, "too_much", lambda recipe, table, lowered: np.array(heavy))
    monkeypatch.setattr(compute, "years_of", lambda recipe, table, lowered, power: ran.append((lowered, power.shape)))
    monkeypatch.setattr(compute, "rows_of_homes", lambda recipe, table, years: table.rows)
    monkeypatch.setattr(compute, "_one_by_one", lambda recipe, block, places: [*places])
    recipe: Any = SimpleNamespace(in_arrays=True, options=["o"], case=None, weather=SimpleNamespace(n_hours=2))
    first, others = compute._run_rows(recipe, block, [0, 1, 2, 3])
    assert (first.rows.tolist(), others, ran) == ([4, 9], [1, 2], [([4, 9], (1, 2))])
    heavy[:] = [True] * 3
    assert compute._run_rows(recipe, block, [0, 1, 2, 3]) == [[1, 0, 2, 3]]
    assert len(ran) == 1
    heavy[:] = [False] * 3
    monkeypatch.setattr(compute, "read_table", lambda recipe, numbers, rows: (Rows([4, 7, 9]), []))
    (first,) = compute._run_rows(recipe, block, [0, 2, 3])
    assert first.rows.tolist() == [4, 7, 9]
    recipe.in_arrays = False
    assert compute._run_rows(recipe, block, [0, 2]) == [[0, 2]]


def test_no_size_is_named_where_no_source_has_one() -> None:
    recipe: Any = SimpleNamespace(
        layout=SimpleNamespace(keys=("house.gains",), to_load=False), case=SimpleNamespace(options=[])
    )
    assert summary._size_column(recipe, "si") == ""

    class Plain:
        """A source without a size."""

        model_fields = {"kind": SimpleNamespace(alias=None)}

    class Sized:
        """One with a size."""

        model_fields = {"kind": SimpleNamespace(alias=None), "output_w": SimpleNamespace(alias="output")}

    options = [SimpleNamespace(name="A", sources=[Plain()]), SimpleNamespace(name="B", sources=[Plain(), Sized()])]
    recipe.case.options = options[:1]
    assert summary._size_column(recipe, "si") == ""
    recipe.case.options = options
    assert summary._size_column(recipe, "si") == "Output of B [kW]"
    options[1].sources.append(Sized())  # which of the two has no plain words
    assert summary._size_column(recipe, "si") == "option[2].source[2].output [kW]"


def test_no_home_whose_today_is_known_gives_no_rows() -> None:
    from portfolio.test_by_hand import HOMES, WEIGHTS, two

    today = Today(two(), {"Heating fuel": "Heating fuel"})
    today.add(["coal"] * 4, WEIGHTS, HOMES)
    found = today.summary(None, [0], 8.0)  # type: ignore[arg-type]
    assert (found["homes"], found["rows"], found["option"]) == (0.0, [], "")
    assert found["by_value"] == [
        {"value": "coal", "homes": 15.0, "option": None, "why": "no option of the study is that"}
    ]
