"""What stands beside a question: what is still possible, the advice, what is off the car, the way so far. Pure."""

from collections.abc import Iterator
from dataclasses import dataclass

from diagtree.reason.belief import Belief
from diagtree.report import chances
from diagtree.report.lines import join
from diagtree.report.walk import doubt
from diagtree.report.way import off_lines, way_lines
from diagtree.term.thoughts import Thoughts
from diagtree.walk.result import Result, believing
from diagtree.walk.session import Session

_DOTS = 20  # each stands for 5 cars in 100
_WIDE = 60  # columns from which the chances are drawn as well
_WORKING = "being worked out ..."


@dataclass(frozen=True, slots=True)
class Line:
    """A text, and what stands before it."""

    text: str
    head: str = ""


@dataclass(frozen=True, slots=True)
class Section:
    """Lines under a heading."""

    title: str
    lines: tuple[Line, ...]
    warns: bool = False


def sections(session: Session, thoughts: Thoughts, columns: int) -> Iterator[Section]:
    """What is known beside the question, what is needed first first."""
    now = believing(session)
    doubts = doubt(Result(session, now, None, None))
    if doubts:
        yield Section("Doubt", tuple(Line(line) for line in doubts), warns=True)
    if isinstance(now, Belief):
        lines = chances.as_lines(session.case.library, now.by_fault)
        drawn = (
            [_drawn(chance) for _, chance in chances.ranked(now.by_fault)] if columns >= _WIDE else [""] * len(lines)
        )
        shown = tuple(Line(line, head) for line, head in zip(lines, drawn, strict=False))
        yield Section(f"Still possible, of 100 cars like this ({chances.ground(session.tree)})", shown)
    if session.check and session.case.library.engines:
        advice = thoughts.of("advice", session)
        if advice is None or advice:
            yield Section("Advice", tuple(Line(line) for line in (advice if advice is not None else (_WORKING,))))
    off = off_lines(session)
    if off:
        yield Section("Off the car", tuple(Line(line, "-") for line in off))
    way = way_lines(session)
    if way:
        yield Section("The way so far", tuple(Line(line, f"{place}.") for place, line in enumerate(way, start=1)))
    if len(session.known.builds) > 1:
        names = join((build.id for build in session.known.builds), "or")
        yield Section("Build", (Line(f"{names}."),))


def _drawn(chance: float) -> str:
    """A chance as a row of marks, one for each 5 cars; never all or, from 5 in 100 on, none."""
    dots = min(_DOTS - 1, int(chance * _DOTS + 0.5 + 1e-9)) if chance * _DOTS > 1.0 - 1e-9 else 0
    return "#" * dots + "." * (_DOTS - dots)
