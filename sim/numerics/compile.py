"""The one door to the compiler: its decorator, and a cache that never serves stale code.

The compiler's own disk cache looks only at the file of the outermost function, so editing a callee
would leave the old binary in use. The cache folder is therefore named by a digest of all compiled
sources.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

import platformdirs

_ROOT = Path(__file__).resolve().parents[2]
_COMPILED = (
    "sim/numerics",
    "sim/params",
    "sim/physics",
    "sim/sensing",
    "sim/step",
    "controllers",
)


def compiled_source_digest() -> str:
    """Give a digest of the text of every file that holds compiled code."""
    digest = hashlib.sha256()
    for place in _COMPILED:
        path = _ROOT / place
        for file in sorted(path.rglob("*.py")) if path.is_dir() else [path]:
            digest.update(file.relative_to(_ROOT).as_posix().encode())
            digest.update(file.read_bytes())
    return digest.hexdigest()[:16]


def compiled_cache_folder() -> Path:
    """Give the folder that holds the binaries of exactly this source text."""
    return Path(platformdirs.user_cache_dir("gustworthy")) / compiled_source_digest()


os.environ["NUMBA_CACHE_DIR"] = str(compiled_cache_folder())
import numba  # noqa: E402 - the cache folder must be named before the compiler is imported

_Function = TypeVar("_Function", bound=Callable[..., Any])


def compiled(function: _Function) -> _Function:
    """Compile a function at its first call, in float64 without reordering of sums.

    The interpreter lock is released while it runs, division by zero gives inf or nan as IEEE 754
    says, and the binary is kept on disk. The uncompiled function stays reachable as `.py_func`.
    """
    decorate = numba.njit(cache=True, nogil=True, error_model="numpy", fastmath=False)
    return cast("_Function", decorate(function))


def compiled_inside(function: _Function) -> _Function:
    """Compile as `compiled` does, and always into the body of what calls it.

    A loop becomes vector instructions only when nothing is called in it; the compiler leaves out
    longer functions of its own accord.
    """
    decorate = numba.njit(
        cache=True, nogil=True, error_model="numpy", fastmath=False, forceinline=True
    )
    return cast("_Function", decorate(function))


def is_compiled_before() -> bool:
    """Tell whether binaries of this source text are already on disk."""
    folder = compiled_cache_folder()
    return folder.is_dir() and any(folder.rglob("*.nbc"))
