"""What holds for which of several possible builds, said in their features."""

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Generic, TypeAlias, TypeVar

from diagtree.model.engine import Build

Entry = TypeVar("Entry")
When: TypeAlias = tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class Marked(Generic[Entry]):
    """Something that is needed in some of the possible builds.

    Attributes:
        entry: what is needed.
        builds: where, by id.
        when: the same, in features; empty where it is all of them.
    """

    entry: Entry
    builds: tuple[str, ...]
    when: When


def tell_apart(meant: Sequence[Build], possible: Sequence[Build], features: Sequence[str]) -> When | None:
    """The fewest features, earliest first, whose values single out `meant` among `possible`.

    None where no conjunction of `features` does; empty where all are meant.
    """
    ids = {build.id for build in meant}
    for size in range(len(features) + 1):
        for names in combinations(features, size):
            when = values_of(meant, names)
            chosen = {
                build.id for build in possible if all(build.features.get(name, "") in values for name, values in when)
            }
            if chosen == ids:
                return when
    return None


def values_of(builds: Iterable[Build], features: Iterable[str]) -> When:
    """The values that builds have of each feature, in the builds' order."""
    made = tuple(builds)
    return tuple((name, tuple(dict.fromkeys(build.features.get(name, "") for build in made))) for name in features)


def mark(
    entry: Entry, meant: Sequence[Build], possible: Sequence[Build], features: Sequence[str]
) -> tuple[Marked[Entry], ...]:
    """An entry with the builds that need it; once for each build where features cannot say it in one go."""
    when = tell_apart(meant, possible, features)
    if when is not None:
        return (Marked(entry, tuple(build.id for build in meant), when),)
    return tuple(Marked(entry, (build.id,), values_of((build,), features)) for build in meant)


def gather(
    lists: Mapping[str, Iterable[tuple[Hashable, Entry]]],
    possible: Sequence[Build],
    features: Sequence[str],
    asked: Callable[[Entry], Iterable[str]] = lambda _: (),
) -> tuple[Marked[Entry], ...]:
    """The lists of all builds as one: entries of one key once, marked with the builds that need them.

    Args:
        lists: build id -> (key, entry), for each possible build.
        possible: the possible builds.
        features: those that may be named, the most telling first.
        asked: entry -> the features that its own conditions ask for: named before all others.
    """
    first: dict[Hashable, Entry] = {}
    needing: dict[Hashable, list[str]] = {}
    for build, entries in lists.items():
        for key, entry in entries:
            first.setdefault(key, entry)
            needing.setdefault(key, []).append(build)
    found: list[Marked[Entry]] = []
    for key, entry in first.items():
        meant = [build for build in possible if build.id in needing[key]]
        own = [name for name in asked(entry) if name in features]
        found.extend(mark(entry, meant, possible, tuple(dict.fromkeys((*own, *features)))))
    return tuple(found)
