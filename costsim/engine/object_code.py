"""Compiled forms called without the compiler: loading numba takes longer than a study, loading what it made three thousandths of a second.

Beside the compiler's own cache lies the object code of each form that was used, sealed (`costsim.kept`) and marked with all
that it was made from and the processor it was made for. It is the same code, so it gives the same bits. What is missing, damaged,
of another version or called with arrays of other types goes through numba as ever; so does all where numba was told how to work.
"""

from __future__ import annotations

import ctypes
import functools
import importlib.util
import json
import os
import sys
import threading
from pathlib import Path
from typing import Any

import numpy as np

from costsim import kept

PARTS = ("compiling", "layout", "access", "balance", "layered", "layered_hour", "ledger")
"""Modules that the kernel is put together from, beside its own."""
ENDING, MOST_FORMS = "code", 256
_DONE = (0, -2)
"""What a compiled function answers where all is well: a value, or none."""
_OUTSIDE = ("NRT_MemInfo_call_dtor", "NRT_adapt_ndarray_from_python")
"""Asked for by the wrapper for Python alone, which is not called here."""
_HARMLESS = ("llvm.", "Py", "_Py", "mem")
_lock = threading.Lock()


def sources(*more: str) -> bytes:
    """Text of the modules that the kernel is put together from; nothing where they cannot be read."""
    try:
        return b"".join(Path(__file__).with_name(f"{name}.py").read_bytes() for name in (*PARTS, *more))
    except OSError:
        return b""


@functools.cache
def _made_with() -> bytes:
    """All that code depends on, beside its form; nothing where code is not kept."""
    settings = {name for name in os.environ if name.startswith("NUMBA_")} - {"NUMBA_CACHE_DIR"}
    text, compiler = sources("kernel", "object_code"), importlib.util.find_spec("numba")
    if sys.platform != "linux" or settings or not text or compiler is None or Path(".numba_config.yaml").exists():
        return b""
    import llvmlite  # type: ignore[import-untyped]
    from llvmlite import binding

    version = kept.state_of(Path(str(compiler.origin)).with_name("_version.py"))
    machine = f"{llvmlite.__version__} {sys.version} {binding.get_host_cpu_name()}".encode()
    return kept.mark_of(text, version, machine, binding.get_host_cpu_features().flatten().encode())


def _mark(form: str) -> bytes:
    return kept.mark_of(_made_with(), form.encode())


class Code:
    """A form's object code in memory, to be called with arrays and whole numbers.

    Parameters
    ----------
    symbol : str
        Name of the function.
    kinds : list of [str, int] or None
        Type and dimensions of each array it takes; None for a whole number.
    code : bytes
        Object code.
    """

    def __init__(self, symbol: str, kinds: list[Any], code: bytes) -> None:
        self.kinds = [None if kind is None else (np.dtype(kind[0]), kind[1]) for kind in kinds]
        self._engine = _loaded(code)
        words = 2 + sum(1 if kind is None else 5 + 2 * kind[1] for kind in self.kinds)
        address = self._engine.get_function_address(symbol)
        if not address:
            raise ValueError(symbol)
        self._call = ctypes.CFUNCTYPE(ctypes.c_int32, *[ctypes.c_int64] * words)(address)

    def __call__(self, *arguments: Any) -> bool:
        """Run it, as numba calls it: whether the arguments were of its types; if not nothing has happened."""
        answers = (ctypes.c_void_p * 2)()
        words = [ctypes.addressof(answers), ctypes.addressof(answers) + ctypes.sizeof(ctypes.c_void_p)]
        for kind, argument in zip(self.kinds, arguments, strict=True):
            if kind is None:
                if not isinstance(argument, (int, np.int64)):
                    return False
                words.append(int(argument))
            elif argument.dtype != kind[0] or argument.ndim != kind[1] or not argument.flags.carray:
                return False
            else:
                at = (
                    ctypes.addressof(ctypes.c_char.from_buffer(argument)) if argument.size else words[0]
                )  # where nobody looks
                words += (0, 0, argument.size, argument.itemsize, at, *argument.shape, *argument.strides)
        if self._call(*words) not in _DONE:
            raise RuntimeError("the kernel stopped")
        return True


def _loaded(code: bytes) -> Any:
    from llvmlite import binding

    binding.initialize_native_target()
    binding.initialize_native_asmprinter()
    stop = ctypes.cast(ctypes.CDLL(None).abort, ctypes.c_void_p).value
    for name in _OUTSIDE:
        if not binding.address_of_symbol(name):
            binding.add_symbol(name, stop)  # numba puts its own there when it is loaded
    machine = binding.Target.from_default_triple().create_target_machine(jit=True, codemodel="jitdefault")
    engine = binding.create_mcjit_compiler(binding.parse_assembly(""), machine)
    engine.add_object_file(binding.ObjectFileRef.from_data(code))
    engine.finalize_object()
    return engine


def load(form: str) -> Code | None:
    """Take a form's code from disk; None where there is none for this machine.

    Parameters
    ----------
    form : str
        As `costsim.engine.block.compile_form` reads it.
    """
    with _lock:
        body = kept.get(_mark(form), ENDING) if _made_with() else None
        if body is None:
            return None
        try:
            head, code = body.split(b"\n", 1)
            symbol, kinds = json.loads(head)
            return Code(symbol, kinds, code)
        except (ValueError, RuntimeError, TypeError):
            return None


def keep(form: str, function: Any) -> None:
    """Keep the object code of a form that numba has compiled or loaded, where it needs nothing that numba brings."""
    if not _made_with():
        return
    try:
        taken = _taken_from(function)
    except Exception:  # another numba, or a cache that cannot be read
        return
    if taken is not None:
        symbol, kinds, code = taken
        kept.put(_mark(form), json.dumps([symbol, kinds]).encode() + b"\n" + code, ENDING, MOST_FORMS)


def _taken_from(function: Any) -> tuple[str, list[Any], bytes] | None:
    """Symbol, types and object code of what numba's cache has of a function."""
    from llvmlite import binding
    from numba import types
    from numba.np.numpy_support import as_dtype

    ((signature, overload),) = function.overloads.items()
    cache = function._cache
    key = cache._index_key(signature, function.targetctx.codegen())
    code, bitcode = _object(cache._cache_file._load_data(cache._cache_file._load_index()[key]))
    asked = [declared.name for declared in binding.parse_bitcode(bitcode).functions if declared.is_declaration]
    if not all(name.startswith(_HARMLESS) or name in _OUTSIDE for name in asked):
        return None
    kinds: list[Any] = []
    for argument in signature:
        if isinstance(argument, types.Array) and argument.layout == "C" and argument.mutable:
            kinds.append([as_dtype(argument.dtype).str, argument.ndim])
        elif argument == types.int64:
            kinds.append(None)
        else:
            return None
    return overload.fndesc.llvm_func_name, kinds, code


def _object(handle: Any) -> Any:
    """Object code and bitcode in what numba keeps of a function."""
    if isinstance(handle, tuple):
        if len(handle) == 3 and handle[1] == "object":
            return handle[2]
        for part in handle:
            if inside := _object(part):
                return inside
    return None
