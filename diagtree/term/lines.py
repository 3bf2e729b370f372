"""The walk line by line: from a pipe, or on a terminal that is asked for nothing but lines."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TextIO

from diagtree.measure.trouble import quote
from diagtree.model.library import NOTICE
from diagtree.reason.belief import Belief
from diagtree.report import dialogue
from diagtree.report.advice import hint_lines
from diagtree.report.chances import in_hundred, ranked, title
from diagtree.report.lines import COLUMNS
from diagtree.report.question import asked, builds_open, number, told
from diagtree.report.walk import doubt, standing_lines
from diagtree.walk import moves
from diagtree.walk.answers import Refused
from diagtree.walk.marks import marks
from diagtree.walk.result import Result, believing
from diagtree.walk.session import Session, acknowledge
from diagtree.walk.warnings import due

PROMPT = "> "
ENDED = "The input has ended. The walk stops here with what is known so far."
_LIKELY = 3  # causes told beside a question
READ_IT = "Press Enter when you have read this. "
LAST = "Enter ends the walk; 'back' takes the last answer back."


@dataclass(frozen=True, slots=True)
class Streams:
    """Where replies come from and where words go."""

    replies: TextIO
    out: TextIO  # questions
    err: TextIO  # `stop` cautions and refusals
    terminal: bool  # whether somebody types: cautions wait for Enter, and nothing is echoed
    columns: int = COLUMNS  # of what shows the words


def walk(session: Session, streams: Streams) -> Session:
    """Ask until an outcome or the end of the input; the walk as it then stands."""
    head = dialogue.head(session.tree.title, session.tree.covers, NOTICE)
    _say(streams, dialogue.fold((*head, *_builds(session)), streams.columns))
    before: Session | None = None
    while True:
        _say(streams, dialogue.fold(_news(before, session), streams.columns))
        warned = _warn(session, streams)
        if warned is None:
            return _ended(session, streams)
        session = before = warned
        after = _question(session, streams) if session.check else _end(session, streams)
        if after is None:
            return session
        session = after


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


def _warn(session: Session, streams: Streams) -> Session | None:
    """The walk once its `stop` cautions were shown, on a terminal acknowledged; None where the input ended first."""
    for one in due(session):
        _complain(streams, dialogue.fold([dialogue.caution(one.caution)], streams.columns).rstrip("\n"))
        if streams.terminal:
            _say(streams, READ_IT)
            if not streams.replies.readline():
                return None
        session = acknowledge(session, one.keys)
    return session


def _question(session: Session, streams: Streams) -> Session | None:
    """The walk after a reply that was taken; None where the input ended."""
    shown = asked(session)
    while shown:
        lines = [*dialogue.question(shown, number(session), streams.columns), *_so_far(session)]
        _say(streams, dialogue.fold(lines, streams.columns) + (PROMPT if streams.terminal else ""))
        text = _reply(streams)
        if text is None:
            _ended(session, streams)
            return None
        after = moves.answer(session, text)
        if isinstance(after, Session):
            return after
        _refuse(streams, after)
    return None


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


def _end(session: Session, streams: Streams) -> Session | None:
    """At an outcome, or where there is no way on: the walk after `back`, None where it stays ended.

    One more line is read, so that a pipe too can take its last answer back; any other line of a pipe ends the walk.
    Whoever types is asked again, as a slip of the finger is no wish to leave.
    """
    if streams.terminal:
        _say(streams, dialogue.fold(("", *standing_lines(session)), streams.columns))
    while True:
        if streams.terminal:
            _say(streams, f"{LAST}\n{PROMPT}")
        text = _reply(streams)
        if not text:
            return None
        after = moves.answer(session, text)
        if not isinstance(after, Refused):
            return after
        if not streams.terminal:
            _complain(streams, f"The walk has ended: {quote(text)} and what follows it were not read.")
            return None
        _refuse(streams, after)


def _reply(streams: Streams) -> str | None:
    """The next line, on a pipe past empty lines and those that start with #; None where the input has ended."""
    while line := streams.replies.readline():
        text = line.strip()
        if streams.terminal:
            return text
        if text and not text.startswith("#"):
            _say(streams, f"{PROMPT}{quote(text)[1:-1]}\n")
            return text
    return None


def _ended(session: Session, streams: Streams) -> Session:
    _say(streams, f"\n{ENDED}\n")
    return session


def _say(streams: Streams, text: str) -> None:
    if text:
        streams.out.write(text)
        streams.out.flush()


def _refuse(streams: Streams, refused: Refused) -> None:
    """Why a reply was not taken: a line of its own in a pipe, wrapped for whoever reads it."""
    if streams.terminal:
        _complain(streams, dialogue.fold([refused.sentence], streams.columns).rstrip("\n"))
    else:
        _complain(streams, refused.sentence)


def _complain(streams: Streams, sentence: str) -> None:
    streams.err.write(sentence + "\n")
    streams.err.flush()
