"""Processes and clusters of our own making that blocks of homes are handed to: who is asked for what, and who ends."""

from __future__ import annotations

import ctypes
import logging
import pickle
import sys
from concurrent.futures import Future
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from costsim.errors import InputError
from costsim.portfolio import cluster, memory, processes

# processes


class Pool:
    """Processes of our own making: what is handed in is done when it is asked for."""

    def __init__(self, count: int, context: Any, begin: Any, start: tuple[str, ...]) -> None:
        self.count, self.handed = count, []
        assert context.get_start_method() == "spawn"
        assert begin is processes._begin
        self.study = pickle.loads(Path(start[0]).read_bytes())
        Pool.last = self

    def __enter__(self) -> Pool:
        return self

    def __exit__(self, *_: object) -> None:
        """Nothing is left."""

    def submit(self, work: Any, block: Any) -> Any:
        """Take a block."""
        assert work is processes._work
        self.handed.append(block)
        found: Future[Any] = Future()
        found.set_result(block)
        return found


def test_two_blocks_wait_for_each_process(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(processes, "ProcessPoolExecutor", Pool)
    recipe: Any = SimpleNamespace(case="case", weather="weather", layout="layout")
    parts = processes.on_processes(3)(recipe, iter(range(10)))  # type: ignore[misc, arg-type]
    done = [next(parts)]
    assert (Pool.last.count, Pool.last.study) == (3, ("case", "weather", "layout"))
    assert Pool.last.handed == [0, 1, 2, 3, 4, 5]
    done.append(next(parts))
    assert Pool.last.handed == [0, 1, 2, 3, 4, 5, 6]
    assert sorted([*done, *parts]) == list(range(10))


@pytest.mark.parametrize(
    ("blocks", "processors", "asked"),
    [(4, 8, 0), (5, 8, 8), (6, 8, 8), (9, 2, 2), (9, 1, 0), (4, 1, 0), (9, None, 0), (9, 256, 256), (9, 300, 256)],
)
def test_processors_are_asked_where_there_are_several_and_five_blocks(
    blocks: int, processors: int | None, asked: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def started(count: int, recipe: Any, those: Any) -> Any:
        return ((count, one) for one in those)

    monkeypatch.setattr(processes, "_run", started)
    monkeypatch.setattr(processes, "on_this_machine", lambda: lambda recipe, those: started(0, recipe, those))
    monkeypatch.setattr(processes.os, "cpu_count", lambda: processors)
    parts: Any = processes.on_processes()
    # every block comes, the first ones too, in their order
    assert list(parts(None, iter(range(blocks)))) == [(asked, one) for one in range(blocks)]


def test_whoever_stops_ends_the_processes_that_were_started_and_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    ended: list[str] = []

    class Child(str):
        """A process that can be ended."""

        def terminate(self) -> None:
            """End it."""
            ended.append(str(self))

    living = iter([[Child("other")], [Child("mine"), Child("other")]])
    monkeypatch.setattr(processes, "ProcessPoolExecutor", Pool)
    monkeypatch.setattr(processes.mp, "active_children", lambda: next(living))
    recipe: Any = SimpleNamespace(case=1, weather=2, layout=3)
    parts = processes._run(1, recipe, iter(range(5)))  # type: ignore[arg-type]
    next(parts)
    parts.close()  # type: ignore[attr-defined]
    assert ended == ["mine"]


@pytest.mark.parametrize(
    ("error", "told"), [(OSError(28, "No space left"), "(No space left)"), (OSError("odd"), "(odd)")]
)
def test_a_study_that_cannot_be_written_for_processes_says_why(
    error: OSError, told: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full() -> Any:
        raise error

    monkeypatch.setattr(processes.tempfile, "TemporaryDirectory", full)
    recipe: Any = SimpleNamespace(case=1, weather=2, layout=3)
    with pytest.raises(InputError) as caught, processes._kept(recipe):
        pass
    assert f"no temporary file can be written {told}; make room for it, or use --processes 1" in str(caught.value)


def test_a_process_makes_the_study_ready_once_and_ends_with_its_parent(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "study").write_bytes(pickle.dumps(("case", "weather", "layout")))
    begun: list[Any] = []
    monkeypatch.setattr(processes, "_HERE", {})
    monkeypatch.setattr(processes, "keep_memory", lambda: begun.append("memory"))
    monkeypatch.setattr(processes, "prepare", lambda *given: given)
    thread = SimpleNamespace(start=lambda: begun.append("started"))
    monkeypatch.setattr(processes.threading, "Thread", lambda target, daemon: begun.append((target, daemon)) or thread)
    processes._begin(str(tmp_path / "study"))
    assert begun == [(processes._end_with_parent, True), "started", "memory"]
    monkeypatch.setattr(processes, "run_block", lambda recipe, block, threads: (recipe, block, threads))
    assert processes._work("block") == (("case", "weather", "layout"), "block", 1)  # type: ignore[arg-type, comparison-overlap]
    gone: list[Any] = []
    monkeypatch.setattr(processes.mp, "parent_process", lambda: None)
    processes._end_with_parent()
    assert not gone
    monkeypatch.setattr(processes.mp, "parent_process", lambda: SimpleNamespace(sentinel=7))
    monkeypatch.setattr(processes.multiprocessing.connection, "wait", gone.append)
    monkeypatch.setattr(processes.os, "_exit", gone.append)
    processes._end_with_parent()
    assert gone == [[7], 1]


def test_memory_is_kept_up_to_64_mib_by_glibc(monkeypatch: pytest.MonkeyPatch) -> None:
    """M_TRIM_THRESHOLD is -1 in glibc's malloc.h (the GNU C Library manual, Malloc Tunable Parameters)."""
    asked: list[Any] = []
    monkeypatch.setattr(
        ctypes, "CDLL", lambda name: SimpleNamespace(mallopt=lambda *given: asked.append((name, given)))
    )
    memory.keep_memory.__wrapped__()
    assert asked == [(None, (-1, 67_108_864))]


# a cluster


class Client:
    """A client that has workers, or waits for them in vain."""

    workers, said = 1, list[Any]()

    def __init__(self, address: str, timeout: int, set_as_default: bool) -> None:
        Client.said += [address, timeout, set_as_default]
        if "nobody" in address:
            raise OSError("refused")

    def wait_for_workers(self, count: int, timeout: int) -> None:
        """Wait."""
        Client.said += [count, timeout]
        if count > Client.workers:
            raise TimeoutError

    def close(self, timeout: int) -> None:
        """Go, which a cluster that is gone does not bear."""
        Client.said += ["closed", timeout]
        raise RuntimeError


def test_a_scheduler_is_asked_for_a_worker_and_left_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", SimpleNamespace(Client=Client))
    before = logging.getLogger("distributed.made_up").level
    monkeypatch.setattr(Client, "said", [])
    try:
        with cluster.on_cluster("tcp://host:8786") as found:
            assert found is not None
        assert Client.said == ["tcp://host:8786", 10, False, 1, 10, "closed", 1]
        # nothing it says is heard, not even what is critical (50)
        assert not logging.getLogger("distributed.made_up").isEnabledFor(50)
        assert logging.getLogger("costsim.made_up").isEnabledFor(50)
    finally:
        logging.getLogger("distributed.made_up").setLevel(before)
    with cluster.on_cluster(None) as found:
        assert found is None
    monkeypatch.setattr(Client, "workers", 0)
    with pytest.raises(InputError, match="has no workers"), cluster.on_cluster("tcp://host:8786"):
        pass
    with pytest.raises(InputError, match=r"no scheduler answers at 'tcp://nobody:1' \(OSError\)"), cluster.on_cluster("tcp://nobody:1"):  # fmt: skip
        pass
    for address in ("tcp://h", "tcp://h:123456", "tcp://" + "h" * 254 + ":1"):
        with pytest.raises(InputError, match="is no address"), cluster.on_cluster(address):
            pass
    monkeypatch.setattr(cluster, "keep_memory", lambda: None)
    monkeypatch.setattr(cluster, "run_block", lambda recipe, block, threads: (recipe, block, threads))
    assert cluster._work("recipe", "block") == ("recipe", "block", 1)  # type: ignore[arg-type, comparison-overlap]
