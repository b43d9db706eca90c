"""What the kernel books of an hour and of a piece of the year: each step in Python on a work array of two lanes, added up by hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from costsim.engine import layout as k
from costsim.engine import ledger
from costsim.engine.compiling import plain


def room(**rows: Any) -> Any:
    """A work array of two lanes in which these rows are set, by slot as NAME_slot; nothing else was put there yet."""
    w = np.full(k.WORK * k.WIDTH, np.nan)
    for name, values in rows.items():
        put(w, getattr(k, name), values)
    return w


def put(w: Any, row: int, values: Any) -> None:
    w[row * k.WIDTH : row * k.WIDTH + 2] = values


def get(w: Any, row: int) -> list[float]:
    return list(w[row * k.WIDTH : row * k.WIDTH + 2])


def own(slot: int, row: int) -> int:
    """Row of a slot's source."""
    return k.SLOT + slot * k.LANE_SCALARS + row


def test_a_year_begins_with_nothing_booked_and_each_lanes_own_rows() -> None:
    lanes = np.arange(2.0 * k.LANES * 3).reshape(2, k.LANES, 3)
    sums, energy, peaks = (np.full(shape, np.nan) for shape in ((2, 9, 3), (2, 2, 12, 2, 3), (2, 2, 12, 3)))
    w = room()
    plain(ledger.begin)(w, 2, lanes, 1, sums, energy, peaks)
    for found in (sums, energy, peaks):
        assert (found[1, ..., :2] == 0.0).all()
        assert np.isnan(found[0]).all()
        assert np.isnan(found[1, ..., 2]).all()
    assert [get(w, row) for row in range(k.LANES)] == lanes[1, :, :2].tolist()
    assert (w[k.LANES * k.WIDTH :] == 0.0).all()
    assert not w[2 : k.WIDTH].any()  # no third lane


def test_each_slot_takes_the_scalars_of_the_source_that_gives_in_it() -> None:
    lanes = np.arange(2.0 * k.LANES * 2).reshape(2, k.LANES, 2)
    w = room()
    plain(ledger.take)(w, 2, lanes, 1, np.array([[0, 1, 2], [2, 0, 1]]), 1, 2)
    for slot, source in enumerate((2, 0)):
        for row in range(k.LANE_SCALARS):
            assert get(w, own(slot, row)) == lanes[1, k.OWN + source * k.LANE_SCALARS + row].tolist()
    assert np.isnan(w[own(2, 0) * k.WIDTH])


def test_a_slab_starts_as_warm_as_the_first_hour_wants_it() -> None:
    """20 °C and 0.5 K more of this house; 5 kW of 10 kW typed at 0.002 K/W are 10 K; by a loss of 300 W/K and 20 K it is 6 kW, 12 K."""
    for loss, slab in ((0.0, 20.5 + 10.0), (300.0, 20.5 + 12.0)):
        w = room(LOSS=loss, SHIFT=0.0, INDOOR=0.5, LIMIT=1e9, PER_SLAB_HEAT=0.0, START=33.0)
        for row in range(k.MASS, k.OWN):
            put(w, row, 0.0)
        put(w, k.MASS + k.FLOOR_RESISTANCE - k.SLAB_SLAB, 0.002)
        plain(ledger.start)(w, 1, 20.0, 20.0, 5000.0)
        found = {name: get(w, getattr(k, name))[1] for name in ("TANK_C", "SLAB_C", "ROOM_C", "HOT_C", "COLD_C")}
        assert found == {"TANK_C": 33.0, "SLAB_C": pytest.approx(slab), "ROOM_C": 20.5, "HOT_C": 33.0, "COLD_C": 33.0}
        assert get(w, k.LOWEST)[1] > 60.0  # no room is so warm: the first hour's is the lowest


def found_of(heat: float, able: float, left: float = 0.0) -> Any:
    return SimpleNamespace(heat=heat, able=able, left=left)


@pytest.mark.parametrize(
    ("kind", "used", "auxiliary", "dumped"),
    [
        (0, 0.0, 0.0, 0.0),
        (k.BATCH_FIRED, 5000.0 * 1.25, 0.01 * 4000.0 + 50.0, 1000.0),  # what was loaded burns
        (k.SOLAR, 4000.0 * 1.25, 0.01 * 4000.0 + 50.0, 1000.0),
        (k.DISPATCHABLE, 4000.0 * 1.25, 0.01 * 4000.0 + 50.0, 0.0),
        # half of its smallest fire of 8 kW: on for half of the hour, 10 % of the rest lost
        (k.CYCLING, 4000.0 * 1.25 / (1.0 - 0.1 * 0.5), 0.01 * 4000.0 + 25.0, 0.0),
    ],
)
def test_what_goes_into_a_source_of_each_kind(kind: int, used: float, auxiliary: float, dumped: float) -> None:
    w = np.zeros(k.WORK * k.WIDTH)
    for row, value in ((k.DEGRADATION, 0.1), (k.PER_LEAST, 1 / 8000.0), (k.AUX_SHARE, 0.01), (k.AUX_W, 50.0)):
        put(w, own(1, row), value)
    put(w, k.HEAT + 1, 7.0)
    put(w, k.USED + 1, 70.0)
    put(w, k.DUMPED + 1, 700.0)
    found = plain(ledger.input_of)(w, k.SECOND, 1, kind, found_of(4000.0, 5000.0, 3.0), 1.25)
    assert found == (pytest.approx(used), pytest.approx(auxiliary))
    heat = 4000.0 if kind else 0.0
    assert get(w, k.HEAT + 1) == [7.0, 7.0 + heat]
    assert get(w, k.USED + 1) == [70.0, pytest.approx(70.0 + used)]
    assert get(w, k.DUMPED + 1) == [700.0, 700.0 + dumped]
    assert get(w, k.FUEL + 1) == [0.0, 3.0 if kind == k.BATCH_FIRED else 0.0]


def test_fans_run_from_half_a_watt_of_heat_and_all_hour_above_the_smallest_fire() -> None:
    w = np.zeros(k.WORK * k.WIDTH)
    put(w, own(0, k.AUX_W), 50.0)
    put(w, own(0, k.PER_LEAST), 1 / 8000.0)
    put(w, own(0, k.DEGRADATION), 0.1)
    rests = plain(ledger.input_of)(w, k.FIRST, 0, k.DISPATCHABLE, found_of(k.ROUNDING_W, 9e3), 1.0)
    runs = plain(ledger.input_of)(w, k.FIRST, 0, k.DISPATCHABLE, found_of(k.ROUNDING_W * 1.5, 9e3), 1.0)
    assert (rests[1], runs[1]) == (0.0, 50.0)
    for heat in (8000.0, 12000.0):
        assert plain(ledger.input_of)(w, k.FIRST, 0, k.CYCLING, found_of(heat, 12e3), 1.0) == (heat, 50.0)


def test_less_than_a_rounding_is_lacked_by_nobody() -> None:
    w = np.zeros(k.WORK * k.WIDTH)
    small = k.ROUNDING_W
    for short in (small, 2 * small, 3.0, 2.0):
        plain(ledger.note_hour)(w, 1, 10.0, 7.0, short)
    assert [get(w, row)[1] for row in (k.WANTED, k.GIVEN, k.HOURS_SHORT, k.WORST)] == [40.0, 28.0, 3.0, 3.0]
    assert get(w, k.MISSING)[1] == pytest.approx(5.0 + 2 * small)
    for used in (10.0 - small, 10.0 - 2 * small, 8.0):
        plain(ledger.note_uses)(w, 0, 10.0, used)
    assert get(w, k.USE_WANTED)[0] == 30.0
    assert get(w, k.USE_MISSING)[0] == pytest.approx(2.0 + 2 * small)


def test_whole_numbers_are_the_nearest_and_of_two_the_even_one() -> None:
    rounded = plain(ledger.rounded)
    assert [rounded(one) for one in (0.0, 0.4, 0.5, 1.5, 2.5, 2.6)] == [0.0, 0.0, 0.0, 2.0, 2.0, 3.0]
    assert [rounded(one) for one in (2.0**52 - 1.0, 2.0**52 + 1.0, 1e300)] == [2.0**52 - 1.0, 2.0**52 + 1.0, 1e300]


def test_what_the_hour_takes_is_held_for_the_meters_with_standby_and_pumps() -> None:
    """In steps of a tenth of a watt: electricity of the first and third source, fans and pumps, not the second one's gas."""
    w = room(PUMP=60.0, STEPS=10.0, OTHER=1.0)
    for slot, (electric, factor, standby) in enumerate(((1.0, 2.0, 3.0), (0.0, 4.0, 5.0), (1.0, 0.5, 7.0))):
        for row, value in ((k.ELECTRIC, electric), (k.FACTOR, factor), (k.STANDBY, standby)):
            put(w, own(slot, row), value)
    plain(ledger.keep_inputs)(w, 1, (100.0, 200.0, 300.0), 11.0, 0.5)
    held = [get(w, k.NOW_0 + at)[1] for at in range(4)]
    assert held == [203.0, 805.0, 157.0, 41.0]
    assert get(w, k.STEPPED)[1] == 10 * (203.0 + 157.0 + 41.0)


SLOTS = np.array([[0, 1, 2], [2, 0, 1]])
MONTHS = np.array([0, 5])


def metered(**given: Any) -> tuple[Any, Any, Any]:
    """Hour 1 in the second piece of a year, in June, in which the third, first and second source take these watts."""
    w = room(NOW_0=[10.0, 1.0], NOW_1=[200.0, 2.0], NOW_2=[3000.0, 3.0], AUXILIARY_NOW=[40000.0, 4.0])
    put(w, k.OTHER, [1.0, 0.5])
    put(w, k.KEPT, [5.0, 6.0])
    put(w, k.STEPPED, [7.0, 8.0])
    peaks, power = np.zeros((1, len(given.get("meters", ())), 12, 2)), given.get("power", np.zeros(0, dtype=np.int64))
    plain(ledger.meter)(
        w, 2, 1, 0, MONTHS, SLOTS, 1, given.get("meters", np.zeros((0, 2))), given.get("payers", np.zeros((0, 4))),
        peaks, power, given.get("free", np.zeros(0)), given.get("takers", np.zeros(4)),
    )  # fmt: skip
    return w, peaks, power


@pytest.mark.parametrize(
    ("takers", "free", "covered"),
    [
        # by source: the third gives first, then the first, then the second one; fans and pumps come last
        ([1.0, 0.0, 0.0, 0.0], 1e6, [200.0, 2.0]),
        ([0.0, 1.0, 0.0, 0.0], 1e6, [3000.0, 3.0]),
        ([0.0, 0.0, 1.0, 0.0], 1e6, [10.0, 1.0]),
        ([0.0, 0.0, 0.0, 1.0], 1e6, [40000.0, 4.0]),
        ([1.0, 1.0, 1.0, 1.0], 1e6, [43210.0, 10.0]),
        ([1.0, 1.0, 1.0, 1.0], 100.0, [100.0, 10.0]),
        ([0.0, 0.0, 0.0, 0.0], 100.0, [0.0, 0.0]),
    ],
)
def test_own_generation_covers_what_of_electricity_it_has(takers: Any, free: float, covered: list[float]) -> None:
    w, _, _ = metered(takers=np.array(takers), free=np.array([0.0, free]))
    assert get(w, k.KEPT) == [5.0 + covered[0], 6.0 + covered[1]]


def test_each_meter_holds_the_highest_hour_of_what_is_on_it() -> None:
    meters = np.array([[0.0, 1e6], [0.0, k.OUTSIDE_W], [0.0, -50.0], [0.0, 8.0]])
    payers = np.array([[1.0, 0.0, 0.0, 0.0], [1.0, 1.0, 1.0, 1.0], [0.0, 1.0, 0.0, 1.0], [0.0, 0.0, 1.0, 0.0]])
    w, peaks, power = metered(meters=meters, payers=payers, power=np.array([100, 1000]))
    june = peaks[0, :, 5].tolist()
    # another half of the house's other use in the second lane; no hour of the second meter; the third is fed by the roof
    assert june == [[1e6 + 200.0, 5e5 + 2.0], [0.0, 0.0], [43000.0 - 50.0, 0.0], [18.0, 5.0]]
    assert not np.delete(peaks, 5, axis=2).any()
    assert power.tolist() == [100, 1015]
    assert get(w, k.KEPT) == [5.0, 6.0]  # nothing is generated


def test_a_piece_of_the_year_is_added_to_sums_and_bills_and_begins_anew() -> None:
    """Ten hours in June: two sources, the second first; half of the energy at night."""
    rows = range(k.WANTED, k.WANTED + k.SUM_USE_SHORT + 1)
    for dumped in (False, True):
        w = room(**{"RUNNING": [2.0, 4.0], "AUXILIARY": [30.0, 40.0], "PUMP": [50.0, 60.0]})
        for at, row in enumerate(rows):
            put(w, row, [1.0 + at, 10.0 + at])
        for slot in (0, 1):
            for row, values in ((k.HEAT, [5.0, 6.0]), (k.USED, [7.0, 8.0]), (k.DUMPED, [9.0, 11.0])):
                put(w, row + slot, np.array(values) * (1 + slot))
            put(w, own(slot, k.FACTOR), 0.5)
            put(w, own(slot, k.STANDBY), 3.0)
        sums = np.ones((1, k.SUMS + (4 if dumped else 2), 2))
        energy = np.ones((1, 3, 12, 2, 2))
        shares = np.array([[[0.25, 0.75]] * 3, [[0.5, 0.0], [1.0, 0.5], [0.25, 0.75]]])
        plain(ledger.flush)(
            w, 2, np.array([0, 100, 110]), MONTHS, np.array([[0, 1], [1, 0]]), shares, 1, 0, sums, energy
        )
        hour = 3600.0
        for at in range(k.SUM_USE_SHORT + 1):
            assert sums[0, at].tolist() == [1.0 + (1.0 + at) * hour, 1.0 + (10.0 + at) * hour]
        # the second source gives first
        assert sums[0, k.SUMS].tolist() == [1.0 + 10.0 * hour, 1.0 + 12.0 * hour]
        assert sums[0, k.SUMS + 1].tolist() == [1.0 + 5.0 * hour, 1.0 + 6.0 * hour]
        if dumped:
            assert sums[0, k.SUMS + 2 :].tolist() == [
                [1.0 + 18.0 * hour, 1.0 + 22.0 * hour],
                [1.0 + 9.0 * hour, 1.0 + 11.0 * hour],
            ]
        # half of what was used and ten hours of standby
        june = energy[0, :, 5].tolist()
        assert june[0] == [pytest.approx([1.0 + 37.0 * 0.5 * hour, 1.0 + 38.0 * 0.5 * hour]), [1.0, 1.0]]
        wanted = [[1.0 + 33.5 * part * hour, 1.0 + 34.0 * part * hour] for part in (1.0, 0.5)]
        assert june[1] == [pytest.approx(one) for one in wanted]
        # fans, and pumps for two and four hours
        fans = np.array([30.0 + 100.0, 40.0 + 240.0]) * hour
        assert june[2] == [pytest.approx(1.0 + 0.25 * fans), pytest.approx(1.0 + 0.75 * fans)]
        assert (np.delete(energy, 5, axis=2) == 1.0).all()
        emptied = [
            *rows,
            k.RUNNING,
            k.AUXILIARY,
            *(row + slot for row in (k.HEAT, k.USED, k.DUMPED) for slot in (0, 1)),
        ]
        assert [get(w, row) for row in emptied] == [[0.0, 0.0]] * len(emptied)


def test_what_generation_covered_is_booked_after_fans_and_pumps() -> None:
    shares = np.array([[[0.25, 0.75]] * 3])
    for count in (3, 4):
        w = room(KEPT=[5.0, 6.0])
        energy = np.ones((1, count, 12, 2, 2))
        plain(ledger.flush_covered)(w, 2, np.array([4]), shares, 0, 0, energy)
        if count == 3:
            assert (energy == 1.0).all()
            continue
        assert energy[0, 3, 4].tolist() == [
            [1.0 + 1.25 * 3600, 1.0 + 1.5 * 3600],
            [1.0 + 3.75 * 3600, 1.0 + 4.5 * 3600],
        ]
        assert get(w, k.KEPT) == [0.0, 0.0]
        assert (energy[0, :3] == 1.0).all()


@pytest.mark.parametrize(("own_room", "lowest"), [(0, [18.5, 19.0]), (1, [15.0, 16.0])])
def test_a_year_ends_with_its_extremes(own_room: int, lowest: list[float]) -> None:
    w = room(HOURS_SHORT=[3.0, 4.0], WORST=[500.0, 600.0], LOWEST=[15.0, 16.0], INDOOR=[0.5, 1.0])
    sums = np.ones((1, k.SUMS, 2))
    plain(ledger.finish)(w, 2, sums, 0, 18.0, own_room)
    assert sums[0, k.SHORT_HOURS :].tolist() == [[3.0, 4.0], [500.0, 600.0], lowest]
    assert (sums[0, : k.SHORT_HOURS] == 1.0).all()
