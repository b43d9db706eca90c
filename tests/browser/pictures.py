"""Pictures of every page as three people see it, at three widths, to be looked at by eye.

    python tests/browser/pictures.py FOLDER [page ...]

writes FOLDER/PERSONA_PAGE_WIDTH.png, each as tall as its page; with names of pages after the folder, these alone.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from browser.chrome import Page, browser, dashboard

from costsim.dashboard.registry import load_pages

WIDTHS = {390: 844, 1280: 800, 1920: 1080}
STUDIES = {"household": "your_house", "installer": "net_loft", "planner": "valley_row"}
TALLEST = 6000


def draw(page: Page, url: str, persona: str, name: str, width: int, folder: Path) -> None:
    """Open a page, wait for it, and write it whole."""
    path = "" if name == "decide" else name
    page.size(width, WIDTHS[width])
    page.open(f"{url}/{path}?persona={persona}&study={STUDIES[persona]}")
    whole = int(page.run("document.querySelector('[data-testid=stMain]').scrollHeight") or 0)
    page.size(width, min(max(whole, WIDTHS[width]), TALLEST))
    page.settle()
    page.picture(folder / f"{persona}_{name}_{width}.png")


def main(folder: Path, only: list[str]) -> None:
    """Take all of them, and say how many."""
    folder.mkdir(parents=True, exist_ok=True)
    names = [one.key for one in load_pages() if not only or one.key in only]
    start, count = time.monotonic(), 0
    with dashboard() as url, browser() as page:
        for width in WIDTHS:
            for persona in STUDIES:
                for name in names:
                    draw(page, url, persona, name, width, folder)
                    count += 1
    print(f"{count} pictures in {folder}, {time.monotonic() - start:.0f} s")


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit(__doc__)
    main(Path(sys.argv[1]), sys.argv[2:])
