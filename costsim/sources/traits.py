"""What a kind of source says of itself beside its hours: its cautions, and how far its efficiency may be off."""

from __future__ import annotations

import math
from dataclasses import dataclass

HOURLY = frozenset({"capacity", "heat_per_input", "target", "charge", "ahead"})
"""What of an offer may follow the house, hour by hour; ``"scalars"`` stands for figures of the whole year."""
FormulaRow = tuple[str, str, str, str]
"""What, formula, the study's numbers in SI, and where it stands."""


@dataclass(frozen=True, slots=True)
class KindCaution:
    """A caution that comes with a kind of source; sources of one `key` are named together.

    Parameters
    ----------
    key, title, short : str
        As in `costsim.results.cautions.Caution`.
    sentences : tuple of str
        What follows the names of the sources; each once, whichever source it comes from.
    standards : str
        By number, for the locally adopted edition.
    ground : str
        Why it applies, with ``{names}`` for the sources.
    deadly : bool
        Stands with what can kill first.
    """

    key: str
    title: str
    short: str
    sentences: tuple[str, ...]
    standards: str
    ground: str
    deadly: bool = False


@dataclass(frozen=True, slots=True)
class UncertainEfficiency:
    """An efficiency that is not known exactly; kinds that share the name are drawn together.

    `spread` is one standard deviation as a share, None for ``uncertainty.efficiency`` of the study; `most` is the highest heat
    per input that nature allows.
    """

    name: str
    spread: float | None
    most: float = math.inf


BURNERS = UncertainEfficiency("efficiency of burners", None, 1.0)
"""No burner gives more than its fuel's higher heating value."""
