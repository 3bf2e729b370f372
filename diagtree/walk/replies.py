"""What has been told so far, reply by reply, and what it comes to."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
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


@dataclass(frozen=True, slots=True)
class Untold:
    """A check's answer cannot be had."""

    check: str


@dataclass(frozen=True, slots=True)
class Seen:
    """A feature of the engine was seen; an empty feature names a build."""

    feature: str
    value: str


Reply: TypeAlias = Told | Untold | Seen


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
    findings: dict[str, Finding] = {}
    unknown: set[str] = set()
    features = dict(case.known)
    build = ""
    for reply in replies:
        match reply:
            case Told(finding):
                check = case.library.checks[finding.check]
                findings[check.id] = repeated(check, case.engine, findings.get(check.id), finding)
                unknown.discard(check.id)
            case Untold(check_id):
                unknown.add(check_id)
                findings.pop(check_id, None)
            case Seen("", value):
                build = value
            case Seen(feature, value):
                features[feature] = value
    ordered = {name: findings[name] for name in case.library.checks if name in findings}
    identified = tuple(one for one in case.builds if _has(one, features) and build in ("", one.id))
    return Known(ordered, frozenset(unknown), features, identified, _possible(case, ordered, identified))


def _has(build: Build, features: Features) -> bool:
    return all(build.features.get(name) == value for name, value in features.items())


def _possible(case: Case, findings: Iterable[str], identified: tuple[Build, ...]) -> tuple[Build, ...]:
    checks = [case.library.checks[name] for name in findings]
    return tuple(one for one in identified if all(check.when.admits(one.features) for check in checks))
