"""The dashboard under load, outside the suite: `python tests/load/run.py --sessions 20 --reruns 500`.

So many sessions at once over HTTP and WebSocket, each with values of its own, whose every shown figure is held against the
library; then so many reruns in one session. Prints what crossed (nothing should), the time of a rerun, and the server's memory.
"""

from __future__ import annotations

import argparse
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import psutil

sys.path.insert(0, str(Path(__file__).parents[1]))

from browser.chrome import dashboard
from load.sessions import Session, visit

MOST_GROWTH_MB = 40.0


def server_of(url: str) -> psutil.Process:
    """The process that serves an address."""
    port = int(url.rsplit(":", 1)[1])
    mine = psutil.Process().children(recursive=True)
    return next(one for one in mine if any(c.laddr.port == port for c in one.net_connections(kind="inet")))


def together(url: str, sessions: int, turns: int) -> tuple[list[str], list[float]]:
    """All sessions at once, each with its own turns; what went wrong, and how long each turn took."""
    times: list[float] = []

    def one(number: int) -> list[str]:
        session, wrong = Session(url), []
        for turn in range(turns):
            start = time.monotonic()
            wrong += visit(session, number, turn)
            times.append(time.monotonic() - start)
        session.close()
        return wrong

    with ThreadPoolExecutor(sessions) as pool:
        return [line for lines in pool.map(one, range(sessions)) for line in lines], times


def alone(url: str, reruns: int) -> tuple[list[str], list[float]]:
    """One session that changes its study again and again; what went wrong, and the server's memory [MB] along the way."""
    server, session, wrong, memory = server_of(url), Session(url), [], []
    for turn in range(reruns):
        wrong += visit(session, 99, turn)
        memory.append(server.memory_info().rss / 1e6)
    session.close()
    return wrong, memory


def main() -> int:
    """Run and report."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sessions", type=int, default=20)
    parser.add_argument("--turns", type=int, default=5)
    parser.add_argument("--reruns", type=int, default=500)
    given = parser.parse_args()
    with dashboard() as url:
        crossed, times = together(url, given.sessions, given.turns)
        print(
            f"{given.sessions} sessions at once, {len(times)} reruns: {len(crossed)} wrong or crossed values; "
            f"median {np.median(times):.1f} s a rerun, slowest {max(times):.1f} s, while all run",
            flush=True,
        )
        wrong, memory = alone(url, given.reruns)
        tenth = max(1, len(memory) // 10)
        early, late = float(np.median(memory[tenth : 2 * tenth])), float(np.median(memory[-tenth:]))
        print(
            f"{given.reruns} reruns in one session: {len(wrong)} wrong values; server {early:.0f} MB after a tenth, {late:.0f} MB at the end"
        )
    for line in (crossed + wrong)[:20]:
        print(line)
    return int(bool(crossed or wrong) or late - early > MOST_GROWTH_MB)


if __name__ == "__main__":
    sys.exit(main())
