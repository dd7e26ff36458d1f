"""Writing files so that a reader never finds half of one."""

from __future__ import annotations

import contextlib
import errno
import os
from pathlib import Path

from steadypoint.errors import OutputError


def write_atomic(path: str | os.PathLike[str], content: bytes) -> Path:
    """Write a file whole or not at all.

    The bytes go to a temporary file in the same folder, which then takes the place of the old file
    in one step. When anything fails, the old file stays as it was and no rest is left behind.

    Parameters
    ----------
    path : str or path-like
        File to write. Its folder must exist.
    content : bytes
        All of its content.

    Returns
    -------
    pathlib.Path
        The path that was written.

    Raises
    ------
    OutputError
        If the file cannot be written: no folder, no permission, a folder of that name, a full disk.
    """
    target = Path(path)
    # The functions of os.path say no where those of Path raise, for instance on too long a name.
    if os.path.isdir(target):  # noqa: PTH112
        raise OutputError(
            f"{target} is a folder, so no file can be written there. Name a file inside it."
        )
    if not target.name or "\0" in target.name:
        raise OutputError(f"'{target}' is no file name. Name a file to write.")
    is_link = os.path.islink(target)  # noqa: PTH114
    target = Path(os.path.realpath(target)) if is_link else target
    part = target.with_name(f".{target.name[:80]}.{os.getpid()}.part")
    try:
        _write_part(part, content)
        part.replace(target)
    except OSError as fault:
        with contextlib.suppress(OSError):
            part.unlink()
        raise OutputError(_sentence(target, fault)) from fault
    return Path(path)


def _write_part(part: Path, content: bytes) -> None:
    descriptor = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o666)
    with os.fdopen(descriptor, "wb") as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())


def _sentence(target: Path, fault: OSError) -> str:
    folder = target.parent
    if fault.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return (
            f"{target} cannot be written: no permission in {folder}. Choose a folder of your own."
        )
    if fault.errno == errno.ENOENT:
        return f"{target} cannot be written: there is no folder {folder}. Make it first."
    if fault.errno == errno.ENOTDIR:
        return f"{target} cannot be written: {folder} is a file, not a folder. Choose another one."
    if fault.errno in (errno.ENOSPC, errno.EDQUOT):
        return f"{target} cannot be written: the disk is full. Free some space, then try again."
    if fault.errno == errno.ENAMETOOLONG:
        return f"{target.name[:40]}... is too long for a file name. Choose a shorter one."
    return f"{target} cannot be written: {(fault.strerror or 'unknown fault').lower()}."


def make_folder(path: str | os.PathLike[str]) -> Path:
    """Make a folder, with the folders above it, unless it is there.

    Parameters
    ----------
    path : str or path-like
        Folder to make.

    Returns
    -------
    pathlib.Path
        The folder.

    Raises
    ------
    OutputError
        If a file is in the way or the place is not writable.
    """
    folder = Path(path)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except FileExistsError as fault:
        raise OutputError(f"{folder} is a file, not a folder. Choose another one.") from fault
    except OSError as fault:
        raise OutputError(_sentence(folder, fault)) from fault
    return folder
