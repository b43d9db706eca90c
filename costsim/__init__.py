"""What it costs to heat a building with warm water, on which fuel or mix, and when the sources fall short.

Read in this order: `costsim.study.case` (what is typed), `costsim.simulation.simulate` (the whole program in one line),
`costsim.engine.kernel` and `balance` (a year, and the steps of its hour), `costsim.results.result` (what comes out), then whichever source or screen.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from costsim.errors import CostsimError, Fault, InputError, SolverError

if TYPE_CHECKING:
    from costsim.notebook import Comparison, Study
    from costsim.results.result import Result
    from costsim.simulation import load_weather, simulate
    from costsim.study.case import Case, case_from, read_study
    from costsim.weather import Weather, read_weather

__version__ = "1.0.0"
__all__ = [
    "Case",
    "Comparison",
    "CostsimError",
    "Fault",
    "InputError",
    "Result",
    "SolverError",
    "Study",
    "Weather",
    "case_from",
    "load_weather",
    "read_study",
    "read_weather",
    "simulate",
]

# Imported when first asked for, so that a short command does not wait for what it does not use.
_HOMES = {
    "Case": "costsim.study.case",
    "Comparison": "costsim.notebook",
    "Study": "costsim.notebook",
    "case_from": "costsim.study.case",
    "read_study": "costsim.study.case",
    "load_weather": "costsim.simulation",
    "simulate": "costsim.simulation",
    "Result": "costsim.results.result",
    "Weather": "costsim.weather",
    "read_weather": "costsim.weather",
}


def __getattr__(name: str) -> Any:
    """Import a public name from its home."""
    if name not in _HOMES:
        raise AttributeError(f"module 'costsim' has no attribute '{name}'")
    import importlib

    return getattr(importlib.import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    """Show the public names."""
    return sorted(__all__)
