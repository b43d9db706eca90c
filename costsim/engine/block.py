"""Many scenarios of one plant in blocks of lanes: what the kernel takes, which compiled form of it runs, and what comes out.

A form of the kernel for sixteen lanes is made when it is first wanted, in the background: one for each topology where the job is
large, else one that asks for all that topologies alike may want, so that few are compiled; a topology's own is made after the
answer where it would have helped, and taken from then on. Until a form is there the one for one lane works. All give the same
bits. Where not even that is compiled yet, a few years are run by the Python that it is made from, with the same bits again, while
a process apart compiles it.
"""

from __future__ import annotations

import functools
import gc
import threading
from collections import Counter
from dataclasses import dataclass
from typing import Any

import numpy as np

from costsim.engine import ahead, freed, object_code  # noqa: F401 -- before arrays of a year are made
from costsim.engine import layout as k
from costsim.engine.lane_inputs import LaneInputs
from costsim.engine.shared import Shared, share
from costsim.units.arrays import Floats, Ints

FEW = 6
"""Fewer scenarios than these are not worth a block of sixteen."""
WORTH = 256
"""From so many scenarios in one job on a form is compiled for them; smaller jobs are done before it would be."""
OWN_FORM = 65_536
"""From so many scenarios in one job on a topology gets a form of its own: it saves 1 to 2 µs a year and takes a second to compile."""
OWN_LATER = 4_096
"""From so many scenarios in one job on that form is made once the answer is told, for the next run."""
OWN_WHERE_KEPT = True
"""Whether smaller jobs take it where it is kept: of more than WORTH, since to look for it takes as long as a year."""
AT_ONCE = 8
"""So many years are run in Python where nothing is compiled yet; more than these wait for the compiler."""
PATIENCE_S = 0.5
"""How long to wait for a form of the kernel, which is enough where it lies on disk."""


@dataclass(frozen=True, slots=True)
class AnnualTotals:
    """What comes out: sums (lanes, SUMS + sources), energy (lanes, sources + 1, 12, periods) [J], peaks (lanes, charges, 12) [W].

    With own generation a further row of energy is what it covers. Where that was asked for, further rows of the sums are what
    each source dumped [J].
    """

    sums: Floats
    energy_j: Floats
    peaks_w: Floats


def run_lanes(
    shared: Shared,
    lanes: Floats,
    *,
    own: LaneInputs | None = None,
    power: Ints | None = None,
    all_of: int | None = None,
    alone: bool = False,
    gpu: bool = False,
    dumped: bool = False,
) -> AnnualTotals:
    """Run every lane's year.

    Parameters
    ----------
    shared : Shared
    lanes : array (LANES, lanes)
        By `lanes_of`.
    own : LaneInputs, optional
        Hourly rows that lanes have for themselves; such lanes need a loss per kelvin.
    power : array of int (n,), optional
        The electricity of each hour is added here, in steps.
    all_of : int, optional
        How many lanes the whole job has, where this is a part of it.
    alone : bool
        One lane at a time, which gives the same bits; so it is too for lanes that take the demand of the hours.
    gpu : bool
        Run them on a CUDA device, equal to 1e-9; lanes without hourly rows of their own, and no sum of their hours.
    dumped : bool
        Sum up what each source dumped too; not on a device.

    Returns
    -------
    AnnualTotals

    Raises
    ------
    SolverError
        A device is asked for and there is none.
    """
    if gpu:
        from costsim.engine.gpu import run_on_gpu

        assert own is None
        assert power is None
        return AnnualTotals(*run_on_gpu(shared, lanes))
    number = lanes.shape[1]
    form = _form_for(shared, lanes, own is not None, power is not None, all_of or number, alone)
    width = form.width
    blocks = -(-number // width)
    padded = lanes[:, np.minimum(np.arange(blocks * width), number - 1)]
    padded[k.STEPS, number:] = 0.0
    packed = np.ascontiguousarray(np.moveaxis(padded.reshape(k.LANES, blocks, width), 0, 1))
    count, charges = shared.count, len(shared.meters)
    sums, energy = np.empty((blocks, sums_of(count, dumped), width)), np.empty((blocks, *energy_shape(shared), width))
    peaks = np.empty((blocks, charges, 12, width))
    form.run(shared, packed, own, (sums, energy, peaks), power)
    return AnnualTotals(*(_unblocked(values, number) for values in (sums, energy, peaks)))


def _form_for(shared: Shared, lanes: Floats, own: bool, power: bool, job: int, alone: bool = False) -> _Form:
    """The form that runs lanes of a job: for a block of them where there are enough and it is there."""
    hourly = power or len(shared.meters) > 0 or len(shared.free) > 0
    fans, pumps = has_fans(lanes, shared.count), bool((lanes[k.PUMP] > 0).any())
    form = _Form(shared.kinds, shared.mass, own, hourly, fans, shared.zones, shared.uses, pumps)
    enough = lanes.shape[1] >= FEW
    if job <= WORTH or not OWN_WHERE_KEPT or form.code() is None:
        form = form.for_job(job)
    typed = bool((lanes[k.LOSS] <= 0).any())
    return form if enough and not typed and not alone and form.there(job) else form_of_one(shared, own)


def in_blocks(shared: Shared, lanes: Floats, all_of: int) -> bool:
    """Whether `run_lanes` would run lanes with hourly rows of their own in blocks; if not yet, that form is made where worth it."""
    return _form_for(shared, lanes, own=True, power=False, job=all_of).width > 1


def has_fans(lanes: Floats, count: int) -> bool:
    """Whether a source has electricity of its own, beside its input."""
    rows = [k.OWN + i * k.LANE_SCALARS + row for i in range(count) for row in (k.AUX_SHARE, k.AUX_W)]
    return bool(lanes[rows].any())


def sums_of(count: int, dumped: bool) -> int:
    """Number of sums of a lane."""
    return k.SUMS + count * (1 + dumped)


def energy_shape(shared: Shared) -> tuple[int, int, int]:
    """Rows, months and periods of a lane's energy."""
    return shared.count + 1 + (len(shared.free) > 0), 12, shared.shares.shape[2]


def _unblocked(values: Floats, lanes: int) -> Floats:
    """Lanes first instead of blocks first and lanes last."""
    whole = values.shape[0] * values.shape[-1]
    return np.moveaxis(values, -1, 1).reshape(whole, *values.shape[1:-1])[:lanes]


@dataclass(frozen=True, slots=True)
class _Form:
    """One compiled form of the kernel."""

    kinds: tuple[int, int, int]
    mass: int
    own: bool
    hourly: bool
    fans: bool
    zones: int = 0
    uses: int = k.ANY
    pumps: bool = True

    @property
    def width(self) -> int:
        return 1 if self.mass == k.ANY else k.WIDTH

    def kernel(self) -> Any:
        from costsim.engine import light  # noqa: F401 -- before the first kernel is loaded
        from costsim.engine.kernel import build

        return build(
            self.width, self.kinds, self.mass, self.own, self.hourly, self.fans, self.zones, self.uses, self.pumps
        )

    def for_job(self, lanes: int) -> _Form:
        """Itself for a large job; for others what takes its place, so that they share forms.

        That one has fans, with several sources pumps, and what is told to run may cycle: of what is zero nothing is lost.
        """
        if lanes >= OWN_FORM:
            return self
        if lanes >= OWN_LATER and AT_ONCE:
            _later.add(self)
        first, second, third = (k.CYCLING if kind == k.DISPATCHABLE else kind for kind in self.kinds)
        flags = self.hourly, True, self.zones, self.uses, self.pumps or second > 0
        return _Form((first, second, third), self.mass, self.own, *flags)

    def there(self, lanes: int) -> bool:
        """Whether it is compiled; if not that begins, apart from this process, where the job is worth it."""
        if self.code() is not None:
            return True
        if lanes < WORTH and self not in _begun:
            return False
        if AT_ONCE and not self.lies_ready():
            return False
        ready = _begin(self)
        if not ready.is_set():
            ready.wait(PATIENCE_S)
        return ready.is_set()

    def lies_ready(self) -> bool:
        """Whether it is compiled, here or on disk; if not, a process apart begins with it."""
        if not (ready := self.is_made()):
            ahead.begin(self.kernel(), self.spec())
        return ready

    def is_made(self) -> bool:
        """Whether it is compiled, here or on disk."""
        if self.code() is not None:
            return True
        from costsim.engine.compiling import on_disk

        kernel = self.kernel()
        return bool(kernel.signatures) or on_disk(kernel, self._arguments(*_no_lane(self)))

    def code(self) -> object_code.Code | None:
        """What it was compiled to, if that lies on disk and numba need not be loaded for it."""
        code = _codes.get(self)
        if code is None and self not in _by_numba:
            code = object_code.load(self.spec())
            if code is not None:
                _codes[self] = code
        return code

    def spec(self) -> str:
        """What it is, as one word that `compile_form` reads."""
        flags = self.mass, int(self.own), int(self.hourly), int(self.fans), self.zones, self.uses, int(self.pumps)
        return ",".join(str(entry) for entry in (*self.kinds, *flags))

    def run(
        self, shared: Shared, packed: Floats, own: LaneInputs | None, results: tuple[Floats, Floats, Floats],
        power: Ints | None = None, out: Floats | None = None, kept: Floats | None = None,
    ) -> None:  # fmt: skip
        """Call the kernel, or for a few years in one that is not compiled yet the Python that it is made from."""
        arguments = self._arguments(shared, packed, own, results, power, out, kept)
        few = self.width == 1 and 0 < len(packed) <= AT_ONCE
        if few and not self.is_made():
            from costsim.engine.compiling import plain

            plain(self.kernel())(*_as_python(arguments))
            _ran_plain[self] += len(packed)
            _later.add(self)
            if _ran_plain[self] > AT_ONCE:  # many years, if one by one
                self.lies_ready()
        elif (code := self.code()) is None or not code(*arguments):
            kernel = self.kernel()
            kernel(*arguments)
            if self not in _by_numba:
                _by_numba.add(self)
                object_code.keep(self.spec(), kernel)

    def _arguments(
        self, shared: Shared, packed: Floats, own: LaneInputs | None, results: tuple[Floats, Floats, Floats],
        power: Ints | None = None, out: Floats | None = None, kept: Floats | None = None,
    ) -> tuple[Any, ...]:  # fmt: skip
        """Give what the kernel takes; arrays are always of the same types, so that it is compiled once."""
        count = shared.count
        rows = (shared.hours, shared.degrees, shared.source_hours, shared.per_heat)
        none = np.empty((1, 0, 1)), np.empty(0, dtype=np.int64), np.empty((0, 0), dtype=np.int32)
        values, at, entries = none if own is None else (own.packed(self.width), own.at, own.entries)
        return (
            np.empty(0), shared.mass, shared.uses, *rows, np.array(shared.kinds), shared.first,
            shared.month, shared.slots, shared.shares, packed, values, at, entries, shared.meters, shared.payers, shared.free, shared.takers, *results,
            np.empty(0, dtype=np.int64) if power is None else power,
            np.empty((k.RESULTS, 0)) if out is None else out, np.empty((3, count, 0)) if kept is None else kept,
        )  # fmt: skip


def _as_python(arguments: tuple[Any, ...]) -> list[Any]:
    """The same arguments for the kernel in Python: views and lists of what it looks into by the hour."""
    own_values, own_at, own_entries = 13, 14, 15
    plain = list(arguments)
    hourly = (0, 3, 4, 5, 6, own_values, own_entries, len(plain) - 2, len(plain) - 1)  # and what is kept
    for at in hourly:
        plain[at] = memoryview(plain[at])
    for at in (7, 8, 9, own_at):  # kinds, first, month, own_at
        plain[at] = plain[at].tolist()
    return plain


@functools.cache
def _form_of_one(own: bool, zones: int, uses: int) -> _Form:
    return _Form((k.ANY,) * 3, k.ANY, own, True, True, zones, uses)


def form_of_one(shared: Shared, own: bool) -> _Form:
    """The form for one lane, any sources, with or without mass."""
    return _form_of_one(own, shared.zones, shared.uses)


_ONE, _ONE_WITH_ROWS = (_form_of_one(own, 0, 0) for own in (False, True))
_begun: dict[_Form, threading.Event] = {}
_codes: dict[_Form, object_code.Code] = {}
_by_numba: set[_Form] = set()
_later: set[_Form] = set()
_ran_plain: Counter[_Form] = Counter()
_lock = threading.Lock()


def _begin(form: _Form) -> threading.Event:
    """Begin to compile a form in the background, once."""
    with _lock:
        if form not in _begun:
            _begun[form] = threading.Event()
            threading.Thread(target=_warm, args=(form,), name="compile").start()
        return _begun[form]


def make_later() -> None:
    """Have the forms made that would have helped, by a process apart: to be called once the answer is told, so that it is not slowed."""
    while _later:
        _later.pop().lies_ready()


def _no_lane(form: _Form) -> tuple[Shared, Floats, None, tuple[Floats, Floats, Floats]]:
    """What runs no lane."""
    shared = share(
        np.zeros(k.SCALARS), np.zeros((k.HOURS, 1)), np.zeros((1, k.BILLED_SCALARS)), np.zeros((1, k.SOURCE_HOURS, 1)),
        np.zeros((1, 1), dtype=np.int64),
    )  # fmt: skip
    width = form.width
    empty = np.empty((0, k.SUMS + 1, width)), np.empty((0, *energy_shape(shared), width)), np.empty((0, 0, 12, width))
    return shared, np.empty((0, k.LANES, width)), None, empty


def _warm(form: _Form) -> None:
    """Compile a form by running no lane, without looking for rubbish meanwhile, which takes a sixth of the time."""
    looks = gc.isenabled()
    gc.disable()
    try:
        form.run(*_no_lane(form))
    finally:
        if looks:
            gc.enable()
        if form in _begun:
            _begun[form].set()


def warm_up() -> None:
    """Make the kernel ready for single studies, by a process apart, so that none waits for a compiler."""
    _ONE.lies_ready()


def ready_for_many(*, mass: bool, zones: bool, uses: bool) -> bool:
    """Whether hundreds of years of such a study can be run without waiting for a compiler; if not, that begins."""
    return not AT_ONCE or _form_of_one(mass, int(zones), int(uses)).lies_ready()


def compile_form(spec: str) -> None:
    """Compile a form, given as one word, by running no lane."""
    first, second, third, mass, own, hourly, fans, zones, uses, pumps = (int(part) for part in spec.split(","))
    _warm(_Form((first, second, third), mass, bool(own), bool(hourly), bool(fans), zones, uses, bool(pumps)))
