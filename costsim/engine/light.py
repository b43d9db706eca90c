"""Loading numba without scipy's linear algebra, which no kernel uses and which takes a fifth of a second to import.

numba looks for BLAS once, when its arrays' functions are first loaded. Here it is kept from looking, and told afterwards that
BLAS may be had: a program that calls ours and compiles linear algebra of its own finds it as ever.
"""

from __future__ import annotations

import sys

_BLAS, _ARRAYS = "scipy.linalg.cython_blas", "numba.np.arraymath"


def load_arrays() -> None:
    """Import numba's functions on arrays; scipy stays where it is, not loaded if it was not."""
    import importlib

    if _ARRAYS in sys.modules or _BLAS in sys.modules:
        return
    sys.modules[_BLAS] = None  # type: ignore[assignment]  # what Python itself takes for 'not to be had'
    try:
        arrays = importlib.import_module(_ARRAYS)
    finally:
        sys.modules.pop(_BLAS, None)
    arrays._HAVE_BLAS = True  # type: ignore[attr-defined]


load_arrays()
