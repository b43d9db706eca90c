"""Sizes that can be bought: the next one over what a home asks for."""

from __future__ import annotations

from costsim.analysis.size_steps import output_of
from costsim.sources import HeatSource
from costsim.study.case import Case
from costsim.study.selection import Selection, sizes_of

SAME_SHARE = 1e-9
Lists = tuple[tuple[str, tuple[float, ...]], ...]


def lists_of(case: Case) -> Lists:
    """Every list of sizes by its name, rising, in SI: the common ones, or the study's own in their place."""
    sold_sizes = sizes_of(case.selection or Selection(), case.files, case.file)
    return tuple((what, tuple(size.value for size in sizes)) for what, sizes in sold_sizes.lists.items())


def next_sold_w(source: HeatSource, output_w: float, lists: Lists) -> float:
    """Rated output [W] of the smallest size sold that gives an output; that output itself where no list has as much.

    Examples
    --------
    >>> from costsim import read_study
    >>> source = read_study("lantern_cottage").options[2].sources[0]
    >>> lists = ((source.market_list, (10e3, 20e3)),)
    >>> source.market_list, [round(next_sold_w(source, watts, lists)) for watts in (9.5e3, 10e3, 20.1e3)]
    ('gas boiler input', [18400, 18400, 20100])
    """
    sizes = dict(lists).get(source.market_list, ())
    sold = (output_of(source, source.market_list, size) for size in sizes)
    return next((size_w for size_w in sold if size_w >= output_w * (1.0 - SAME_SHARE)), output_w)
