"""Weather in: one reader for TMY3, EPW and plain CSV, and the samples that come with the package."""

from __future__ import annotations

from costsim.weather.model import Weather, design_temperature
from costsim.weather.readers import find_weather, read_weather

__all__ = ["Weather", "design_temperature", "find_weather", "read_weather", "sample_names", "sample_path"]
