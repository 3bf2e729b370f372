"""Files of a library as they are to be: told as a patch, or put in the place of those that are there, all or none."""

import os
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from difflib import unified_diff
from pathlib import Path
from secrets import token_hex

_MARK = "\ufeff".encode()
_UNENDED = "\n\\ No newline at end of file\n"


@dataclass(frozen=True, slots=True)
class Change:
    """A file before and after, byte for byte."""

    path: Path
    before: bytes
    after: bytes


def change(path: Path, before: str, after: str) -> Change | str:
    """A file as it was read and as it is to be; a byte order mark stays. A sentence where it holds something else."""
    try:
        held = path.read_bytes()
    except (OSError, ValueError) as error:
        return f"{_shown(path)} can't be read ({_reason(error)}): nothing was written."
    mark = _MARK if held.startswith(_MARK) else b""
    if held != mark + before.encode():
        return f"{_shown(path)} has changed meanwhile: nothing was written. Try again."
    return Change(path, held, mark + after.encode())


def difference(changes: Iterable[Change], root: Path) -> str:
    """The changes as a patch for `patch -p1` or `git apply` in the folder `root`: line ends and marks stay."""
    return "".join(line for one in changes for line in _lines(one, root))


def _lines(one: Change, root: Path) -> Iterator[str]:
    name = Path(os.path.relpath(one.path, root)).as_posix()
    tail = "\t" if " " in name else ""  # else a name with a blank ends there
    texts = [data.decode().split("\n") for data in (one.before, one.after)]
    # What stands behind the last line end is a line only where there is something.
    before, after = ([f"{line}\n" for line in text[:-1]] + [line for line in text[-1:] if line] for text in texts)
    for line in unified_diff(before, after, f"a/{name}{tail}", f"b/{name}{tail}"):
        yield line if line.endswith("\n") else f"{line}{_UNENDED}"


def replace_all(changes: Iterable[Change]) -> str:
    """Put every file in its place, or none.

    Returns:
        '', or the sentence that says why nothing was written; it names what could not be put back, if that is so.
    """
    listed = tuple(changes)
    drafts: dict[Path, Path] = {}
    placed: list[Change] = []
    try:
        for one in listed:
            drafts[one.path] = _draft(one.path, one.after)
        for one in listed:
            placed.append(one)  # before it is: an interrupt may come between
            drafts[one.path].replace(_target(one.path))
    except OSError as error:
        stuck = _back(placed)
        whose = _shown(
            next((one.path for one in listed if one.path not in drafts), placed[-1].path if placed else "it")
        )
        kept = f"These could not be put back: {', '.join(stuck)}." if stuck else "No file was changed."
        return f"{whose} can't be written ({_reason(error)}). {kept}"
    except BaseException:
        _back(placed)
        raise
    finally:
        for draft in drafts.values():
            with suppress(OSError):
                draft.unlink()
    return ""


def _draft(path: Path, data: bytes) -> Path:
    """The file under a passing name beside it. It begins with a dot: reading a library passes it over."""
    target = _target(path)
    if not os.access(target, os.W_OK):
        raise PermissionError(13, "it may not be written")
    draft = target.with_name(f".diagtree-{token_hex(6)}.part")
    try:
        with draft.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())  # a full disk must be met before anything is renamed
        draft.chmod(target.stat().st_mode & 0o777)
    except BaseException:
        with suppress(OSError):
            draft.unlink()
        raise
    return draft


def _back(placed: Iterable[Change]) -> list[str]:
    """Put the files back as they were; the names of those that can't be."""
    stuck = []
    for one in placed:
        try:
            if one.path.read_bytes() != one.before:
                _draft(one.path, one.before).replace(_target(one.path))
        except OSError:
            stuck.append(_shown(one.path))
    return stuck


def _target(path: Path) -> Path:
    return Path(os.path.realpath(path))  # a link stays a link


def _shown(path: Path | str) -> str:
    return "".join(c if c.isprintable() else "?" for c in str(path))


def _reason(error: Exception) -> str:
    return (getattr(error, "strerror", None) or "its name can't be used").lower()
