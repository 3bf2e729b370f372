"""Writing an author's files: all of them or none, and never over one that is there."""

import os
import shutil
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from secrets import token_hex


def new_folder(folder: Path, texts: Mapping[str, str]) -> str | None:
    """Make a folder with these files (name -> text). An empty folder that is there already is filled.

    Returns:
        None, or the sentence that says why nothing was written.
    """
    try:
        if _taken(folder):
            return f"'{folder}' is there already, and not an empty folder. Name a new one: nothing is overwritten."
        if folder.is_dir():
            _fill(folder, texts)
        else:
            _make(folder, texts)
    except (OSError, ValueError) as error:
        return _refusal(folder, error)
    return None


def new_files(folder: Path, texts: Mapping[str, str]) -> str | None:
    """Add files (name -> text) to a folder that is there. Returns as `new_folder` does."""
    try:
        taken = next((folder / name for name in texts if os.path.lexists(folder / name)), None)
        if taken is not None:
            return f"'{taken}' is there already. Choose another name: nothing is overwritten."
        _fill(folder, texts)
    except (OSError, ValueError) as error:
        return _refusal(folder, error)
    return None


def _taken(folder: Path) -> bool:
    if not os.path.lexists(folder):
        return False
    return not folder.is_dir() or any(folder.iterdir())


def _refusal(place: Path, error: Exception) -> str:
    reason = (getattr(error, "strerror", None) or "its name can't be used").lower()
    return f"'{place}' can't be written: {reason}. Nothing was written. Name a place in a folder that takes files."


def _make(folder: Path, texts: Mapping[str, str]) -> None:
    """A folder that comes into being with everything in it: written beside it, then renamed."""
    drafts = _drafts(folder.absolute().parent, texts)
    try:
        drafts.rename(folder)  # fails where something has come there meanwhile
    finally:
        shutil.rmtree(drafts, ignore_errors=True)


def _fill(folder: Path, texts: Mapping[str, str]) -> None:
    """Files in a folder that stays the same one: a shell may stand in it. All are written before the first is seen."""
    drafts = _drafts(folder.absolute(), texts)
    placed: list[Path] = []
    try:
        for name in texts:
            _place(drafts / name, folder / name)
            placed.append(folder / name)
    except BaseException:
        for path in placed:
            with suppress(OSError):
                path.unlink()
        raise
    finally:
        shutil.rmtree(drafts, ignore_errors=True)


def _drafts(parent: Path, texts: Mapping[str, str]) -> Path:
    """A folder of the files under a passing name. It begins with a dot: reading a library passes it over."""
    drafts = parent / f".diagtree-{token_hex(6)}.part"
    drafts.mkdir()
    try:
        for name, text in texts.items():
            with (drafts / name).open("x", encoding="utf-8", newline="\n") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())  # a full disk must be met before anything is renamed
    except BaseException:
        shutil.rmtree(drafts, ignore_errors=True)
        raise
    return drafts


def _place(draft: Path, path: Path) -> None:
    """Give a file its name; FileExistsError where the name is taken, also since it was last looked at."""
    try:
        os.link(draft, path)
    except FileExistsError:
        raise
    except OSError:  # a file system without links
        with path.open("x"):
            pass
        draft.replace(path)
