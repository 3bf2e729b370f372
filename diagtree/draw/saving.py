"""Writing a file whole or not at all."""

import contextlib
import os
import tempfile
from pathlib import Path

from diagtree.draw.refusal import Refusal


def save(path: Path, data: bytes) -> Refusal | None:
    """Write `data` beside `path`, then put it in its place: nobody ever reads half a file.

    Returns:
        None, or a sentence where the folder or the disk does not take it; nothing is left behind then.
    """
    try:
        target = Path(os.path.realpath(path))  # a link stays a link
        if target.exists() and not target.is_file():
            return Refusal(f"{path} is there and is no plain file: name another.")
        _replace(target, data)
    except OSError as error:
        reason = error.strerror or type(error).__name__
        return Refusal(f"{path} cannot be written ({reason.lower()}): name a file in a folder that you may write to.")
    return None


def _replace(path: Path, data: bytes) -> None:
    handle, name = tempfile.mkstemp(prefix=f".{path.name[:40]}.", suffix=".part", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        # A temporary file is private: give it what a plain new file would have had.
        Path(name).chmod(_mode(path))
        Path(name).replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(name).unlink()
        raise


def _mode(path: Path) -> int:
    """The mode of the file that is there; else what the process gives a new one."""
    with contextlib.suppress(OSError):
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
