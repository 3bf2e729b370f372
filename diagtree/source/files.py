"""Finding a library's files, and their text."""

import os
import stat
from collections.abc import Iterator

from diagtree.model.problem import Place, Problem, problem
from diagtree.source.nodes import Text

LARGEST = 64 * 1024 * 1024  # bytes in one file
# Lines and values in one file, taken for as many as there are line ends, commas and brackets: what memory can hold.
MOST_VALUES = 600_000
_ENDINGS = (".yaml", ".yml")


def find(path: str, problems: list[Problem]) -> list[str]:
    """The library's files, sorted: the file itself, or every `*.yaml` and `*.yml` below a folder.

    Names that begin with a dot are left out: they are other programs' settings.
    """
    try:
        mode = os.stat(path).st_mode  # noqa: PTH116
    except (OSError, ValueError) as error:
        problems.append(_unreadable(path, error))
        return []
    if not stat.S_ISDIR(mode):
        return [path]
    found = sorted(_below(path, problems, set()))
    if not found and not problems:
        message = "No *.yaml file stands in this folder. Name a library's folder or file."
        problems.append(problem(Place(path, 1, 1, 1, 1), "empty-library", message))
    return found


def _below(folder: str, problems: list[Problem], seen: set[tuple[int, int]]) -> Iterator[str]:
    try:
        here = os.stat(folder)  # noqa: PTH116
        if (here.st_dev, here.st_ino) in seen:  # a link that leads back
            return
        seen.add((here.st_dev, here.st_ino))
        entries = sorted(os.scandir(folder), key=lambda entry: entry.name)
    except OSError as error:
        problems.append(_unreadable(folder, error))
        return
    for entry in entries:
        if entry.name.startswith("."):
            continue
        try:
            is_folder = entry.is_dir()
        except OSError:
            is_folder = False
        if is_folder:
            yield from _below(entry.path, problems, seen)
        elif entry.name.endswith(_ENDINGS):
            yield entry.path


def read(path: str, problems: list[Problem]) -> Text | None:
    """A file's text, or None with the reason in `problems`."""
    shown = display(path)
    try:
        content = _bytes(path)
    except (OSError, ValueError) as error:
        problems.append(_unreadable(path, error))
        return None
    if isinstance(content, str):
        problems.append(problem(Place(shown, 1, 1, 1, 1), "unreadable-file", content))
        return None
    try:
        decoded = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        problems.append(_not_utf8(shown, content, error))
        return None
    if len(decoded) > MOST_VALUES and sum(map(decoded.count, ",[{\n")) > MOST_VALUES:
        message = f"This file holds more than {MOST_VALUES} lines and values. Split it."
        problems.append(problem(Place(shown, 1, 1, 1, 1), "too-large", message))
        return None
    return Text(shown, decoded)


def _bytes(path: str) -> bytes | str:
    """The bytes, or the sentence that says why not. Looked at before it is opened: a pipe would wait for ever."""
    status = os.stat(path)  # noqa: PTH116
    if not stat.S_ISREG(status.st_mode):
        return "This is no plain file. Name a YAML file or a folder of them."
    if status.st_size > LARGEST:
        return f"This file is larger than {LARGEST // 2**20} MB. Split it."
    with open(path, "rb") as file:  # noqa: PTH123  # pathlib takes 3 ms to import
        return file.read()


def display(path: str) -> str:
    """A path as messages show it: nothing in it that a terminal would obey."""
    return "".join(c if c.isprintable() else "?" for c in path.encode("utf-8", "replace").decode("utf-8", "replace"))


def _unreadable(path: str, error: Exception) -> Problem:
    reason = getattr(error, "strerror", None) or "its name can't be used"
    message = f"This can't be read: {reason}. Check the path and its permissions."
    return problem(Place(display(path), 1, 1, 1, 1), "unreadable-file", message)


def _not_utf8(shown: str, content: bytes, error: UnicodeDecodeError) -> Problem:
    before = content[: error.start]
    line = before.count(b"\n") + 1
    column = len(before.rpartition(b"\n")[2].decode("utf-8", "replace")) + 1
    message = "This is not UTF-8 text from here on. Save the file as UTF-8."
    return problem(Place(shown, line, column, line, column + 1), "not-utf8", message)
