"""All rules by name: which run whenever a library is loaded, which only in `vet`, and the manual entry of each."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from importlib import import_module
from itertools import islice
from typing import TYPE_CHECKING

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity

if TYPE_CHECKING:
    from diagtree.source.reader import Read

# Problems that one rule may find in a library.
MOST = 500

# Found where files are read; here only for their manual entries.
FORM = (
    "alias",
    "bad-code",
    "bad-id",
    "duplicate-id",
    "duplicate-key",
    "empty-file",
    "empty-library",
    "hidden-character",
    "missing-key",
    "mixed-row",
    "not-utf8",
    "out-of-range",
    "short-row",
    "syntax",
    "tag",
    "too-large",
    "unknown-key",
    "unknown-kind",
    "unreadable-file",
    "wrong-type",
)
# Errors inside one entry. They hold even where another file could not be read.
ALONE = (
    "access-ring",
    "ambiguous-weight",
    "decimal-quantity",
    "empty-band",
    "kit-without-feature",
    "offsets-without-mixed",
    "order-ring",
    "question-ring",
    "reserved-id",
    "row-of-zeros",
    "unknown-node",
    "unreachable-node",
    "wrong-cam-teeth",
)
# Errors between entries. Where a file could not be read, what they miss may stand in it.
BETWEEN = (
    "amount-without-value",
    "band-gap",
    "band-overlap",
    "build-without-weight",
    "forbidden-path",
    "limits-without-reading",
    "missing-answer",
    "missing-else",
    "missing-number",
    "missing-part",
    "missing-row",
    "missing-step",
    "offsets-without-timing",
    "onward-not-served",
    "outcome-without-fault",
    "outcome-without-weight",
    "repair-left-empty",
    "tree-ring",
    "tree-without-engine",
    "two-numbers",
    "unknown-answer",
    "unknown-caution",
    "unknown-check",
    "unknown-engine",
    "unknown-fault",
    "unknown-feature",
    "unknown-part",
    "unknown-row",
    "unknown-step",
    "unknown-tree",
    "unknown-value",
    "useless-plausible",
    "weight-without-outcome",
)
# Advice, and what needs a slow module.
VET_ONLY = (
    "angle-without-single-use",
    "build-without-feature-value",
    "cold-after-hot",
    "hidden-kit-number",
    "idle-repair",
    "kind-without-rows",
    "long-text",
    "narrow-band",
    "part-without-price",
    "shadowed-codes",
    "unknown-unit",
    "unmatched-codes",
    "unserved-engine",
    "without-other",
)
# Judgement of the whole: only where there is no error, as much that looks odd then follows from it.
JUDGEMENT = (
    "dear-before-cheap",
    "idle-check",
    "impossible-answer",
    "missing-caution",
    "unbelieved-outcome",
    "unused-entry",
    "unused-feature",
)


# What needs the costs of the trees, which take time: judged only where they are asked for.
WITH_COSTS = ("walk-too-dear",)


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule: what it looks for, and its entry in the manual."""

    id: str
    severity: Severity
    manual: str
    check: Callable[[Library], Iterable[Problem]]


def rule(rule_id: str) -> Rule | None:
    """The rule of an id; None where there is none. A rule of form finds nothing here: reading has found it."""
    if rule_id not in ids():
        return None
    module = import_module(f"diagtree.rules.{rule_id.replace('-', '_')}")
    return Rule(module.ID, module.SEVERITY, module.__doc__ or "", getattr(module, "check", _nothing))


def _nothing(_library: Library) -> Iterable[Problem]:
    return ()


def ids() -> tuple[str, ...]:
    """The ids of all rules, sorted."""
    return tuple(sorted((*FORM, *ALONE, *BETWEEN, *VET_ONLY, *JUDGEMENT, *WITH_COSTS)))


def structural(*, whole: bool = True) -> tuple[Rule, ...]:
    """The rules that run whenever a library is loaded: quick, without networkx, numpy and pint.

    Where a file could not be read (`whole` is false), only those that look at one entry alone.
    """
    return _rules((*ALONE, *BETWEEN) if whole else ALONE)


def vetting(*, whole: bool = True) -> tuple[Rule, ...]:
    """The rules that `vet` runs: all."""
    return _rules((*ALONE, *BETWEEN, *VET_ONLY, *JUDGEMENT) if whole else ALONE)


def _rules(names: Iterable[str]) -> tuple[Rule, ...]:
    return tuple(found for name in names if (found := rule(name)))


def problems(library: Library, rules: Iterable[Rule]) -> tuple[Problem, ...]:
    """What rules find in a library, in the order of a report, each once; judgement only where the others find no error.

    A rule that judges is heard where it is asked alone, too.
    """
    chosen = tuple(rules)
    found = {told for one in chosen if one.id not in JUDGEMENT for told in _first(one, library)}
    if all(told.severity == "warning" for told in found):
        found.update(told for one in chosen if one.id in JUDGEMENT for told in _first(one, library))
    return tuple(sorted(found))


def _first(one: Rule, library: Library) -> Iterator[Problem]:
    """What a rule finds, up to `MOST`: beyond that nobody reads on, and a hostile file must not cost minutes."""
    return islice(one.check(library), MOST)


def vet(found: "Read") -> tuple[Problem, ...]:
    """All that is wrong with a library as it was read: what reading found, and what the rules find."""
    rules = vetting(whole=found.whole)
    if any(told.severity == "error" for told in found.problems):
        rules = tuple(one for one in rules if one.id not in JUDGEMENT)
    return tuple(sorted((*found.problems, *problems(found.library, rules))))


def manual() -> dict[str, str]:
    """The manual entry of every rule, by id."""
    return {name: found.manual for name in ids() if (found := rule(name))}
