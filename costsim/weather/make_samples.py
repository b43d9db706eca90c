"""Make the samples: ``python -m costsim.weather.make_samples``.

Two are cut from files that pvlib's wheel carries and one is synthesised. Of the measured ones only the columns in use are
kept; the station line, the column line and every value stay as they are.
"""

from __future__ import annotations

import csv
import hashlib
import io
from dataclasses import replace
from pathlib import Path

KEPT = ("Date (MM/DD/YYYY)", "Time (HH:MM)", "GHI (W/m^2)", "DNI (W/m^2)", "DHI (W/m^2)", "Dry-bulb (C)", "Wspd (m/s)")
SAMPLES = {"sand_point.csv": "703165TY.csv", "greensboro.csv": "723170TYA.CSV"}


def cut(text: str) -> str:
    """Keep the columns in use of a TMY3 file."""
    rows = list(csv.reader(io.StringIO(text)))
    places = [rows[1].index(name) for name in KEPT]
    lines = [",".join(cell.strip() for cell in rows[0])]
    lines += [",".join(row[place].strip() for place in places) for row in rows[1:] if row]
    return "\n".join(lines) + "\n"


# An invented valley: monthly means and clearness such as cold inland valleys have; no measured place.
VALLEY = {
    "monthly_mean_c": [-7.2, -4.8, 1.1, 7.0, 12.4, 15.9, 18.2, 17.3, 12.8, 7.1, 0.6, -5.3],
    "monthly_clearness": [0.47, 0.51, 0.52, 0.51, 0.50, 0.50, 0.54, 0.53, 0.52, 0.47, 0.44, 0.43],
    "latitude_deg": 47.0,
    "longitude_deg": 12.8,
    "utc_offset_h": 1.0,
    "altitude_m": 900.0,
    "design_99_c": -16.0,
    "seed": 7,
    "title": "Cold valley, synthetic year of an invented place",
}


def valley() -> str:
    """The synthetic sample as plain CSV."""
    from costsim.weather.synthesis import synthesize
    from costsim.weather.write import weather_csv

    year = synthesize(**VALLEY)  # type: ignore[arg-type]
    return weather_csv(replace(year, source=f"{year.source}; python -m costsim.weather.make_samples"))


def main() -> None:
    """Write the samples and print their checksums."""
    import pvlib

    folder = Path(__file__).parents[2] / "weather_samples"
    for name, original in SAMPLES.items():
        content = cut((Path(pvlib.__file__).parent / "data" / original).read_text(encoding="utf-8")).encode()
        (folder / name).write_bytes(content)
        print(f"{hashlib.sha256(content).hexdigest()}  {name}")
    content = valley().encode()
    (folder / "cold_valley.csv").write_bytes(content)
    print(f"{hashlib.sha256(content).hexdigest()}  cold_valley.csv")


if __name__ == "__main__":
    main()
