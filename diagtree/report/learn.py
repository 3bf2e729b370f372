"""What closed jobs say of the author's numbers, as text and JSON."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from diagtree.learning.cases import Unfit
from diagtree.learning.drift import Drift
from diagtree.learning.flips import Flip
from diagtree.learning.proposal import Number, Proposal
from diagtree.learning.standing import Entry
from diagtree.model.library import NOTICE, Library
from diagtree.model.problem import Problem
from diagtree.report import chances
from diagtree.report.lines import COLUMNS, join, wrap
from diagtree.source.patching import written
from diagtree.source.reader import Read

_MOST = 40  # of a list that people read; more are counted


@dataclass(frozen=True, slots=True)
class Effect:
    """What comes of the numbers once they are written."""

    texts: Mapping[str, str]  # of the files that change, as they would be
    flips: tuple[Flip, ...]
    problems: tuple[Problem, ...]  # that `vet` would find, and does not find now


@dataclass(frozen=True, slots=True)
class Lesson:
    """All that is told."""

    found: Read  # the library, as it is
    jobs: int  # closed jobs that were counted
    strength: float
    proposal: Proposal
    drifts: tuple[Drift, ...]
    effect: Effect
    unfit: Unfit
    unread: int  # answers that today's library can't read
    stuck: tuple[Entry, ...] = ()  # that can't be written where they stand

    @property
    def library(self) -> Library:
        """The library, as it is."""
        return self.found.library


def as_json(lesson: Lesson) -> str:
    """One JSON object."""
    data: dict[str, Any] = {
        "jobs": lesson.jobs,
        "strength": lesson.strength,
        "changes": [_number(one) for one in lesson.proposal.numbers],
        "seldom": lesson.proposal.seldom,
        "unwritten": [
            {"check": one.check, "row": one.cause, "answer": one.answer, "probability": one.learned, "cars": one.cars}
            for one in lesson.proposal.unwritten
        ],
        "drift": [
            {
                "check": one.check,
                "row": one.cause,
                "by": one.by,
                "groups": {name: {"cars": one.cars[name], "answers": _named(lesson, one, name)} for name in one.shares},
                "chance": one.chance,
            }
            for one in lesson.drifts
        ],
        "advice": [
            {
                "tree": one.tree,
                "engine": one.engine,
                "build": one.build,
                "node": one.node,
                "answers": dict(one.answers),
                "share": one.share,
                "before": one.before,
                "after": one.after,
            }
            for one in lesson.effect.flips
        ],
        "closed_jobs": [
            {"tree": one.tree, "before": one.before, "after": one.after, "written": one.place is not None}
            for one in lesson.proposal.grounds
        ],
        "by_hand": [
            {"check": check or None, "tree": tree or None, "row": row or None} for check, tree, row in lesson.stuck
        ],
        "problems": [
            {"rule": one.rule, "severity": one.severity, "file": one.file, "line": one.line, "message": one.message}
            for one in lesson.effect.problems
        ],
        "unfit": dict(lesson.unfit.reasons),
        "unread": lesson.unread,
        "notice": NOTICE,
    }
    return json.dumps(data, indent=2, allow_nan=False) + "\n"


def as_text(lesson: Lesson, columns: int = COLUMNS) -> str:
    """For people: what would change and how sure it is, what drifts, which advice turns out otherwise."""
    blocks = [
        _head(lesson),
        _changes(lesson),
        _drifting(lesson),
        _advice(lesson),
        _vetted(lesson),
        _grounds(lesson),
        _left_out(lesson),
        [NOTICE],
    ]
    return "\n\n".join("\n".join(_folded(block, columns)) for block in blocks if block) + "\n"


def _folded(block: Iterable[str], columns: int) -> list[str]:
    lines = []
    for text in block:
        margin = " " * (len(text) - len(text.lstrip(" ")))
        lines += [margin + line for line in wrap(text, columns - len(margin))]
    return lines


def _head(lesson: Lesson) -> list[str]:
    jobs = f"{lesson.jobs} closed job{'' if lesson.jobs == 1 else 's'}"
    if not lesson.jobs:
        return ["There are no closed jobs to learn from. `diagtree jobs close` tells what was found."]
    worth = f"An author's number counts as {lesson.strength:g} cars (--strength)."
    return [f"From {jobs}. {worth}"]


def _changes(lesson: Lesson) -> list[str]:
    numbers = lesson.proposal.numbers
    if not lesson.jobs:
        return []
    if not numbers:
        return ["No number moves far enough to be changed."]
    lines = [f"{len(numbers)} number{'s' if len(numbers) > 1 else ''} would change:"]
    for one in numbers[:_MOST]:
        lines += [f"- {_what(lesson, one)}: {written(one.before)} -> {written(one.after)}.", f"  {_sure(one)}"]
    return [*lines, *_more(numbers)]


def _what(lesson: Lesson, one: Number) -> str:
    place = f"{one.place.file}:{one.place.line}"
    if one.check:
        cause = chances.title(lesson.library, one.cause) if one.cause != "default" else "any other cause"
        return f"{place}: '{one.answer}' to '{one.check}' with '{cause}'"
    cause = chances.title(lesson.library, one.cause)
    return f"{place}: weight of '{cause}'{f' ({one.answer})' if one.answer else ''} in '{one.tree}'"


def _sure(one: Number) -> str:
    of = f"{one.cars:.0f} car{'' if round(one.cars) == 1 else 's'}"
    low, high = 100 * one.low, 100 * one.high
    return f"{100 * one.chance:.1f} in 100 -> {100 * one.learned:.1f} ({low:.1f} to {high:.1f}), from {of}."


def _drifting(lesson: Lesson) -> list[str]:
    lines = []
    for one in lesson.drifts[:_MOST]:
        cause = "any other cause" if one.cause == "default" else f"'{chances.title(lesson.library, one.cause)}'"
        groups = join(f"{name}: {_shares(lesson, one, name)} ({one.cars[name]} cars)" for name in one.shares)
        lines.append(f"- '{one.check}' with {cause} differs by {one.by}: {groups}.")
    if not lines:
        return []
    return [
        "One number hides two here. Write a check or a fault of its own for the group:",
        *lines,
        *_more(lesson.drifts),
    ]


def _shares(lesson: Lesson, one: Drift, group: str) -> str:
    return ", ".join(f"{answer} {100 * share:.0f}" for answer, share in _named(lesson, one, group).items())


def _named(lesson: Lesson, one: Drift, group: str) -> dict[str, float]:
    answers = [answer.id for answer in lesson.library.checks[one.check].answers]
    return dict(zip(answers, one.shares[group], strict=True))


def _advice(lesson: Lesson) -> list[str]:
    if not lesson.effect.flips:
        return ["No advice of a tree would turn out otherwise (looking one check ahead)."] if lesson.jobs else []
    lines = ["The advice would turn out otherwise (looking one check ahead):"]
    for one in lesson.effect.flips[:_MOST]:
        before, after = (f"'{name}'" if name else "stop and repair" for name in (one.before, one.after))
        where = f"{one.tree}, {one.engine} {one.build}, at '{one.node}' ({chances.in_hundred(one.share)} visits)"
        lines.append(f"- {where}: {before} -> {after}.")
    return [*lines, *_more(lesson.effect.flips)]


def _vetted(lesson: Lesson) -> list[str]:
    """What `vet` would find then, and does not find now."""
    new = lesson.effect.problems
    if not new:
        return []
    lines = [f"- {one.file}:{one.line}: {one.severity}: {one.message} [{one.rule}]" for one in new[:_MOST]]
    return ["`vet` would find, and does not find now:", *lines, *_more(new)]


def _grounds(lesson: Lesson) -> list[str]:
    """On how many jobs figures rest: where that can be written, and where some are about to be counted twice."""
    lines = []
    for one in lesson.proposal.grounds:
        if one.before:
            lines.append(
                f"The figures of '{one.tree}' rest on {one.before} closed jobs already. Learn from the author's own "
                "figures, as they were before, or the same cars count twice."
            )
        if one.place is None:
            lines.append(
                f"'{one.tree}' does not say on how many jobs its figures rest. Once they are changed, give it "
                f"`closed-jobs: {one.after}`: walks and estimates tell it."
            )
    return lines


def _left_out(lesson: Lesson) -> list[str]:
    lines = []
    if lesson.proposal.seldom:
        lines.append(f"Seldom seen, so the author's number stays: {lesson.proposal.seldom}.")
    lines += [
        f"'{one.answer}' to '{one.check}' with '{one.cause}': seen in {100 * one.learned:.0f} of 100. Its row lacks it."
        for one in lesson.proposal.unwritten[:_MOST]
    ]
    lines += [f"Can't be written where it stands, change it by hand: {_entry(*one)}." for one in lesson.stuck]
    lines += [f"Nothing was learned from {many} jobs: {why}." for why, many in lesson.unfit.reasons.items()]
    if lesson.unread:
        lines.append(f"{lesson.unread} answers can't be read by today's library.")
    return lines


def _entry(check: str, tree: str, row: str) -> str:
    return f"the row '{row}' of '{check}'" if check else f"the weights of '{tree}'"


def _more(listed: Sequence[object]) -> list[str]:
    return [f"... and {len(listed) - _MOST} more; --json has all."] if len(listed) > _MOST else []


def _number(one: Number) -> dict[str, Any]:
    subject = (
        {"check": one.check, "row": one.cause, "answer": one.answer}
        if one.check
        else {"tree": one.tree, "cause": one.cause, "value": one.answer or None}
    )
    return {
        "file": one.place.file,
        "line": one.place.line,
        "column": one.place.column,
        **subject,
        "before": one.before,
        "after": one.after,
        "probability": {"before": one.chance, "after": one.learned, "low": one.low, "high": one.high},
        "cars": one.cars,
    }
