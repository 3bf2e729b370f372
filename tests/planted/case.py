"""One mistake, planted by one edit in a copy of a sound library."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias

PUMP = "pump"
BOILER = "boiler"


@dataclass(frozen=True, slots=True)
class Edit:
    """A text that stands once in a file, and what is written in its place."""

    file: str
    old: str
    new: str

    def make(self, folder: Path) -> int:
        """Write it. The line, from 1, on which the new text first differs from the old."""
        path = folder / self.file
        text = path.read_text(encoding="utf-8")
        start = only(text, self.old)
        assert self.old != self.new, self.old
        path.write_text(text[:start] + self.new + text[start + len(self.old) :], encoding="utf-8")
        shortest = min(len(self.old), len(self.new))
        same = next((at for at in range(shortest) if self.old[at] != self.new[at]), shortest)
        return text[:start].count("\n") + self.new[:same].count("\n") + 1


def only(text: str, part: str) -> int:
    """Where a part stands in a text; it must stand there exactly once."""
    assert text.count(part) == 1, f"stands {text.count(part)} times: {part!r}"
    return text.index(part)


@dataclass(frozen=True, slots=True)
class Planted:
    """A mistake: the edit that makes it, the rule that must find it, and where.

    `at` is a text that stands once in `file` (the edited one where it is empty): the problem's line is where it
    starts. Without it the line is the edited one. `first` makes room for the mistake and is sound on its own.
    """

    library: str
    edit: Edit
    rule: str
    at: str = ""
    file: str = ""
    severity: str = "error"
    most: int = 2  # problems; where it is more, they follow from the one mistake, and why is said beside it
    first: Edit | None = None

    @property
    def name(self) -> str:
        """For a test's id."""
        return f"{self.edit.file}: {self.rule}: {' '.join((self.edit.new or self.edit.old).split())[:60]}"

    def plant(self, folder: Path) -> tuple[str, int]:
        """Make the edits in a copy. The file and line where the problem must stand."""
        if self.first:
            self.first.make(folder)
        line = self.edit.make(folder)
        file = self.file or self.edit.file
        if self.at:
            text = (folder / file).read_text(encoding="utf-8")
            line = text[: only(text, self.at)].count("\n") + 1
        return file, line


Planter: TypeAlias = Callable[..., Planted]


def in_file(library: str, file: str, first: Edit | None = None) -> Planter:
    """What makes a table of mistakes in one file short: old text, new text, rule, and what else there is to say."""

    def planted(old: str, new: str, rule: str, **more: Any) -> Planted:
        return Planted(library, Edit(file, old, new), rule, first=first, **more)

    return planted
