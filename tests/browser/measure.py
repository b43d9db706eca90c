"""How long from a moved slider to the repainted page, and how heavy the first page is: ``python tests/browser/measure.py``.

A yardstick to look at, not a test: it prints the median of twenty moves and the bytes that the first page asks for.
"""

from __future__ import annotations

import statistics
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from browser.chrome import Page, browser, dashboard

WATCH = """(() => {
  window.seen = {pressed: 0, painted: 0};
  document.addEventListener('keydown', () => { window.seen.pressed = performance.now(); window.seen.painted = 0; }, true);
  new MutationObserver(() => { requestAnimationFrame(() => { window.seen.painted = performance.now(); }); })
    .observe(document.querySelector('[data-testid=stMain]'), {subtree: true, childList: true, characterData: true});
})()"""
WEIGHT = """(() => {
  const all = performance.getEntriesByType('resource');
  return [all.length, all.reduce((sum, one) => sum + (one.encodedBodySize || 0), 0)];
})()"""


def moves(page: Page, count: int) -> list[float]:
    """Milliseconds from key to last change of the page, for each move of the last price slider."""
    page.run("[...document.querySelectorAll('[data-testid=stSlider] input[type=range]')].at(-1).focus()")
    page.run(WATCH)
    found = []
    for _ in range(count):
        with page.rerun():
            page.press("ArrowRight", 39)
        pressed, painted = page.run("[window.seen.pressed, window.seen.painted]")
        if painted > pressed:
            found.append(painted - pressed)
    return found


def main() -> None:
    """Measure on this machine."""
    with dashboard() as url, browser() as page:
        page.size(1300, 1400)
        page.open(url)
        requests, weight = page.run(WEIGHT)
        print(f"first page: {requests} requests, {weight / 1e6:.2f} MB")
        times = moves(page, 20)
        print(
            f"slider to repainted page: median {statistics.median(times):.0f} ms, worst {max(times):.0f} ms of {len(times)}"
        )


if __name__ == "__main__":
    main()
