"""Cut the samples from the files that pvlib's wheel carries: ``python -m costsim.weather.make_samples``.

Only the columns in use are kept; the station line, the column line and every value stay as they are.
"""

from __future__ import annotations

import csv
import hashlib
import io
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


def main() -> None:
    """Write the samples and print their checksums."""
    import pvlib

    folder = Path(__file__).parents[2] / "weather_samples"
    for name, original in SAMPLES.items():
        content = cut((Path(pvlib.__file__).parent / "data" / original).read_text(encoding="utf-8")).encode()
        (folder / name).write_bytes(content)
        print(f"{hashlib.sha256(content).hexdigest()}  {name}")


if __name__ == "__main__":
    main()
