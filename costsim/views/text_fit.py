"""What `costsim fit` prints: what was read, the house with its bands, how well it fits, and what to type next."""

from __future__ import annotations

import shlex
import textwrap
from argparse import Namespace

from costsim.bills.fit import CV_LIMIT, NMBE_LIMIT, USUAL_BALANCE_C, Fit
from costsim.bills.house import HouseFit
from costsim.bills.model import ONE_DAY
from costsim.physics.fuels import FUELS, sold_amount
from costsim.study.calibration import counted_twice
from costsim.study.case import Case
from costsim.study.uses import HotWater
from costsim.units.quantity import KWH_J, show
from costsim.units.table import DAY_S
from costsim.views.tables import text_table
from costsim.words import tr, trn

WIDTH = 110
NEAR = 0.05
"""Share of the base use that the study need not count for nothing to be said of it; a rule of ours."""


def fit_sentence(house_fit: HouseFit, system: str) -> str:
    """Say in words what the bills show of the house.

    Parameters
    ----------
    house_fit : HouseFit
    system : str
        ``"us"`` or ``"si"``.
    """
    fit = house_fit.now
    since = tr(" since {day}", day=house_fit.change.day) if house_fit.change is not None and house_fit.is_part else ""
    return tr(
        "By its {title} bills{since} the house loses {loss} ({loss_band}) and needs no heat above"
        " {balance} outdoors: {design_load} ({design_band}) at {design}.",
        title=tr(FUELS[fit.bills.fuel].title).lower(),
        since=since,
        loss=show(fit.loss_w_k, "heat_loss_rate", system, 0),
        loss_band=_band(fit.loss_band_w_k, "heat_loss_rate", system, 0),
        balance=show(fit.line.balance_c, "temperature", system),
        design_load=show(fit.design_load_w, "power", system),
        design_band=_band(fit.design_band_w, "power", system, 1),
        design=show(fit.design_c, "temperature", system, 0),
    )


def doubts(fit: Fit, system: str, *, command_line: bool = False) -> list[str]:
    """Why a house found from bills is not to be taken as it is; empty where nothing speaks against it.

    Parameters
    ----------
    fit : Fit
    system : str
        ``"us"`` or ``"si"``.
    command_line : bool
        Whether options of the command line are named.
    """
    sentences = [away_sentence(fit, system, command_line=command_line)] if fit.away else []
    if not fit.meets_limits:
        sentences.append(tr("The bills do not follow the weather closely, so treat this as rough."))
    if not fit.usual_balance:
        low, high = (show(balance_c, "temperature", system, 0) for balance_c in USUAL_BALANCE_C)
        sentences.append(
            tr(
                "Most homes need no heat above some {low} to {high} outdoors (common practice, no source); that this one needs none above"
                " {balance} is unlikely, so do not rely on this heat loss. Check for missing bills, or for fuel that was delivered but not burned.",
                low=low,
                high=high,
                balance=show(fit.line.balance_c, "temperature", system),
            )
        )
    return sentences


def away_sentence(fit: Fit, system: str, *, command_line: bool) -> str:
    """Ask whether somebody was away in the bills that bend the line, with the heat loss without them and, on a `command_line`, what to type."""
    spans = [(str(bill.start_day), str(bill.last_day)) for bill in fit.away]
    words = {
        "days": tr(" and ").join(tr("{start} to {end}", start=start, end=end) for start, end in spans),
        "low": tr(" and ").join(f"{bill.low_share:.0%}" for bill in fit.away),
        "loss": show(fit.away[0].slope_w_k * fit.efficiency.value, "heat_loss_rate", system, 0),
        "now": show(fit.loss_w_k, "heat_loss_rate", system, 0),
    }
    text = trn(
        "The bill of {days} is {low} lower than your other bills say; without it the house loses {loss}, not {now}. Were you away then?",
        "The bills of {days} are {low} lower than your other bills say; without them the house loses {loss}, not {now}. Were you away"
        " then?",
        len(spans),
        **words,
    )
    if not command_line:
        return text
    return f"{text} {tr('If so, run it again with {marks}.', marks=' '.join(f'--away {start}' for start, _ in spans))}"


def base_left_out(fit: Fit, case: Case, system: str) -> str:
    """Say what a house taken from bills leaves out, where the study heats no water itself; empty where it does, or there is none.

    What the study counts already, such as standby or other electricity, is not left out.
    """
    counted_j = fit.efficiency.steady_w * 365.0 * DAY_S
    left_j = fit.annual_base_j - counted_j
    if left_j <= max(NEAR * fit.annual_base_j, KWH_J / 2.0) or any(isinstance(use, HotWater) for use in case.use):
        return ""
    if counted_j:
        return tr(
            "{base} a year of these bills do not go by the weather, and the study counts {counted} of it. The house leaves out the rest,"
            " such as hot water and cooking; what of it is hot water counts once the study has a use of hot water.",
            base=sold(fit.bills.fuel, fit.annual_base_j, system),
            counted=sold(fit.bills.fuel, counted_j, system),
        )
    return tr(
        "{base} a year of these bills do not go by the weather: hot water and cooking, with electricity lights and appliances too. The"
        " house leaves them out; what of it is hot water counts once the study has a use of hot water.",
        base=sold(fit.bills.fuel, fit.annual_base_j, system),
    )


def fit_rows(fit: Fit, system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the house: what, value, and the band nine of ten lie in."""
    fuel, cold = fit.bills.fuel, show(fit.design_c, "temperature", system, 0)
    rows = [
        [tr("heat loss"), show(fit.loss_w_k, "heat_loss_rate", system, 0), _band(fit.loss_band_w_k, "heat_loss_rate", system, 0)],
        [tr("balance point"), show(fit.line.balance_c, "temperature", system), _band(fit.balance_band_c, "temperature", system, 1)],
        [tr("heat needed at {cold}", cold=cold), show(fit.design_load_w, "power", system), _band(fit.design_band_w, "power", system, 1)],
        [tr("seasonal efficiency"), f"{fit.efficiency.value:.0%}", tr("{low} to {high}", low=f'{fit.efficiency.low:.0%}', high=f'{fit.efficiency.high:.0%}')],
        [tr("base use"), tr("{fuel} a day", fuel=sold(fuel, fit.line.base_w * DAY_S, system, 2)), ""],
    ]  # fmt: skip
    if fit.annual_j is not None:
        low, high = (sold(fuel, joule, system) for joule in fit.annual_band_j)
        rows.append(
            [tr("fuel in an average year"), sold(fuel, fit.annual_j, system), tr("{low} to {high}", low=low, high=high)]
        )
        rows.append([tr("  of it base use"), sold(fuel, fit.annual_base_j, system), ""])
    return ["", tr("value"), tr("nine of ten within")], rows


def quality_lines(fit: Fit) -> list[str]:
    """Say how well the line fits, and whether within the monthly limits of ASHRAE Guideline 14."""
    verdict = "within" if fit.meets_limits else tr("not within")
    return [
        tr(
            "Weather explains {r2} of how the bills differ; a bill is usually off by {scatter} of a mean one ({limit} or less is good).",
            r2=f"{max(fit.r2, 0.0):.0%}",
            scatter=f"{fit.cv_rmse:.0%}",
            limit=f"{CV_LIMIT:.0%}",
        ),
        tr(
            "R² {r2}; CV(RMSE) {cv_rmse} (limit {cv_limit}), NMBE {nmbe} (limit {nmbe_limit}):",
            r2=f"{fit.r2:.3f}",
            cv_rmse=f"{fit.cv_rmse:.1%}",
            cv_limit=f"{CV_LIMIT:.0%}",
            nmbe=f"{round(fit.nmbe, 4) + 0.0:.1%}",
            nmbe_limit=f"{NMBE_LIMIT:.0%}",
        ),
        tr("{verdict} the monthly limits of ASHRAE Guideline 14-2014.", verdict=verdict),
    ]


def change_lines(fit: HouseFit, system: str) -> list[str]:
    """Say what changed and when, if the bills show it."""
    change = fit.change
    if change is None:
        return []
    low, high = (f"{value - 1.0:+.0%}" for value in change.ratio_band)
    lines = [
        tr(
            "From {day} on, bills rise differently with the cold: {ratio} ({low} to {high}) fuel for"
            " each kelvin. New insulation, another furnace or other habits look alike in bills; a change"
            " in summer shows no exact day.",
            day=change.day,
            ratio=f"{change.ratio - 1.0:+.0%}",
            low=low,
            high=high,
        )
    ]
    if fit.is_part:
        lines.append(tr("The house above is the one since then."))
    else:
        lines.append(tr("Too few bills follow to fit the house since then, so the house above is the mean of both."))
    if fit.before:
        loss = show(fit.before.loss_w_k, "heat_loss_rate", system, 0)
        lines.append(tr("Before, it lost {loss} by the same efficiency.", loss=loss))
    return lines


def fit_text(fit: HouseFit, system: str) -> str:
    """Say in paragraphs what the bills show, how well the line fits, and what changed: for a page that shows the figure."""
    return "\n\n".join([fit_sentence(fit, system), " ".join(quality_lines(fit.now)), *change_lines(fit, system)])


def printed_fit(house_fit: HouseFit, system: str, typed: Namespace, case: Case | None) -> str:
    """Print a whole fit.

    Parameters
    ----------
    house_fit : HouseFit
    system : str
        ``"us"`` or ``"si"``.
    typed : Namespace
        The command line, for the commands at the end.
    case : Case or None
        The study that was named.
    """
    fit = house_fit.now
    headings, rows = fit_rows(fit, system)
    parts = [
        _wrapped(" ".join((fit_sentence(house_fit, system), *doubts(fit, system, command_line=True)))),
        text_table(headings, rows),
        tr("How well it fits\n") + "\n".join(f"  {line}" for line in quality_lines(fit)),
    ]
    if house_fit.change:
        parts.append(tr("What changed\n") + "\n".join(_wrapped(line, "  ") for line in change_lines(house_fit, system)))
    added = [counted_twice(case), base_left_out(fit, case, system)] if case else []
    cautions = [*fit.notes, *(note for note in added if note)]
    if cautions:
        parts.append(tr("Take care\n") + "\n".join(_wrapped(note, "  ") for note in cautions))
    parts += [tr("What was read\n") + "\n".join(_wrapped(line, "  ") for line in _read_lines(fit)), _next(typed)]
    return "\n\n".join(parts)


def _read_lines(fit: Fit) -> list[str]:
    bills = fit.bills
    dates = tr("{start_day} to {end_day}", start_day=bills.start_day[0], end_day=bills.end_day[-1] - ONE_DAY)
    kind = "deliveries" if bills.delivered else "bills"
    return [
        tr(
            "{name}: {n_periods} {kind} of {title}, {dates}",
            name=bills.name,
            n_periods=bills.n_periods,
            kind=kind,
            title=tr(FUELS[bills.fuel].title).lower(),
            dates=dates,
        ),
        *bills.notes,
        tr("weather: {weather}", weather=fit.weather),
        tr("outdoor design temperature: {design_from}", design_from=fit.design_from),
        tr("efficiency: {source}", source=fit.efficiency.source),
    ]


def _next(typed: Namespace) -> str:
    if typed.out:
        return tr("Next\n  costsim check {out}\n  costsim compare {out}", out=typed.out)
    again = [*typed.bills, *(["--weather", *typed.weather] if typed.weather else []), *reading_words(typed)]
    again += ["--efficiency", typed.efficiency] if typed.efficiency else []
    line = " ".join(["costsim fit", *map(shlex.quote, again)])
    return tr(
        "Next: this house in a copy of a study\n  {line} --study {study} -o fitted.toml",
        line=line,
        study=typed.study or "my_house.toml",
    )


def reading_words(typed: Namespace) -> list[str]:
    """What a person said of the files, as words of a command line."""
    words = []
    for name in ("fuel", "unit", "heat", "meter", "dates", "date_order", "zone", "station"):
        words += [f"--{name.replace('_', '-')}", getattr(typed, name)] if getattr(typed, name) else []
    for column in typed.column:
        words += ["--column", column]
    for day in typed.away:
        words += ["--away", day]
    for named in typed.map:
        words += ["--map", named]
    return [*words, "--utc"] if typed.utc else words


def sold(fuel: str, energy_j: float, system: str, digits: int = 0) -> str:
    """Write an amount of fuel in the unit it is sold in."""
    amount, unit = sold_amount(fuel, energy_j, system)
    return f"{amount:,.{digits}f} {unit}"


def _band(band: tuple[float, float], dimension: str, system: str, digits: int) -> str:
    low, high = (show(value, dimension, system, digits) for value in band)
    return tr("{split} to {high}", split=low.split(" ")[0], high=high)


def _wrapped(text: str, indent: str = "") -> str:
    return textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  ")
