"""What a short report has of the calculation sheet."""

from __future__ import annotations

from costsim.report.basis import Basis
from costsim.report.blocks import Block, Chart, Heading, Text
from costsim.report.sheet import design_blocks, fingerprint, year_by_source
from costsim.words import tr


def sheet_summary(basis: Basis) -> tuple[Block, ...]:
    """Give the blocks of the calculation sheet that a short report has: the load, the year by source, and what it leaves out."""
    blocks = (*design_blocks(basis), Heading(tr("The year by source")), year_by_source(basis))
    left = tr(
        "This is the short report. The full one adds the inspector's page, every formula, size, rating, bill, assumption, caution and"
        " input, each with its source; both are of study {mark}.",
        mark=fingerprint(basis),
    )
    return (*(block for block in blocks if not isinstance(block, Chart)), Text(left))
