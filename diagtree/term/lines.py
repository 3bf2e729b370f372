"""The walk line by line: from a pipe, or on a terminal that is asked for nothing but lines."""

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from typing import TextIO

from diagtree.measure.trouble import quote
from diagtree.model.library import NOTICE
from diagtree.reason.belief import Belief
from diagtree.report import commands, dialogue
from diagtree.report.advice import hint_lines
from diagtree.report.chances import as_lines, ground, in_hundred, ranked, title
from diagtree.report.lines import COLUMNS
from diagtree.report.question import asked, builds_open, number, told
from diagtree.report.walk import doubt, standing_lines
from diagtree.term.thoughts import PATIENCE, Address, Thoughts, change, why
from diagtree.term.view import read_key
from diagtree.walk import moves
from diagtree.walk.answers import Refused
from diagtree.walk.keeping import Keeper
from diagtree.walk.marks import marks
from diagtree.walk.result import Result, believing
from diagtree.walk.session import Session, acknowledge
from diagtree.walk.warnings import due

PROMPT = "> "
ENDED = "The input has ended. The walk stops here with what is known so far."
STOPPED = "The walk stops here with what is known so far."
_LIKELY = 3  # causes told beside a question
LAST = "Enter ends the walk; 'back' takes the last answer back."
MORE_WORDS = "(help: the other words)"
# Characters of a reply that are read; the rest of the line is passed over.
LONGEST = 10_000


@dataclass(frozen=True, slots=True)
class Streams:
    """Where replies come from and where words go."""

    replies: TextIO
    out: TextIO  # questions
    err: TextIO  # `stop` cautions and refusals
    terminal: bool  # whether somebody types: cautions wait to be read, and nothing is echoed
    columns: int = COLUMNS  # of what shows the words


@dataclass(frozen=True, slots=True)
class _Left(Exception):  # noqa: N818  # no error: somebody wished to leave, or the input ended
    session: Session
    said: str = ENDED


def walk(
    session: Session,
    streams: Streams,
    keeper: Keeper | None = None,
    address: Address | None = None,
) -> Session:
    """Ask until an outcome or the end of the input; the walk as it then stands.

    Args:
        session: where it begins.
        streams: of words.
        keeper: what is told of each step.
        address: of a tree, where its nodes stand on the poster.
    """
    return _Walk(streams, keeper, address).run(session)


class _Walk:
    """A walk going on: whom to tell, and where."""

    def __init__(self, streams: Streams, keeper: Keeper | None, address: Address | None) -> None:
        self.streams = streams
        self.keeper = keeper
        self.thoughts = Thoughts(address)

    def run(self, session: Session) -> Session:
        head = dialogue.head(session.tree.title, session.tree.covers, NOTICE)
        self._tell((*head, *_builds(session), *(self.keeper.news if self.keeper else ())))
        before: Session | None = None
        try:
            while True:
                self._tell(_news(before, session))
                session = before = self._warned(session)
                session = self._question(session) if session.check else self._end(session)
        except _Left as left:
            if left.said:
                self._say(f"\n{left.said}\n")
            return left.session

    def _kept(self, before: Session, after: Session, typed: str = "") -> Session:
        """The session to go on with, once the step was kept."""
        if not self.keeper:
            return after
        found = self.keeper.keep(before, after, typed)
        self._tell([found.say] if found.say else [])
        return found.session

    def _warned(self, session: Session) -> Session:
        """The walk once its `stop` cautions were shown, on a terminal acknowledged one by one."""
        while found := due(session):
            self._complain(dialogue.fold([dialogue.caution(found[0].caution)], self.streams.columns).rstrip("\n"))
            if self.streams.terminal:
                self._acknowledged(session)
            session = self._kept(session, acknowledge(session, found[0].keys))
        return session

    def _acknowledged(self, session: Session) -> None:
        """Wait for the key of this caution: the next one has another, so that nothing held down passes both."""
        wanted = read_key(session)
        forget_typed(self.streams.replies)
        while True:
            self._say(f"Type {wanted} and Enter when you have read this. ")
            text = self._reply(session).strip().lower()
            if text == wanted:
                return
            if text.removeprefix(moves.COMMAND) == commands.QUIT:
                raise _Left(session, STOPPED)

    def _question(self, session: Session) -> Session:
        """The walk after a reply that was taken."""
        while shown := asked(session):
            here = "".join(self.thoughts.of("address", session) or ())
            lines = dialogue.question(shown, number(session), self.streams.columns)
            lines += [f"   {here} on the poster."] if here else []
            self._tell([*lines, *_so_far(session)])
            self._say(f"{MORE_WORDS}\n{PROMPT}" if self.streams.terminal else "")
            text = self._reply(session)
            after = self._taken(session, text)
            if after:
                return after
        return session

    def _taken(self, session: Session, text: str) -> Session | None:
        """The walk after a reply; None where it changed nothing, and what it asked for was told."""
        if self._told(session, text):
            return None
        after = moves.answer(session, text)
        if isinstance(after, Refused):
            self._refuse(after)
            return None
        return self._kept(session, after, text)

    def _told(self, session: Session, text: str) -> bool:
        """Whether a word was one that only tells something, or leaves. An answer's id comes before it."""
        word = text.strip().lower()
        if session.check and session.check.answer(word):
            return False
        word = word.removeprefix(moves.COMMAND).strip()
        if word == commands.QUIT:
            raise _Left(session, STOPPED)
        if word in commands.TOLD:
            possible = _possible(session) if word == "info" else []
            self._tell(["", *possible, *commands.told_by(word, session, self.streams.columns)])
        elif word in {"why", "change"}:
            self._tell(["", *(why if word == "why" else change)(session, PATIENCE)])
        else:
            return False
        return True

    def _end(self, session: Session) -> Session:
        """At an outcome, or where there is no way on: the walk after what takes it on from there.

        More lines are read, so that a pipe too can take its last answer back or note something; a line that is none of
        this ends the walk of a pipe. Whoever types is asked again, as a slip of the finger is no wish to leave.
        """
        if self.streams.terminal:
            self._tell(("", *standing_lines(session)))
        while True:
            if self.streams.terminal:
                self._say(f"{LAST}\n{PROMPT}")
            text = self._reply(session, ended="")
            if not text:
                raise _Left(session, "")
            if self._told(session, text):
                continue
            after = moves.answer(session, text)
            if not isinstance(after, Refused):
                return self._kept(session, after, text)
            if not self.streams.terminal:
                self._complain(f"The walk has ended: {quote(text)} and what follows it were not read.")
                raise _Left(session, "")
            self._refuse(after)

    def _reply(self, session: Session, ended: str = ENDED) -> str:
        """The next line, on a pipe past empty lines and those that start with #.

        Raises:
            _Left: the input has ended.
        """
        while line := _line(self.streams.replies):
            text = line.strip()
            if self.streams.terminal:
                return text
            if text and not text.startswith("#"):
                self._say(f"{PROMPT}{quote(text)[1:-1]}\n")
                return text
        raise _Left(session, ended)

    def _tell(self, lines: "Iterator[str] | list[str] | tuple[str, ...]") -> None:
        self._say(dialogue.fold(lines, self.streams.columns))

    def _say(self, text: str) -> None:
        if text:
            self.streams.out.write(text)
            self.streams.out.flush()

    def _refuse(self, refused: Refused) -> None:
        """Why a reply was not taken: a line of its own in a pipe, wrapped for whoever reads it."""
        if self.streams.terminal:
            self._complain(dialogue.fold([refused.sentence], self.streams.columns).rstrip("\n"))
        else:
            self._complain(refused.sentence)

    def _complain(self, sentence: str) -> None:
        self.streams.err.write(sentence + "\n")
        self.streams.err.flush()


def _line(replies: TextIO) -> str:
    """A line, of which no more is kept than any reply has; '' at the end of the input."""
    line = kept = replies.readline(LONGEST)
    while line and not line.endswith("\n"):
        line = replies.readline(LONGEST)
    return kept


def forget_typed(replies: TextIO) -> None:
    """Drop what was typed before a caution was shown: it was not meant for it."""
    with suppress(ImportError, ValueError, OSError, AttributeError):
        import termios

        termios.tcflush(replies.fileno(), termios.TCIFLUSH)


def _builds(session: Session) -> list[str]:
    """How to tell which build it is, where that is open."""
    told_by = [f"Once seen, type it at any question, such as {mark.feature}={mark.value}." for mark in marks(session)]
    return [*builds_open(session), *told_by[:1]]


def _news(before: Session | None, session: Session) -> Iterator[str]:
    """What the last reply came to, and the cautions of a tree that is new."""
    yield from told(before, session)
    shown = asked(session)
    if shown and (not before or before.tree != session.tree):
        yield from (dialogue.caution(one) for one in shown.throughout if one.level != "stop")
    if before and before.known.findings != session.known.findings and not _doubt(before):
        yield from _doubt(session)


def _doubt(session: Session) -> list[str]:
    return doubt(Result(session, believing(session), None, None))


def _so_far(session: Session) -> list[str]:
    """What the answers so far leave likely, and the advice."""
    now = believing(session)
    if not isinstance(now, Belief):
        return []
    likely = [f"{in_hundred(chance)} {title(session.case.library, cause)}" for cause, chance in ranked(now.by_fault)]
    return [
        "",
        f"   Likeliest, of cars like this: {'; '.join(likely[:_LIKELY])}.",
        *(f"   {line}" for line in hint_lines(session)),
    ]


def _possible(session: Session) -> list[str]:
    """All that is still possible."""
    now = believing(session)
    if not isinstance(now, Belief):
        return _doubt(session)
    rows = as_lines(session.case.library, now.by_fault)
    return [
        f"Still possible, of 100 cars like this ({ground(session.tree)}):",
        *(f"   {row}" for row in rows),
        *hint_lines(session),
    ]
