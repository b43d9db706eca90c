"""Whether a utility program is open to an option, with the reasons; and how long a propane tank lasts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from costsim.analysis.needs import stops_at_design
from costsim.analysis.size_steps import share_at_design
from costsim.engine.lower import LoweredStudy
from costsim.physics.fuels import FUELS
from costsim.results.result import Hourly, longest_run
from costsim.sources import HeatSource, Offer
from costsim.study.case import Option
from costsim.study.prices import Price
from costsim.study.program import Program
from costsim.units.quantity import GALLON_M3, HOUR_S
from costsim.words import tr

PROPANE_J_M3, PER_VOLUME = FUELS["propane"].heat_content_j_per_unit, (-1, 1, -2, 0, 0)
USABLE_SHARE = 0.60
"""Share of a propane tank between its fill limit of 80 % and the refill at 20 %; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether one option is eligible, and why (not)."""

    option: str
    eligible: bool
    reasons: tuple[str, ...]


def verdict(common: LoweredStudy, option: Option, hourly: Hourly) -> Verdict | None:
    """Judge one option by the study's program.

    Parameters
    ----------
    common : LoweredStudy
    option : Option
    hourly : Hourly
        The option's hours.

    Returns
    -------
    Verdict or None
        None where the study has no program.
    """
    program = common.case.program
    if program is None:
        return None
    controlled = [source for source in option.sources if source.curtailment is not None or source.utility_controlled]
    if not controlled:
        return Verdict(option.name, False, (tr("not eligible because no source is under the utility's control"),))
    reasons = [
        tr("not eligible because {text}", text=text) for text in _missing(common, option, controlled, program, hourly)
    ]
    return Verdict(
        option.name,
        not reasons,
        tuple(reasons) or (tr("eligible for {name}, as far as the study tells", name=program.name),),
    )


def _missing(
    common: LoweredStudy, option: Option, controlled: list[HeatSource], program: Program, hourly: Hourly
) -> list[str]:
    texts = []
    size = sum(source.nameplate_w() for source in controlled)
    if size < program.min_controlled_load_w:
        texts.append(
            tr(
                "the controlled unit has {size} kW and {min_controlled_load} kW are asked for",
                size=f"{size / 1000.0:.1f}",
                min_controlled_load=f"{program.min_controlled_load_w / 1000.0:.1f}",
            )
        )
    if program.separate_meter and any(source.price_key(common.case.prices) == "electricity" for source in controlled):
        texts.append(tr("the controlled unit is not on a meter of its own"))
    if program.backup:
        texts += _backup_faults(common, option, controlled, program, hourly)
    return texts


def _backup_faults(
    common: LoweredStudy, option: Option, controlled: list[HeatSource], program: Program, hourly: Hourly
) -> list[str]:
    """Say what is wrong with the automatic backup, which must carry the whole house."""
    others = [(i, source) for i, source in enumerate(option.sources) if source not in controlled]
    counted = [(i, source) for i, source in others if not _why_not(source, program)]
    if not counted:
        named = f" ({'; '.join(_why_not(source, program) for _, source in others)})" if others else ""
        return [tr("there is no automatic backup{named}", named=named)]
    cold, stops = int(np.argmax(common.demand_w)), stops_at_design(common, option)
    carried = sum(float(hourly.available_w[i, cold]) for i, _ in counted if not stops[i])
    texts = []
    if carried < common.route.load_w:
        texts.append(
            tr(
                "the backup gives {carried} kW of the {load} kW design load",
                carried=f"{carried / 1000.0:.1f}",
                load=f"{common.route.load_w / 1000.0:.1f}",
            )
        )
    for _, source in counted:
        if source.fuel_tank() is None:
            continue
        share = share_at_design(common, option, source)
        hours = tank_hours(source, common.route.load_w, common.case.prices, share)
        if hours is not None and hours < program.backup_time_s / HOUR_S:
            texts.append(
                tr(
                    "the propane tank lasts {hours} h at design load and {backup_time} h are asked for",
                    hours=f"{hours:.0f}",
                    backup_time=f"{program.backup_time_s / HOUR_S:.0f}",
                )
            )
    return texts


def _why_not(source: HeatSource, program: Program) -> str:
    """Why a source does not count as automatic backup; empty where it does."""
    by_itself = (
        source.kind not in program.excluded_backup_fuels
        if program.excluded_backup_fuels is not None
        else source.automatic
    )
    if not by_itself:
        return tr("{label} does not count", label=source.label)
    if source.fuel_key == "electricity" and not program.grid_backup:
        return tr(
            "{label} runs from the same grid, which counts only with program.grid_backup = true", label=source.label
        )
    return ""


def propane_j_m3(price: Price | None) -> float:
    """Heat content of propane by volume [J/m³]: as typed with its price, else the usual one."""
    content = price.content if price is not None else None
    return content.value if content is not None and content.dims == PER_VOLUME else PROPANE_J_M3


def tank_hours(source: HeatSource, load_w: float, prices: Mapping[str, Price], share: float) -> float | None:
    """Hours that a propane tank lasts between fill limit and refill at a load, burnt at such an efficiency; None without a tank."""
    tank = source.fuel_tank()
    if tank is None:
        return None
    content = propane_j_m3(prices.get(source.price_key(prices)))
    return float(tank.volume_m3 * USABLE_SHARE * content * share / load_w / HOUR_S)


@dataclass(frozen=True, slots=True)
class CurtailmentRun:
    """The longest run of curtailment hours: its hours and the propane burned in it [m³]."""

    hours: int
    propane_m3: float

    @property
    def propane_gal(self) -> float:
        """US gallons."""
        return self.propane_m3 / GALLON_M3


def longest_curtailment_run(
    common: LoweredStudy, option: Option, offers: tuple[Offer, ...], hourly: Hourly
) -> CurtailmentRun:
    """Find the longest time for which the utility's control held a source off, and what propane it took."""
    at = common.weather, common.calendar
    held = [source.curtailment.share(*at) for source in option.sources if source.curtailment is not None]
    barred = np.sum(held, axis=0) > 0 if held else np.zeros(common.weather.n_hours, dtype=bool)
    length = longest_run(barred)
    if not length:
        return CurtailmentRun(0, 0.0)
    start = int(np.argmax(np.convolve(barred, np.ones(length))[length - 1 :]))
    burned = sum(
        float(hourly.input_w[i, start : start + length].sum())
        * HOUR_S
        / propane_j_m3(common.case.prices.get(offer.price_key))
        for i, offer in enumerate(offers)
        if offer.fuel == "propane"
    )
    return CurtailmentRun(length, burned)
