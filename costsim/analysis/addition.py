"""The smallest source off the shelf that closes what an option lacks, beside the sources that stand there."""

from __future__ import annotations

from costsim.analysis.capacity import capacity_report
from costsim.analysis.select import beside_w
from costsim.analysis.size_steps import SizeStep, smallest_step
from costsim.analysis.sized_years import SizedOption
from costsim.analysis.sizing import place_of
from costsim.study.case import Case
from costsim.study.selection import Selection, sizes_of
from costsim.weather import Weather


def smallest_addition(case: Case, weather: Weather, *, option: str) -> SizeStep | None:
    """Size the last source of an option so that it carries the house together with the others, and no larger.

    Parameters
    ----------
    case : Case
        Read from text, with the new source as the option's last one, at any size.
    weather : Weather
    option : str
        Name of the option.

    Returns
    -------
    SizeStep or None
        The smallest size of its list that carries what the others leave of the design load, and with which no hour of the
        weather year is too cold; None where no listed size does.

    Raises
    ------
    InputError
        There is no such option, or a list of sizes cannot be read.
    """
    at = place_of(case, option)
    capacity, extended = capacity_report(case, weather).options[at], case.options[at]
    sized, number = SizedOption(case, weather, at), len(extended.sources) - 1
    needed = max(sized.study.route.load_w - beside_w(extended, capacity, number), 0.0)
    sizes = sizes_of(case.selection or Selection(), case.files, case.file)
    return smallest_step(sized, sizes, number, needed)
