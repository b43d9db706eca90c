"""Compiling the kernel, with a cache on disk that is a convenience and never a reason to stop."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from pathlib import Path
from types import CellType, FunctionType, ModuleType, SimpleNamespace
from typing import Any, TypeVar

import numba
import numpy as np
from llvmlite import ir  # type: ignore[import-untyped]
from numba import types
from numba.core import cgutils, config
from numba.core.compiler import Compiler
from numba.extending import intrinsic
from numba.np.arrayobj import make_array, populate_array

Function = TypeVar("Function", bound=Callable[..., Any])
_HOW: Any = {"nogil": True, "error_model": "numpy", "no_cfunc_wrapper": True}
_HALVES, _IN_STEP = "prefer-256-bit", "-force-vector-interleave="
LINE_B = 64
"""Bytes of a cache line."""


def use_whole_vectors() -> None:
    """Let the compiler use vectors as wide as the processor has, where it would take half of them.

    It does so for the sake of programs that need few; the balance of an hour is nothing else. Two vectors, so all lanes of a block,
    go through an hour in step: what one waits for, the other has time to compute, and it is a long chain with many divisions.
    Where vectors have four lanes, see `InStep`. Whoever has chosen the processor's features keeps his choice.
    """
    from llvmlite import binding

    if getattr(config, "CPU_FEATURES", None) is None and not getattr(config, "CPU_NAME", None):
        features = binding.get_host_cpu_features()
        if features.get("avx512f"):
            chosen: Any = config
            chosen.CPU_FEATURES = f"{features.flatten()},-{_HALVES}"
            binding.set_option("costsim", f"{_IN_STEP}2")
        elif features.get("avx"):
            InStep.vectors = 4


class _Passes(Compiler):
    """Compiles with passes of its own: level, vectors of loops, and vectors of what stands in a row, as loops over lanes come to."""

    passes: tuple[int, int, int]

    def compile_extra(self, function: Any) -> Any:
        """Compile; numba's lock is held, and what calls this is compiled after it."""
        chosen: Any = config
        before = chosen.OPT, chosen.LOOP_VECTORIZE, chosen.SLP_VECTORIZE
        chosen.OPT, chosen.LOOP_VECTORIZE, chosen.SLP_VECTORIZE = self.passes
        try:
            return super().compile_extra(function)  # type: ignore[no-untyped-call]
        finally:
            chosen.OPT, chosen.LOOP_VECTORIZE, chosen.SLP_VECTORIZE = before


class Part(_Passes):
    """Compiles what is put into others, and leaves it to them to look for the best code: they see what it is used for."""

    passes = 1, 0, 0


class Whole(_Passes):
    """Compiles what is called."""

    passes = 3, 1, 1


class InStep(Whole):
    """Compiles what is called, and all lanes of a block go through an hour in step, as four vectors of four.

    They have too few registers for all they hold, and yet take 0.7 to 0.9 of the time of one after the other. So LLVM 22 does not
    make `w[i] = larger(w[i], x)` a masked store either: of those, processors of AMD without AVX-512 make a score of steps, and
    the next hour waits for what was stored. One of them took a third of a year's time (llvm/llvm-project issue 213195).
    """

    vectors = 0
    """How many; 0 where the compiler chooses, or all loops go by `use_whole_vectors`."""

    def compile_extra(self, function: Any) -> Any:
        """Compile; numba's lock is held."""
        from llvmlite import binding

        if not self.vectors:
            return super().compile_extra(function)
        binding.set_option("costsim", f"{_IN_STEP}{self.vectors}")
        try:
            return super().compile_extra(function)
        finally:
            binding.set_option("costsim", f"{_IN_STEP}0")


use_whole_vectors()


def compiled(function: Function, *, in_step: bool = False) -> Function:
    """Compile a function when it is first called, and keep the code on disk where that is possible.

    Parameters
    ----------
    function : callable
        Of arrays and numbers only.
    in_step : bool
        By `InStep`: worth it where one loop over lanes does all of an hour.

    Returns
    -------
    callable
        The same function, compiled.

    Notes
    -----
    Without a folder that may be written to (neither beside the module nor in the home, see ``NUMBA_CACHE_DIR``) it is compiled
    anew in each process. A cache that cannot be read is thrown away; one that cannot be written is done without.
    """
    how: Any = {"pipeline_class": InStep if in_step else Whole, **_HOW}
    try:
        made = numba.njit(cache=True, **how)(function)
    except RuntimeError:  # numba found no place for its cache
        return numba.njit(**how)(function)  # type: ignore[no-any-return]
    _heal(getattr(made, "_cache", None))
    return made  # type: ignore[no-any-return]


def on_disk(function: Any, arguments: tuple[Any, ...]) -> bool:
    """Whether a compiled function lies in the cache for arguments of these types; true as well where that cannot be told."""
    if function.signatures:
        return True
    try:
        types = tuple(numba.typeof(argument) for argument in arguments)  # type: ignore[no-untyped-call]
        cache = function._cache
        return cache._index_key(types, function.targetctx.codegen()) in cache._cache_file._load_index()
    except Exception:  # another numba, or an index that cannot be read
        return not hasattr(function, "_cache")


def plain(function: Any) -> Any:
    """The Python that a compiled function was made from, with all that it calls: it runs at once and gives the same bits.

    Parameters
    ----------
    function : callable
        By `compiled`, of float64.

    Returns
    -------
    callable
        Takes memory views in the place of arrays that it looks into by the hour, since these give plain floats.
    """
    return _uncompiled(function, {})


@intrinsic
def scratch(_context: Any, n: Any) -> Any:
    """Room for so many numbers, a constant, on the stack: nothing else can lie there, so that what it holds may stay in registers."""
    if not isinstance(n, types.IntegerLiteral):
        return None
    kind, count, number = types.Array(types.float64, 1, "C"), n.literal_value, ir.DoubleType()

    def make(context: Any, builder: Any, _signature: Any, _arguments: Any) -> Any:
        room = cgutils.alloca_once(builder, ir.ArrayType(number, count))  # type: ignore[no-untyped-call]
        room.align = LINE_B
        place, array = context.get_value_type(types.intp), make_array(kind)(context, builder)  # type: ignore[no-untyped-call]
        populate_array(  # type: ignore[no-untyped-call]
            array, builder.bitcast(room, number.as_pointer()), [place(count)], [place(8)], place(8), meminfo=None
        )
        return array._getvalue()

    return kind(n), make


def _zeros(n: int) -> Any:
    """Zeros that give plain floats."""
    zeros: Any = np.zeros(n)
    return memoryview(zeros)


def _plain_value(value: Any, done: dict[int, Any]) -> Any:
    """What stands for it in Python."""
    if isinstance(value, tuple):
        return tuple(_plain_value(member, done) for member in value)
    if hasattr(value, "py_func"):
        return _uncompiled(value, done)
    return int(value) if isinstance(value, np.int64) else float if value is np.float64 else value


_NUMPY = SimpleNamespace(float64=float, int64=int)


def _uncompiled(function: Any, done: dict[int, Any]) -> Any:
    if id(function) in done:
        return done[id(function)]
    source = function.py_func
    names = dict(source.__globals__)
    cells = tuple(CellType(_plain_value(cell.cell_contents, done)) for cell in source.__closure__ or ())
    made = done[id(function)] = FunctionType(source.__code__, names, source.__name__, source.__defaults__, cells)
    for name in source.__code__.co_names:
        value = names.get(name)
        if value is scratch:
            names[name] = _zeros
        elif value is np:
            names[name] = _NUMPY
        elif hasattr(value, "py_func"):
            names[name] = _uncompiled(value, done)
        elif isinstance(value, np.int64):
            names[name] = int(value)
        elif isinstance(value, ModuleType) and value.__name__.startswith("costsim."):
            inside = {
                key: _uncompiled(member, done) if hasattr(member, "py_func") else member
                for key, member in vars(value).items()
            }
            names[name] = SimpleNamespace(**inside)
    return made


def cache_folder() -> Path:
    """Folder in which compiled code is kept: that of ``NUMBA_CACHE_DIR``, else one beside the engine."""
    chosen = str(getattr(config, "CACHE_DIR", ""))
    return Path(chosen) if chosen else Path(__file__).with_name("__pycache__")


def _heal(cache: Any) -> None:
    """Let a spoilt or full cache count as an empty one."""
    if not hasattr(cache, "load_overload") or not hasattr(cache, "save_overload"):
        return
    load, save = cache.load_overload, cache.save_overload

    def loaded(*arguments: Any) -> Any:
        try:
            return load(*arguments)
        except Exception:  # whatever pickle makes of damaged bytes
            with contextlib.suppress(OSError):
                cache.flush()
            return None

    def saved(*arguments: Any) -> None:
        try:
            save(*arguments)
        except Exception:  # a full disk, or an index that cannot be read
            with contextlib.suppress(Exception):
                cache.flush()

    cache.load_overload, cache.save_overload = loaded, saved
