"""Write the README's pictures: ``python tests/pictures/make_pictures.py``, with Chromium on the machine."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from browser.chrome import browser, dashboard

HERE = Path(__file__).parent
PARTS = {
    "needs": "What the house needs",
    "bills": "From your bills",
    "heat": "Where the heat comes from",
    "cold": "Cold hours",
    "size": "The right size",
    "bill": "The bill",
    "sure": "What would change the answer",
    "years": "Money over years",
    "rests": "What it rests on",
    "hand": "To hand over",
}


def main() -> None:
    """Draw every part at desktop width, and the first one on a phone."""
    with dashboard() as url, browser() as page:
        page.size(1280, 1150)
        page.open(url)
        page.picture(HERE / "dashboard.png")
        page.open(f"{url}?door=installer&study=lantern_cottage")
        for name, part in PARTS.items():
            with page.rerun():
                page.click_text("button", part)
            if name == "bills":
                with page.rerun():
                    page.run("document.querySelector('[data-testid=stMain] [data-testid=stCheckbox] input').click()")
            page.picture(HERE / f"{name}.png")
        page.open(f"{url}?door=planner&study=valley_row")
        with page.rerun():
            page.click_text("button", "Many homes")
        page.picture(HERE / "many.png")
        page.size(390, 844)
        page.open(url)
        page.picture(HERE / "phone.png")


if __name__ == "__main__":
    main()
