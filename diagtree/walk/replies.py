"""What has been told so far, reply by reply, and what it comes to."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TypeAlias

from diagtree.model.check import Check
from diagtree.model.engine import Build, Engine
from diagtree.model.library import Library
from diagtree.model.quantity import Features
from diagtree.model.tree import Tree
from diagtree.reason.finding import Finding
from diagtree.walk.answers import repeated


@dataclass(frozen=True, slots=True)
class Told:
    """A check was answered."""

    finding: Finding
    anew: bool = False  # whether it replaces all earlier readings, also of a check whose repeats are independent


@dataclass(frozen=True, slots=True)
class Untold:
    """A check's answer cannot be had."""

    check: str


@dataclass(frozen=True, slots=True)
class Seen:
    """A feature of the engine was seen; an empty feature names a build."""

    feature: str
    value: str
    without: frozenset[str] = frozenset()  # checks whose answers do not fit it, and are taken out
    instead: frozenset[str] = frozenset()  # features that do not fit it, and are forgotten; empty text: the build


@dataclass(frozen=True, slots=True)
class Noted:
    """Something to remember of a check; empty takes the note away."""

    check: str
    text: str


@dataclass(frozen=True, slots=True)
class Turned:
    """On to another tree, whatever this one would ask next. All answers are kept."""

    tree: str


Reply: TypeAlias = Told | Untold | Seen | Noted | Turned


@dataclass(frozen=True, slots=True)
class Case:
    """What a walk is about: a tree, an engine, and the builds that it may be."""

    library: Library
    tree: Tree
    engine: Engine
    builds: tuple[Build, ...]  # those that fit what was known from the start; at least one
    known: Features  # feature -> value, from the start


@dataclass(frozen=True, slots=True)
class Known:
    """What the replies come to. It does not depend on their order, save that a later one of a kind replaces it."""

    findings: Mapping[str, Finding]  # check -> what it showed, in the order of the library
    unknown: frozenset[str]  # checks whose answer cannot be had
    features: Features
    identified: tuple[Build, ...]  # builds that have these features, whatever the answers: what belief starts from
    builds: tuple[Build, ...]  # of those, the ones that no answer rules out
    notes: Mapping[str, str]  # check -> what was noted of it

    def applies(self, check: Check) -> bool:
        """Whether a check can be done on any build that is still possible."""
        return any(check.when.admits(build.features) for build in self.builds)

    def forbidden_by(self, check: Check) -> str | None:
        """The answered check after which this one is never done."""
        for other, answers in check.never_after.items():
            if other in self.findings and self.findings[other].answer in answers:
                return other
        return None


def gather(case: Case, replies: Iterable[Reply]) -> Known:
    """What these replies come to, for this case."""
    sofar = _Gathering(case, dict(case.known))
    for reply in replies:
        sofar.take(reply)
    ordered = {name: sofar.findings[name] for name in case.library.checks if name in sofar.findings}
    identified = tuple(one for one in case.builds if _has(one, sofar.features) and sofar.build in ("", one.id))
    possible = _possible(case, ordered, identified)
    return Known(ordered, frozenset(sofar.unknown), sofar.features, identified, possible, sofar.notes)


@dataclass(slots=True)
class _Gathering:
    """What the replies up to one of them come to."""

    case: Case
    features: dict[str, str]
    build: str = ""
    findings: dict[str, Finding] = field(default_factory=dict)
    unknown: set[str] = field(default_factory=set)
    notes: dict[str, str] = field(default_factory=dict)

    def take(self, reply: Reply) -> None:
        """One more."""
        match reply:
            case Told(finding, anew):
                check = self.case.library.checks[finding.check]
                earlier = None if anew else self.findings.get(check.id)
                self.findings[check.id] = repeated(check, self.case.engine, earlier, finding)
                self.unknown.discard(check.id)
            case Untold(check_id):
                self.unknown.add(check_id)
                self.findings.pop(check_id, None)
            case Seen():
                self._see(reply)
            case Noted(check_id, ""):
                self.notes.pop(check_id, None)
            case Noted(check_id, text):
                self.notes[check_id] = text
            case Turned():
                pass  # of where the walk goes, not of what is known

    def _see(self, seen: Seen) -> None:
        for name in seen.without:
            self.findings.pop(name, None)
        for name in seen.instead:
            self.features.pop(name, None)
        if "" in seen.instead:
            self.build = ""
        if seen.feature:
            self.features[seen.feature] = seen.value
        else:
            self.build = seen.value


def _has(build: Build, features: Features) -> bool:
    return all(build.features.get(name) == value for name, value in features.items())


def _possible(case: Case, findings: Iterable[str], identified: tuple[Build, ...]) -> tuple[Build, ...]:
    checks = [case.library.checks[name] for name in findings]
    return tuple(one for one in identified if all(check.when.admits(one.features) for check in checks))
