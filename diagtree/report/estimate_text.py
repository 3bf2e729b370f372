"""An estimate as people read it: what it may be, what to authorise, twenty dots, the bill apart."""

from collections.abc import Iterable, Iterator

from diagtree.estimate.estimate import Estimate
from diagtree.model.fault import LEVELS, Caution
from diagtree.model.library import NOTICE
from diagtree.model.tree import Outcome
from diagtree.reason.belief import Contradiction
from diagtree.report import estimate_words as words
from diagtree.report.chances import ground
from diagtree.report.estimate import enough
from diagtree.report.lines import COLUMNS, cells, hang, join, pad, wrap
from diagtree.report.scope_words import LEVEL_WORDS
from diagtree.report.steps import has_builds

OWNER = "Hours and prices are the library's."


def as_text(found: Estimate, amount: float | None = None, columns: int = COLUMNS, *, dots: bool = True) -> str:
    """The whole estimate in plain lines of at most `columns` cells.

    Args:
        found: the estimate.
        amount: up to which the dots are filled; None: what to authorise.
        columns: cells of a line.
        dots: whether the row of dots stands in it; not where it follows by itself.
    """
    limit = enough(found) if amount is None else amount
    blocks = [
        list(_head(found, columns)),
        list(_likely(found, columns)),
        wrap(words.doubt(found), columns),
        list(_ladder(found, columns)),
        dots_lines(found, limit, columns) if dots else [],
        list(_bill(found, columns)),
        list(_listed(f"What the visit may come to{words.with_tax(found)}:", words.outcomes(found), columns)),
        list(_listed("Still open, all of it mixed in:", words.still_open(found), columns)),
        list(_listed("Deposits, which come back with the old part, are not in it:", words.deposits(found), columns)),
        [line for said in _remarks(found) for line in wrap(said, columns)],
        [line for one in cautions(found) for line in hang(f"{LEVEL_WORDS[one.level]}:", one.say, 9, columns)],
        wrap(NOTICE, columns),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def contradicted(found: Contradiction, columns: int = COLUMNS) -> str:
    """That the answers leave no cause to estimate for."""
    said = (
        f"The answers to {join(found.checks)} can't stand together in any car of this tree. Take them again."
        if found.checks
        else "No cause of this tree can be in these builds: there is nothing to estimate."
    )
    return "\n\n".join("\n".join(wrap(text, columns)) for text in (said, NOTICE)) + "\n"


def _remarks(found: Estimate) -> list[str]:
    *others, last = words.remarks(found)
    return [*others, f"{last} {OWNER}"]


def dots_lines(found: Estimate, amount: float, columns: int) -> list[str]:
    """The share within an amount, the row of dots, and what it means."""
    return [
        *wrap(words.inside(found, amount), columns),
        *wrap(words.dots(found, amount), columns),
        *wrap(words.scale(found), columns),
    ]


def cautions(found: Estimate) -> list[Caution]:
    """Those of the tree and of the outcomes that are named, where some possible build meets them; `stop` first."""
    library = found.library
    named = dict.fromkeys((*found.tree.cautions, *_of_outcomes(found)))
    known = [library.cautions[name] for name in named if name in library.cautions]
    here = [one for one in known if any(one.when.admits(build.features) for build in found.builds)]
    return sorted(here, key=lambda one: LEVELS.index(one.level))


def _of_outcomes(found: Estimate) -> Iterator[str]:
    shown = words.likely_outcomes(found)
    reached = {frozenset(one.faults) for one in shown}
    for node in found.tree.nodes.values():
        if isinstance(node, Outcome) and frozenset(node.faults) in reached:
            yield from node.cautions
    for one in shown:
        for fault in one.faults:
            if fault in found.library.faults:
                yield from found.library.faults[fault].cautions


def _head(found: Estimate, columns: int) -> Iterator[str]:
    yield from wrap(f"Estimate: {found.tree.title}", columns)
    if found.library.engines:
        yield from wrap(found.engine.title, columns)
    if found.library.engines and has_builds(found.engine):
        yield from wrap(f"Build: {join((build.id for build in found.builds), 'or')}", columns)


def _likely(found: Estimate, columns: int) -> Iterator[str]:
    yield from _listed(f"Of 100 cars like this ({ground(found.tree)}):", words.likely(found), columns)


def _ladder(found: Estimate, columns: int) -> Iterator[str]:
    yield from wrap(" ".join(words.ladder(found)), columns)
    yield from wrap(words.terms(found), columns)
    yield from wrap(words.stay(found), columns)


def _bill(found: Estimate, columns: int) -> Iterator[str]:
    yield from wrap("What it costs on average, apart:", columns)
    lines = words.bill(found)
    wide = max(cells(line.figure) for line in lines)
    for line in lines:
        room = columns - wide - 4
        titles = wrap(line.title, room) if room >= 10 else [line.title[: max(2, room)]]
        yield from (f"  {title}" for title in titles[:-1])
        widest = min(room, max(cells(one.title) for one in lines))
        yield f"  {pad(titles[-1], widest)}  {pad(line.figure, wide, right=True)}"
    yield from wrap(words.extras(found), columns)


def _listed(title: str, lines: Iterable[str], columns: int) -> Iterator[str]:
    listed = list(lines)
    if listed:
        yield from wrap(title, columns)
    for line in listed:
        yield from hang("-", line, 2, columns)
