"""One option under many scenarios: the same kernel, sums instead of hours, threads over the scenarios."""

from __future__ import annotations

import functools
import os
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from costsim.engine import layout as k
from costsim.engine.block import AnnualTotals, run_lanes
from costsim.engine.generation import export_terms, generation_j
from costsim.engine.inputs import covered_share
from costsim.engine.lane_inputs import LaneInputs
from costsim.engine.lanes import lanes_of
from costsim.engine.lower import LoweredOption, LoweredStudy, house_rows, lower_plant, option_study
from costsim.engine.one_year import lane_of, room_for
from costsim.engine.shared import Shared, changes, pieces, share
from costsim.errors import SolverError
from costsim.study.case import Option
from costsim.study.services import ELECTRICITY
from costsim.tariffs.bill import monthly_energy_j, monthly_peaks_w, price_month_period
from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges import Tariff, hourly_rows, meter_hours
from costsim.tariffs.own_generation import Price, added_cost
from costsim.units.arrays import Bools, Floats, Ints

CHUNK = 64
GPU_CHUNK = 1_000_000
MOST_ALONE = 64
"""Bills of the rest of a house that are remembered."""


@dataclass(frozen=True, slots=True)
class BatchResult:
    """One option over many scenarios.

    Sums (scenarios, rows.SUMS + sources), energy (scenarios, sources + 1, 12, periods) [J], and the highest power of each month on the
    meter of each demand charge (scenarios, charges, 12) [W], the charges of one tariff after those of another.
    `covered` is the share of electricity that own generation covers, by month and hourly row (12, rows).
    """

    keys: tuple[str, ...]
    sums: Floats
    energy_j: Floats
    peaks_w: Floats
    covered: Floats | None = None


def run_batch(
    common: LoweredStudy,
    plant: LoweredOption,
    *,
    loss_w_k: Floats,
    shift_k: Floats,
    efficiency: Floats,
    threads: int | None = None,
    progress: Callable[[float], None] | None = None,
    gpu: bool = False,
) -> BatchResult:
    """Run one option under many scenarios.

    Parameters
    ----------
    common : LoweredStudy
    plant : LoweredOption
        Lowered once; capacities and efficiencies over the year stay those of the study's own load.
    loss_w_k, shift_k : arrays (scenarios,)
        Loss per kelvin [W/K] and shift of the balance point [K] of each draw.
    efficiency : array (scenarios, sources)
        Factor on heat per input.
    threads : int, optional
        All processors by default; the result does not depend on it.
    progress : callable, optional
        Told the share done.
    gpu : bool
        Run the hours on a CUDA device, equal to 1e-9; not for floors that store heat, whose lanes have hours of their own.

    Returns
    -------
    BatchResult

    Raises
    ------
    SolverError
        A device is asked for, and there is none or the floor stores heat.
    """
    if gpu and common.water.mass is not None:
        raise SolverError("a floor that stores heat is not run on a GPU: leave gpu out")
    each = GPU_CHUNK if gpu else CHUNK
    scenarios, shared = len(loss_w_k), job_of(common, plant)

    def work(first: int) -> AnnualTotals:
        part = slice(first, first + each)
        scalars, own = _houses(common, plant, loss_w_k[part], shift_k[part])
        lanes = lanes_of(
            scalars, plant.source_scalars, len(loss_w_k[part]), loss_w_k=loss_w_k[part], shift_k=shift_k[part],
            factor=efficiency[part].T,
        )  # fmt: skip
        if lanes.shape[1] == 1 and own is None and not gpu:
            return lane_of(shared, lanes, room_for(shared, hours=False))[1]
        return run_lanes(shared, lanes, own=own, all_of=scenarios, gpu=gpu)

    starts, blocks = range(0, scenarios, each), [np.empty(0)] * 3
    if len(starts) == 1:  # to start a thread takes about as long as a year
        years = work(0)
        if progress is not None:
            progress(1.0)
        return _result(common, plant, years.sums, years.energy_j, years.peaks_w)
    with ThreadPoolExecutor(1 if gpu else threads or os.cpu_count() or 1) as pool:
        for done, years in enumerate(pool.map(work, starts), 1):
            parts = [getattr(years, name) for name in AnnualTotals.__slots__]
            if done == 1:
                blocks = [np.empty((scenarios, *totals.shape[1:])) for totals in parts]
            for whole, part in zip(blocks, parts, strict=True):
                whole[starts[done - 1] : starts[done - 1] + len(part)] = part
            if progress is not None:
                progress(done / len(starts))
    return _result(common, plant, *blocks)


def _result(common: LoweredStudy, plant: LoweredOption, sums: Floats, energy_j: Floats, peaks_w: Floats) -> BatchResult:
    solar = common.case.solar_electric is not None and ELECTRICITY in common.tariffs
    return BatchResult(keys_of(plant), sums, energy_j, peaks_w, covered_share(common, plant) if solar else None)


def keys_of(plant: LoweredOption) -> tuple[str, ...]:
    """Price table of each source, and of what pumps and fans take."""
    return (*(offer.price_key for offer in plant.offers), ELECTRICITY)


def job_of(common: LoweredStudy, plant: LoweredOption) -> Shared:
    """What all years of a plant share, with what its bills want added up."""
    keys, n = keys_of(plant), common.weather.n_hours
    meters, payers = meters_of(common, keys)
    new, first = _cut(
        tuple(common.tariffs[key] for key in dict.fromkeys(keys) if key in common.tariffs), common.calendar
    )
    if len(plant.order) > 1 and (turned := changes([*plant.order], n)).any():
        first = pieces(turned | new)
    return share(
        plant.scalars, plant.hours, plant.source_scalars, plant.source_hours, plant.order,
        per_input=[offer.heat_per_input for offer in plant.offers], shares=tariff_shares(common, keys, first[:-1]),
        months=common.calendar.month, degrees=common.balance_c - common.weather.outdoor_c, meters=meters, payers=payers,
        first=first,
    )  # fmt: skip


@functools.lru_cache(maxsize=32)
def _cut(tariffs: tuple[Tariff, ...], clock: HourCalendar) -> tuple[Bools, Ints]:
    """Whether a month or one of the tariffs' hourly rows changes after each hour but the last (n - 1,), and the pieces that makes."""
    new = changes([clock.month, *(row for tariff in tariffs for row in hourly_rows(tariff, clock))], clock.n_hours)
    return new, pieces(new)


def run_once(common: LoweredStudy, option: Option) -> BatchResult:
    """Run one option once, as it stands, for its sums and bills alone."""
    common = option_study(common, option)
    return run_plant(common, lower_plant(common, option))


def run_plant(common: LoweredStudy, plant: LoweredOption) -> BatchResult:
    """Run a lowered option once, as it stands."""
    unity = np.ones(1)
    return run_batch(
        common, plant, loss_w_k=common.loss_w_k * unity, shift_k=0.0 * unity, efficiency=np.ones((1, len(plant.offers)))
    )


MASS_ROWS = (k.GAINS, k.SLAB_WEATHER, k.ROOM_WEATHER)


def _houses(
    common: LoweredStudy, plant: LoweredOption, loss_w_k: Floats, shift_k: Floats
) -> tuple[Floats, LaneInputs | None]:
    """Scalars of each draw's house, and the hourly rows that slab and room need of it where they store heat.

    A shift of the balance point stands for colder weather as much as for a warmer house: both are a difference of
    temperatures, and the house holds its gains by its balance point.
    """
    if common.water.mass is None:
        return plant.scalars, None
    scalars: list[Floats] = []
    rows: dict[int, list[Floats]] = {row: [] for row in MASS_ROWS}
    for loss, shift in zip(loss_w_k.tolist(), shift_k.tolist(), strict=True):
        weather = replace(common.weather, outdoor_c=common.weather.outdoor_c - shift)
        gains = (common.setpoint_c - common.balance_c) * loss
        house = replace(common, loss_w_k=loss, gains_w=gains, weather=weather)
        own, hours = house_rows(house)
        scalars.append(own)
        for row, lanes in rows.items():
            lanes.append(hours[row])
    return np.stack(scalars, axis=1), lane_inputs(rows, len(plant.offers))


def lane_inputs(rows: Mapping[int, Sequence[Floats]], sources: int) -> LaneInputs | None:
    """Hourly rows that lanes have for themselves, by their place among those of house and sources; None without any."""
    if not rows:
        return None
    at = np.full(k.SOURCES + sources * k.SOURCE_ROWS, -1, dtype=np.int64)
    at[list(rows)] = np.arange(len(rows))
    return LaneInputs.of_hours(np.stack([np.stack(lanes) for lanes in rows.values()], axis=1), at)


def gather(parts: Sequence[tuple[Ints, BatchResult]]) -> BatchResult:
    """Put scenarios that were run apart into one, each part with the places of its scenarios."""
    if len(parts) == 1:
        return parts[0][1]
    back = np.argsort(np.concatenate([picked for picked, _ in parts]), kind="stable")
    first = parts[0][1]
    sums, energy, peaks = (
        np.concatenate([getattr(many, name) for _, many in parts])[back] for name in ("sums", "energy_j", "peaks_w")
    )
    return BatchResult(first.keys, sums, energy, peaks, first.covered)


def charges_of(common: LoweredStudy, keys: tuple[str, ...]) -> list[tuple[str, Bools]]:
    """Meters of an option's tariffs and their hours, with the tariff's key, in the order of `BatchResult.peaks_w`."""
    known = [key for key in dict.fromkeys(keys) if key in common.tariffs]
    return [(key, hours) for key in known for hours in meter_hours(common.tariffs[key], common.calendar)]


def meters_of(common: LoweredStudy, keys: tuple[str, ...], other_j: Floats | None = None) -> tuple[Floats, Floats]:
    """Other power on each meter, `OUTSIDE_W` outside its hours, and which sources are on it, for the kernel.

    The other electricity (n,) [J] is that of the study unless given.
    """
    charges, n = charges_of(common, keys), common.weather.n_hours
    meters, payers = np.zeros((len(charges), n)), np.zeros((len(charges), len(keys)))
    for row, (key, hours) in enumerate(charges):
        if key == ELECTRICITY:
            used = common.case.other_electricity_j(common.calendar) if other_j is None else other_j
            meters[row] = (used - generation_j(common.case, common.weather)) / k.HOUR_S
        meters[row, ~hours] = k.OUTSIDE_W
        payers[row] = [payer == key for payer in keys]
    return meters, payers


def tariff_shares(common: LoweredStudy, keys: tuple[str, ...], hours: Ints | None = None) -> Floats:
    """Rows of each source's tariff in all hours or some, its periods first, filled up to the longest list (sources + 1, rows, hours)."""
    at = slice(None) if hours is None else hours
    n = common.weather.n_hours if hours is None else len(hours)
    rows = [
        hourly_rows(common.tariffs[key], common.calendar)[:, at] if key in common.tariffs else np.ones((1, n))
        for key in keys
    ]
    shares = np.zeros((len(keys), max(len(table) for table in rows), n))
    for row, table in zip(shares, rows, strict=True):
        row[: len(table)] = table
    return shares


def row_count(common: LoweredStudy, key: str) -> int:
    """Number of hourly rows of a tariff."""
    return len(hourly_rows(common.tariffs[key], common.calendar))


def price_batch(common: LoweredStudy, many: BatchResult, factors: Mapping[str, Floats]) -> Floats:
    """Price every draw.

    Parameters
    ----------
    common : LoweredStudy
    many : BatchResult
        As simulated; where only prices move it is used again.
    factors : mapping of arrays (scenarios,)
        Factor on the energy prices of each price table; absent tables stay as typed. One year may be priced many times.

    Returns
    -------
    array (scenarios,)
        Cost of the year: what the bills at these prices would total. Charges by energy go with the factor; fixed and
        demand charges, duties and fees do not.
    """
    total = np.zeros(max(len(many.sums), *(np.size(values) for values in factors.values()), 1))
    for part in price_by_service(common, many, factors).values():
        total += part
    return total


def price_by_service(
    common: LoweredStudy,
    many: BatchResult,
    factors: Mapping[str, Floats],
    *,
    price: Price = price_month_period,
) -> dict[str, Floats]:
    """Price every draw as `price_batch` does, service by service, each (scenarios,) or one for all.

    By `price_and_fixed` each is (2, scenarios): with what of it buys no energy, in a house that generates too.
    """
    return {
        key: cost_of_use(common, key, use_of(common, many, key), factors.get(key, 1.0), many.covered, price)
        for key in dict.fromkeys(many.keys)
        if key in common.tariffs
    }


Use = tuple[Floats, Floats, Any]
"""Energy of one service by month and row (scenarios, 12, rows) [J], its meters' peaks (scenarios, charges, 12) [W], and whether it is due."""


def use_of(common: LoweredStudy, many: BatchResult, key: str) -> Use:
    """What scenarios use of one service; one that is there for pumps and fans alone is billed when they run."""
    rows = [i for i, service in enumerate(many.keys) if service == key]
    energy = many.energy_j[:, rows[0]] if len(rows) == 1 else many.energy_j[:, rows].sum(axis=1)
    energy = energy[:, :, : row_count(common, key)]
    used = energy.any(axis=(1, 2)) if rows == [len(many.keys) - 1] else np.ones(len(energy), dtype=bool)
    peaks = many.peaks_w
    if peaks.shape[1]:
        peaks = peaks[:, [owner == key for owner, _ in charges_of(common, many.keys)]]
    return energy, peaks, used


def cost_of_use(
    common: LoweredStudy, key: str, use: Use, factor: Floats | float, covered: Floats | None = None,
    price: Price = price_month_period,
) -> Floats:  # fmt: skip
    """Cost of one service (scenarios,); of electricity what heating adds, where the house's other use is known."""
    energy_j, peaks_w, used = use
    return np.where(used, _cost(common, key, energy_j, peaks_w, factor, covered, price), 0.0)


def _cost(
    common: LoweredStudy, key: str, energy_j: Floats, peaks_w: Floats, factor: Floats | float, covered: Floats | None,
    price: Price,
) -> Floats:  # fmt: skip
    tariff, clock = common.tariffs[key], common.calendar
    if key != ELECTRICITY or not common.case.other_electricity_known:
        return price(tariff, energy_j, peaks_w, price_factor=factor, calendar=clock)
    if covered is not None:
        return _generating_cost(common, energy_j, peaks_w, factor, covered, price)
    other = common.case.other_electricity_j(common.calendar)
    house, alone = _house_alone(tariff, clock, other, np.asarray(factor), price)
    return np.asarray(price(tariff, energy_j + house, peaks_w, price_factor=factor, calendar=clock) - alone)


_ALONE: dict[tuple[Any, ...], tuple[Floats, Floats, Floats]] = {}


def _house_alone(
    tariff: Tariff, clock: HourCalendar, other_j: Floats, factor: Floats, price: Price
) -> tuple[Floats, Floats]:
    """Energy of the rest of a house by month and row, and its bill without heating, which all options of a study share."""
    key = tariff, clock, id(other_j), factor.shape, factor.tobytes(), price
    known = _ALONE.get(key)
    if known is None or known[0] is not other_j:
        if len(_ALONE) >= MOST_ALONE:
            _ALONE.clear()
        house, peaks = monthly_energy_j(tariff, clock, other_j).T[None], monthly_peaks_w(tariff, clock, other_j)[None]
        known = other_j, house, price(tariff, house, peaks, price_factor=factor, calendar=clock)
        _ALONE[key] = known
    return known[1:]


def _generating_cost(
    common: LoweredStudy, energy_j: Floats, peaks_w: Floats, factor: Floats | float, covered: Floats, price: Price
) -> Floats:
    """What heating adds to the bill of a house that generates.

    Without net metering the share that own generation covers is that of the study's own year in every draw.
    """
    clock, case, tariff = common.calendar, common.case, common.tariffs[ELECTRICITY]
    net = case.other_electricity_j(clock) - generation_j(case, common.weather)
    alone = monthly_peaks_w(tariff, clock, np.maximum(net, 0.0))[None]
    terms = export_terms(case)
    house = monthly_energy_j(tariff, clock, np.maximum(net, 0.0) if terms.net_metering == "none" else net).T[None]
    return added_cost(
        tariff, clock, terms, house_j=house, energy_j=energy_j, peaks_w=peaks_w, alone_w=alone, kept_j=energy_j * covered,
        price_factor=factor, price=price,
    )  # fmt: skip
