"""Things that take long to make, remembered between runs in the user's folder for such."""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Final

from steadypoint.errors import OutputError
from steadypoint.publish._atomic import write_atomic

SWITCH: Final = "STEADYPOINT_CACHE"
"""Environment variable: the folder to remember things in; ``off`` remembers nothing."""

_DIGEST: Final = 32  # bytes in front of what is remembered


def remembered(key: str, make: Callable[[], bytes]) -> bytes:
    """What was made under a key before, else what is made now.

    Parameters
    ----------
    key : str
        Name of it, of letters and digits, that changes with everything it hangs on.
    make : callable
        Makes it.

    Returns
    -------
    bytes
        The same whether it was remembered or not; a file that was spoilt is made anew.
    """
    folder = _folder(os.environ)
    if folder is None:
        return make()
    file = folder / key
    try:
        found = file.read_bytes()
    except OSError:
        found = b""
    if found and hashlib.sha256(found[_DIGEST:]).digest() == found[:_DIGEST]:
        return found[_DIGEST:]
    made = make()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_atomic(file, hashlib.sha256(made).digest() + made)
    except (OSError, OutputError):
        pass  # nothing is lost but time
    return made


def _folder(environment: Mapping[str, str]) -> Path | None:
    stated = environment.get(SWITCH, "")
    if stated:
        return None if stated == "off" else Path(stated)
    local = environment.get("LOCALAPPDATA") if sys.platform == "win32" else None
    base = local or environment.get("XDG_CACHE_HOME")
    home = environment.get("HOME")
    if base:
        return Path(base) / "steadypoint"
    return Path(home) / ".cache" / "steadypoint" if home else None
