"""Pictures of every page at three widths: ``python tests/pictures/make_pictures.py [FOLDER]``, with Chromium on the machine.

Without a folder, only the README's picture is written, beside this file; with ``--homes`` only that of many homes, from ``homes.json``,
which ``python -m costsim.benchmarks.many_homes 1000 10000 100000 --json tests/pictures/homes.json`` writes.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from browser.chrome import Page, browser, dashboard

from costsim.benchmarks import many_homes
from costsim.dashboard.registry import load_pages

HERE = Path(__file__).parent
SIZES = ((390, 844), (1280, 800), (1920, 1080))
TALLEST = 5000


def whole(page: Page, width: int, height: int) -> None:
    """Make the window as high as the page, so that all of it is in the picture."""
    need = int(page.run("document.querySelector('[data-testid=stMain]').scrollHeight") or height)
    page.size(width, max(height, min(TALLEST, need + 40)))
    page.settle()


def draw_homes() -> None:
    """Draw what many homes take, from what was measured."""
    with tempfile.TemporaryDirectory() as folder, browser() as page:
        many_homes.main(["--from", str(HERE / "homes.json"), "-o", f"{folder}/homes.html"])
        page.size(1100, 500)
        page.open(f"file://{folder}/homes.html", wait=False)
        time.sleep(5.0)
        page.picture(HERE / "homes.png")


def main() -> None:
    """Draw the README's picture, and every page where a folder is named."""
    if sys.argv[1:] == ["--homes"]:
        draw_homes()
        return
    with dashboard() as url, browser() as page:
        page.size(1280, 900)
        page.open(url)
        page.picture(HERE / "dashboard.png")
        for folder in map(Path, sys.argv[1:2]):
            folder.mkdir(parents=True, exist_ok=True)
            for one in load_pages():
                for width, height in SIZES:
                    page.size(width, height)
                    page.open(f"{url}/{'' if one.key == 'decide' else one.key}?persona=installer&study=net_loft")
                    whole(page, width, height)
                    page.picture(folder / f"{one.key}-{width}.png")


if __name__ == "__main__":
    main()
