"""Whether each source of a mix pays, on the calculation sheet."""

from __future__ import annotations

from collections.abc import Iterator

from costsim.analysis.each_source import each_left_out
from costsim.report.basis import Basis
from costsim.report.blocks import Block, Heading, Text
from costsim.views.each_source import source_lines
from costsim.words import tr


def each_source(basis: Basis) -> Iterator[Block]:
    """What each option would cost with one of its sources left out, or how cold it would be."""
    lines = source_lines(each_left_out(basis.result), basis.case.currency)
    if lines:
        yield Heading(tr("Does a second source pay?"))
        yield from map(Text, lines)
