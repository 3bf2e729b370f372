"""The words that rules share: lists of ids, builds by name, and the nearest id."""

from collections.abc import Iterable, Sequence
from itertools import islice

from diagtree.model.engine import ONLY_ENGINE, Build, Engine

_SHOWN = 8  # ids that one sentence names; more are counted
_COMPARED = 1000  # ids that a wrong one is compared with: keeps a hostile file from costing minutes
_SLIPS = 50  # wrong ids that are taken for slips of others; with more, nothing follows from each alone


def listed(ids: Iterable[str], joint: str = "and") -> str:
    """Ids in quotes, as one phrase: 'a', 'b' and 'c'."""
    names = [f"'{name}'" for name in ids]
    if len(names) > _SHOWN:
        return f"{', '.join(names[:_SHOWN])} {joint} {len(names) - _SHOWN} more"
    if len(names) > 1:
        return f"{', '.join(names[:-1])} {joint} {names[-1]}"
    return "".join(names)


def plural(noun: str, count: int) -> str:
    """The noun for so many."""
    return noun if count == 1 else f"{noun}s"


def nearest(noun: str, wrong: str, known: Iterable[str]) -> str:
    """A statement that names the id most like a wrong one, or all ids where they are few; empty where neither helps."""
    # Imported here: a library without a wrong id never needs it.
    from difflib import get_close_matches

    names = list(dict.fromkeys(known))[:_COMPARED]
    close = get_close_matches(wrong, names, n=1)
    if close:
        return f"The nearest {noun} is '{close[0]}'."
    if 0 < len(names) <= _SHOWN:
        verb = "is" if len(names) == 1 else "are"
        return f"The {plural(noun, len(names))} here {verb} {listed(names)}."
    return ""


def meant(wrong: Iterable[str], known: Iterable[str]) -> frozenset[str]:
    """The ids that wrong ones are likely slips of: what follows from such a slip is not reported a second time."""
    mistaken = tuple(islice(wrong, _SLIPS))
    if not mistaken:
        return frozenset()
    from difflib import get_close_matches

    names = list(dict.fromkeys(known))[:_COMPARED]
    return frozenset(name for one in mistaken for name in get_close_matches(one, names, n=1))


def build_name(engine: Engine, build: Build) -> str:
    """How a sentence names a build of an engine."""
    if engine is ONLY_ENGINE:
        return "the only build"
    if build.id not in engine.builds:
        return f"engine '{engine.id}'"
    return f"build '{build.id}' of '{engine.id}'"


def build_names(made: Sequence[tuple[Engine, Build]]) -> str:
    """How a sentence names several builds."""
    names = [build_name(engine, build) for engine, build in made]
    if len(names) > _SHOWN:
        return f"{', '.join(names[:_SHOWN])} and {len(names) - _SHOWN} more"
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def in_hundred(chance: float) -> str:
    """A chance as a count of one hundred such cars, to the nearest 5, never 0 or 100: 'about 40 in 100'."""
    fives = 20 * chance + 1e-9  # so that a half that lost its last bit is still a half
    if fives < 1:
        return "fewer than 5 in 100"
    if fives > 19 + 2e-9:
        return "more than 95 in 100"
    return f"about {5 * int(fives + 0.5)} in 100"
