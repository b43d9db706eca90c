"""What `costsim fit` prints: what was read, the house with its bands, how well it fits, and what to type next."""

from __future__ import annotations

import shlex
import textwrap
from argparse import Namespace

from costsim.bills.fit import CV_LIMIT, NMBE_LIMIT, Fit
from costsim.bills.house import HouseFit
from costsim.bills.model import ONE_DAY
from costsim.physics.fuels import FUELS, sold_amount
from costsim.study.calibration import counted_twice
from costsim.study.case import Case
from costsim.units.quantity import show
from costsim.views.tables import text_table

WIDTH = 110
DAY_S = 86400.0


def fit_sentence(found: HouseFit, system: str) -> str:
    """Say in words what the bills show of the house.

    Parameters
    ----------
    found : HouseFit
    system : str
        ``"us"`` or ``"si"``.
    """
    fit = found.now
    since = f" since {found.change.day}" if found.change is not None and found.is_part else ""
    text = (
        f"By its {FUELS[fit.bills.fuel].title.lower()} bills{since} the house loses "
        f"{show(fit.loss_w_k, 'heat_loss_rate', system, 0)} ({_band(fit.loss_band_w_k, 'heat_loss_rate', system, 0)}) and "
        f"needs no heat above {show(fit.line.balance_c, 'temperature', system)} outdoors: "
        f"{show(fit.design_load_w, 'power', system)} ({_band(fit.design_band_w, 'power', system, 1)}) at "
        f"{show(fit.design_c, 'temperature', system, 0)}."
    )
    return text if fit.meets_limits else f"{text} But the bills follow the weather poorly: take it as a rough guess."


def fit_rows(fit: Fit, system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the house: what, value, and the band nine of ten lie in."""
    fuel, cold = fit.bills.fuel, show(fit.design_c, "temperature", system, 0)
    rows = [
        ["heat loss", show(fit.loss_w_k, "heat_loss_rate", system, 0), _band(fit.loss_band_w_k, "heat_loss_rate", system, 0)],
        ["balance point", show(fit.line.balance_c, "temperature", system), _band(fit.balance_band_c, "temperature", system, 1)],
        [f"heat wanted at {cold}", show(fit.design_load_w, "power", system), _band(fit.design_band_w, "power", system, 1)],
        ["seasonal efficiency", f"{fit.efficiency.value:.0%}", f"{fit.efficiency.low:.0%} to {fit.efficiency.high:.0%}"],
        ["base use", f"{sold(fuel, fit.line.base_w * DAY_S, system, 2)} a day", ""],
    ]  # fmt: skip
    if fit.annual_j is not None:
        low, high = (sold(fuel, joule, system) for joule in fit.annual_band_j)
        rows.append(["fuel in an average year", sold(fuel, fit.annual_j, system), f"{low} to {high}"])
        rows.append(["  of it base use", sold(fuel, fit.annual_base_j, system), ""])
    return ["", "value", "nine of ten within"], rows


def quality_lines(fit: Fit) -> list[str]:
    """Say how well the line fits, and whether within the monthly limits of ASHRAE Guideline 14."""
    verdict = "within" if fit.meets_limits else "NOT within"
    return [
        f"R² {fit.r2:.3f}; CV(RMSE) {fit.cv_rmse:.1%} (limit {CV_LIMIT:.0%}), NMBE {round(fit.nmbe, 4) + 0.0:.1%} (limit {NMBE_LIMIT:.0%}):",
        f"{verdict} the monthly limits of ASHRAE Guideline 14-2014.",
    ]


def change_lines(found: HouseFit, system: str) -> list[str]:
    """Say what changed and when, if the bills show it."""
    change = found.change
    if change is None:
        return []
    low, high = (f"{value - 1.0:+.0%}" for value in change.ratio_band)
    lines = [
        f"From {change.day} on, bills rise differently with the cold: {change.ratio - 1.0:+.0%} ({low} to {high}) fuel for each "
        "kelvin. New insulation, another furnace or other habits look alike in bills; a change in summer shows no exact day."
    ]
    if found.is_part:
        lines.append("The house above is the one since then.")
    else:
        lines.append("Too few bills follow to fit the house since then, so the house above is the mean of both.")
    if found.before:
        loss = show(found.before.loss_w_k, "heat_loss_rate", system, 0)
        lines.append(f"Before, it lost {loss} by the same efficiency.")
    return lines


def fit_text(found: HouseFit, system: str) -> str:
    """Say in paragraphs what the bills show, how well the line fits, and what changed: for a page that shows the figure."""
    return "\n\n".join([fit_sentence(found, system), " ".join(quality_lines(found.now)), *change_lines(found, system)])


def printed_fit(found: HouseFit, system: str, typed: Namespace, case: Case | None) -> str:
    """Print a whole fit.

    Parameters
    ----------
    found : HouseFit
    system : str
        ``"us"`` or ``"si"``.
    typed : Namespace
        The command line, for the commands at the end.
    case : Case or None
        The study that was named.
    """
    fit = found.now
    headings, rows = fit_rows(fit, system)
    parts = [
        _wrapped(fit_sentence(found, system)),
        text_table(headings, rows),
        "How well it fits\n" + "\n".join(f"  {line}" for line in quality_lines(fit)),
    ]
    if found.change:
        parts.append("What changed\n" + "\n".join(_wrapped(line, "  ") for line in change_lines(found, system)))
    cautions = [*fit.notes, *([counted_twice(case)] if case and counted_twice(case) else [])]
    if cautions:
        parts.append("Take care\n" + "\n".join(_wrapped(note, "  ") for note in cautions))
    parts += ["What was read\n" + "\n".join(_wrapped(line, "  ") for line in _read_lines(fit)), _next(typed)]
    return "\n\n".join(parts)


def _read_lines(fit: Fit) -> list[str]:
    bills = fit.bills
    dates = f"{bills.start_day[0]} to {bills.end_day[-1] - ONE_DAY}"
    kind = "deliveries" if bills.delivered else "bills"
    return [
        f"{bills.name}: {bills.n_periods} {kind} of {FUELS[bills.fuel].title.lower()}, {dates}",
        *bills.notes,
        f"weather: {fit.weather}",
        f"outdoor design temperature: {fit.design_from}",
        f"efficiency: {fit.efficiency.source}",
    ]


def _next(typed: Namespace) -> str:
    if typed.out:
        return f"Next\n  costsim check {typed.out}\n  costsim compare {typed.out}"
    again = [*typed.bills, *(["--weather", *typed.weather] if typed.weather else []), *reading_words(typed)]
    again += ["--efficiency", typed.efficiency] if typed.efficiency else []
    line = " ".join(["costsim fit", *map(shlex.quote, again)])
    return f"Next: this house in a copy of a study\n  {line} --study {typed.study or 'my_house.toml'} -o fitted.toml"


def reading_words(typed: Namespace) -> list[str]:
    """What a person said of the files, as words of a command line."""
    words = []
    for name in ("fuel", "unit", "heat", "meter", "dates", "date_order", "zone"):
        words += [f"--{name.replace('_', '-')}", getattr(typed, name)] if getattr(typed, name) else []
    for column in typed.column:
        words += ["--column", column]
    for named in typed.map:
        words += ["--map", named]
    return [*words, "--utc"] if typed.utc else words


def sold(fuel: str, energy_j: float, system: str, digits: int = 0) -> str:
    """Write an amount of fuel in the unit it is sold in."""
    amount, unit = sold_amount(fuel, energy_j, system)
    return f"{amount:,.{digits}f} {unit}"


def _band(band: tuple[float, float], dimension: str, system: str, digits: int) -> str:
    low, high = (show(value, dimension, system, digits) for value in band)
    return f"{low.split(' ')[0]} to {high}"


def _wrapped(text: str, indent: str = "") -> str:
    return textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  ")
