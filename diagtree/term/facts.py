"""What stands beside a question: what is still possible, the advice, what is off the car, the way so far. Pure."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, TypeAlias

from diagtree.reason.belief import Belief
from diagtree.report import chances
from diagtree.report.lines import join
from diagtree.report.walk import doubt
from diagtree.report.way import off_lines, way_lines
from diagtree.term.thoughts import Thoughts
from diagtree.walk.result import Result, believing
from diagtree.walk.session import Session

Kind: TypeAlias = Literal["doubt", "possible", "advice", "off", "way", "build"]
_DOTS = 20  # each stands for 5 cars in 100
_WIDE = 60  # columns from which the chances are drawn as well
_WORKING = "By cost alone: being worked out ..."


@dataclass(frozen=True, slots=True)
class Line:
    """A text, and what stands before it."""

    text: str
    head: str = ""


@dataclass(frozen=True, slots=True)
class Section:
    """Lines under a heading."""

    kind: Kind
    title: str
    lines: tuple[Line, ...]
    warns: bool = False
    brief: str = ""  # of an advice: the same in short


def sections(session: Session, thoughts: Thoughts, columns: int) -> Iterator[Section]:
    """What is known beside the question, what is needed first first."""
    now = believing(session)
    doubts = doubt(Result(session, now, None, None))
    if doubts:
        yield Section("doubt", "Doubt", tuple(Line(line) for line in doubts), warns=True)
    if isinstance(now, Belief):
        lines = chances.as_lines(session.case.library, now.by_fault)
        drawn = (
            [_drawn(chance) for _, chance in chances.ranked(now.by_fault)] if columns >= _WIDE else [""] * len(lines)
        )
        shown = tuple(Line(line, head) for line, head in zip(lines, drawn, strict=False))
        yield Section("possible", f"Still possible, of 100 cars like this ({chances.ground(session.tree)})", shown)
    if session.check and session.case.library.engines:
        advice = thoughts.of("advice", session)
        if advice is None or advice:
            said, brief = advice or (_WORKING, _WORKING)
            yield Section("advice", "Advice", (Line(said),), brief=brief)
    off = off_lines(session)
    if off:
        yield Section("off", "Off the car", tuple(Line(line, "-") for line in off))
    way = way_lines(session)
    if way:
        numbered = tuple(Line(line, f"{place}.") for place, line in enumerate(way, start=1))
        yield Section("way", "The way so far", numbered)
    if len(session.known.builds) > 1:
        names = join((build.id for build in session.known.builds), "or")
        yield Section("build", "Build", (Line(f"{names}."),))


def likeliest(session: Session, most: int) -> tuple[str, ...]:
    """The likeliest causes in a few words each; none where the answers contradict."""
    now = believing(session)
    if not isinstance(now, Belief):
        return ()
    library, shown = session.case.library, chances.ranked(now.by_fault)[:most]
    return tuple(f"{chances.in_hundred(chance)} {chances.title(library, cause)}" for cause, chance in shown)


def _drawn(chance: float) -> str:
    """A chance as a row of marks, one for each 5 cars; never all or, from 5 in 100 on, none."""
    dots = min(_DOTS - 1, int(chance * _DOTS + 0.5 + 1e-9)) if chance * _DOTS > 1.0 - 1e-9 else 0
    return "#" * dots + "." * (_DOTS - dots)
