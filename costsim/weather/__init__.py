"""Weather in: one reader for TMY3, EPW and plain CSV, and the samples that come with the package."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from costsim.weather.model import Weather, design_temperature

if TYPE_CHECKING:
    from costsim.weather.readers import find_weather, read_weather

__all__ = ["Weather", "design_temperature", "find_weather", "read_weather"]


def __getattr__(name: str) -> Any:
    """Import the readers when they are first asked for: a year that is kept needs none."""
    if name not in ("find_weather", "read_weather"):
        raise AttributeError(f"module 'costsim.weather' has no attribute '{name}'")
    from costsim.weather import readers

    return getattr(readers, name)
