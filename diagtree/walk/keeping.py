"""What keeps a walk while it goes on. The walk tells it of each step; how and where it is kept is its own business.

Whoever asks the questions (`term.lines.walk`, `term.screen.walk`) takes `keeper: Keeper | None`. It shows `news` with
the first question, calls `keep` once after every step that was taken (a reply, `back`, an answer revised, a note, a
caution acknowledged) and before the next question is shown, goes on with the session that `keep` hands back, and shows
what it says beside that question. `keep` raises nothing for a full disk or a lost server.
"""

from dataclasses import dataclass
from typing import Protocol

from diagtree.walk.session import Session


@dataclass(frozen=True, slots=True)
class Kept:
    """What came of keeping a step."""

    session: Session  # to go on with: the one given, unless another bench went on with the same job meanwhile
    say: str = ""  # a sentence or two to show: the job's number at first, not saved yet, another bench went on


class Keeper(Protocol):
    """Keeps a walk as it goes."""

    @property
    def news(self) -> tuple[str, ...]:
        """What to tell with the first question: which job goes on, what no longer fits, from when a check is ready."""

    def keep(self, before: Session, after: Session, typed: str = "") -> Kept:
        """Keep what changed between two states of a walk.

        Args:
            before: the state that was shown.
            after: the state that the step led to.
            typed: what was typed, as it was typed; empty where an answer was pointed at.
        """


@dataclass(frozen=True, slots=True)
class Unrecorded:
    """Keeps nothing, and has something to tell all the same."""

    news: tuple[str, ...]

    def keep(self, before: Session, after: Session, typed: str = "") -> Kept:
        """Nothing is kept, and the walk goes on."""
        del before, typed
        return Kept(after)
