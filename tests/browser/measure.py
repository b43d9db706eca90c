"""From a moved slider to the repainted page, for a household and for the heaviest page, and the first page's weight and time.

A yardstick to look at, not a test: ``python tests/browser/measure.py``. Streamlit's slider waits for 200 ms of rest before it sends.
"""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from browser.chrome import Page, browser, dashboard

WATCH = """(() => {
  window.seen = {pressed: 0, answered: 0, painted: 0};
  const now = kind => requestAnimationFrame(() => { window.seen[kind] = performance.now(); });
  document.addEventListener('keydown', () => { window.seen = {pressed: performance.now(), answered: 0, painted: 0}; }, true);
  new MutationObserver(changes => {
    now('painted');
    const kind = '[data-testid=stMetric], [data-testid=stMain] h1, .js-plotly-plot';
    if (changes.some(one => (one.target.nodeType === 1 ? one.target : one.target.parentElement)?.closest(kind))) now('answered');
  }).observe(document.querySelector('[data-testid=stMain]'), {subtree: true, childList: true, characterData: true});
})()"""
WEIGHT = """(() => {
  const all = performance.getEntriesByType('resource');
  return [all.length, all.reduce((sum, one) => sum + (one.encodedBodySize || 0), 0)];
})()"""


def moves(page: Page, count: int) -> list[tuple[float, float]]:
    """Milliseconds from key to the last change of answer and picture, and of anything, for each move of the last slider."""
    page.run("[...document.querySelectorAll('[data-testid=stSlider] input[type=range]')].at(-1).focus()")
    page.run(WATCH)
    found = []
    for _ in range(count):
        with page.rerun():
            page.press("ArrowRight", 39)
        pressed, answered, painted = page.run("[window.seen.pressed, window.seen.answered, window.seen.painted]")
        if answered > pressed:
            found.append((answered - pressed, painted - pressed))
    return found


def main() -> None:
    """Measure on this machine."""
    with dashboard() as url, browser() as page:
        page.size(1300, 1400)
        page.open(url)
        requests, weight = page.run(WEIGHT)
        print(f"first page: {requests} requests, {weight / 1e6:.2f} MB")
        page.open("about:blank", wait=False)
        start = time.monotonic()
        page.open(url, wait=False)
        page.until("document.querySelector('[data-testid=stMetricValue]') !== null")
        print(f"opened again: its answer stands after {time.monotonic() - start:.1f} s")
        for name, query in (("household", ""), ("heaviest", "?study=net_loft&persona=installer")):
            page.open(url + "/" + query)
            answers, alls = zip(*moves(page, 20), strict=True)
            print(
                f"{name}: answer and picture repainted in {statistics.median(answers):.0f} ms (median of {len(answers)}, worst"
                f" {max(answers):.0f}), all of the page in {statistics.median(alls):.0f} ms"
            )


if __name__ == "__main__":
    main()
