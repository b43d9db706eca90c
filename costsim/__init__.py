"""What it costs to heat a building with warm water, on which fuel or mix, and when the sources fall short.

Read in this order: `costsim.case` (what is typed), `costsim.engine.run.simulate` (the whole program in one line),
`costsim.engine.kernel` (the balance of one hour), `costsim.result` (what comes out), then whichever source or screen.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from costsim.errors import CostsimError, Fault, InputError, SolverError

if TYPE_CHECKING:
    from costsim.case import Case, case_from, read_study
    from costsim.engine.run import load_weather, simulate
    from costsim.result import Result
    from costsim.weather import Weather, read_weather

__version__ = "0.1.0"
__all__ = [
    "Case",
    "CostsimError",
    "Fault",
    "InputError",
    "Result",
    "SolverError",
    "Weather",
    "case_from",
    "load_weather",
    "read_study",
    "read_weather",
    "simulate",
]

# Imported when first asked for, so that a short command does not wait for what it does not use.
_HOMES = {
    "Case": "costsim.case",
    "case_from": "costsim.case",
    "read_study": "costsim.case",
    "load_weather": "costsim.engine.run",
    "simulate": "costsim.engine.run",
    "Result": "costsim.result",
    "Weather": "costsim.weather",
    "read_weather": "costsim.weather",
}


def __getattr__(name: str) -> Any:
    """Import a public name from its home."""
    if name not in _HOMES:
        raise AttributeError(f"module 'costsim' has no attribute '{name}'")
    import importlib

    return getattr(importlib.import_module(_HOMES[name]), name)
