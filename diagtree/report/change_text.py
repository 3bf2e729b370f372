"""What an edit of a library does in effect, as people read it: tree by tree, then repair by repair."""

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from diagtree.estimate.change import Change, Entries
from diagtree.estimate.figures import RowMove, WalkMove, WeightMove
from diagtree.estimate.moves import Cut, Moved, Reached, Refused, Where, shared_builds
from diagtree.estimate.scopes import Goods, ScopeMove
from diagtree.graph.serving import builds
from diagtree.model.fault import OTHER
from diagtree.model.library import Kind
from diagtree.report.lines import COLUMNS, hang, hours, join, money, quantity, short, wrap

NOTHING_CHANGES = "Nothing changes in effect."
MOST_SHOWN = 20  # pairs of outcomes of one tree: an answer moved near its start moves hundreds
_KINDS: dict[Kind, str] = {"shop": "the shop", "cautions": "caution", "checks": "check", "faults": "fault"}


def as_text(change: Change, columns: int = COLUMNS) -> str:
    """The whole change in plain lines of at most `columns` cells."""
    blocks = [list(block) for block in _blocks(change, columns)]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _blocks(change: Change, columns: int) -> Iterator[Iterable[str]]:
    if not change.felt and not change.edits and change.searched:
        yield wrap(NOTHING_CHANGES, columns)
        return
    if not change.felt:
        found = "No outcome, scope or chance moves"
        yield wrap(f"{found}." if change.searched else f"{found} as far as was searched.", columns)
    for tree in change.old.trees:
        yield _tree(change, tree, columns)
    for fault in change.old.faults:
        yield _repair(change, fault, columns)
    yield _tables(change, columns)
    yield _entries("Added", change.added, columns)
    yield _entries("Removed", change.removed, columns)
    yield _edits(change, columns)


def _listed(head: str, sentences: Iterable[str], columns: int) -> Iterator[str]:
    """A head with its sentences below it; nothing where there are none."""
    for place, sentence in enumerate(sentences):
        if place == 0:
            yield from wrap(head, columns)
        yield from hang("  -", sentence, 4, columns)


# By tree


def _tree(change: Change, name: str, columns: int) -> Iterator[str]:
    titles = change.new.trees if name in change.new.trees else change.old.trees
    return _listed(f"Tree '{titles[name].title}' ({name})", _of_tree(change, name), columns)


def _of_tree(change: Change, name: str) -> Iterator[str]:
    yield from _moved(change, name)
    yield from (_refused(change, one) for one in change.refused if one.where.tree == name)
    yield from (_reached(change, one) for one in change.reached if one.where.tree == name)
    yield from (_weight(change, one) for one in change.weights if one.tree == name)
    yield from (_walk(change, one) for one in change.walks if one.tree == name)
    yield from (_cut(change, one) for one in change.cut if one.where.tree == name)


def _moved(change: Change, name: str) -> Iterator[str]:
    """The pairs of a tree, those seen soonest first; what is true of several engines is said once."""
    alike: dict[tuple[tuple[str, ...], tuple[str, ...], str], list[Moved]] = {}
    for one in change.moved:
        if one.where.tree == name:
            alike.setdefault((one.before, one.after, _answers(one)), []).append(one)
    soonest = sorted(alike.items(), key=lambda item: len(item[1][0].answers))
    for (before, after, answers), same in soonest[:MOST_SHOWN]:
        place = _places(change, [one.where for one in same])
        yield f"{place}what ended in {_outcome(change, before)} now ends in {_outcome(change, after)}.{answers}"
    if len(soonest) > MOST_SHOWN:
        yield f"{len(soonest) - MOST_SHOWN} more such pairs take as many answers or more: `--json` lists all."


def _refused(change: Change, one: Refused) -> str:
    place = _place(change, one.where.engine, one.where.builds)
    said = "had no way on before, and has one now" if one.when == "before" else "has no way on any more"
    return f"{place}'cannot tell' at {one.check} {said}.{_answers(one)}"


def _answers(one: Moved | Refused) -> str:
    listed = ", ".join(f"{check}={reply.text}" for check, reply in one.answers.items())
    return f" Seen with {listed}." if listed else " Whatever is answered."


def _reached(change: Change, one: Reached) -> str:
    said = "can no longer be reached" if one.when == "before" else "can now be reached"
    return f"{_place(change, one.where.engine, one.where.builds)}{_outcome(change, one.faults)} {said}."


def _weight(change: Change, one: WeightMove) -> str:
    on = f" on {one.engine}" if len(change.old.engines) > 1 else ""
    cause = "a cause that is not in the tree" if one.cause == OTHER else _title(change, one.cause)
    return f"Before any answer{on}, {cause} is behind {_share(one.after)} in 100 such cars, was {_share(one.before)}."


def _walk(change: Change, one: WalkMove) -> str:
    place = _place(change, one.engine, [one.build])
    said = _money(change, "the walk costs" if place else "The walk costs", Fraction(one.before), Fraction(one.after))
    return f"{place}{said}, on average and with come-backs."


def _cut(change: Change, one: Cut) -> str:
    place = _place(change, one.where.engine, one.where.builds)
    return f"{place}the search was cut after {one.states} states. More may have moved than stands here."


def _outcome(change: Change, faults: Iterable[str]) -> str:
    return join(_title(change, fault) for fault in faults)


def _title(change: Change, name: str) -> str:
    for library in (change.new, change.old):
        if name in library.faults:
            return f"'{library.faults[name].title}' ({name})"
        if name in library.trees:
            return f"'{library.trees[name].title}' ({name})"
    return name


def _place(change: Change, engine: str, named: Sequence[str]) -> str:
    """'All builds of brennick-v8: ', 'Build early of brennick-v8: '; nothing where no library states an engine."""
    said = _builds(change, engine, named)
    return f"{said[0].upper()}{said[1:]}: " if said else ""


def _places(change: Change, places: Iterable[Where]) -> str:
    """The same for several engines: 'All builds of brennick-v8 and build all-wheel of brennick-i4: '."""
    said = join(text for where in places if (text := _builds(change, where.engine, where.builds)))
    return f"{said[0].upper()}{said[1:]}: " if said else ""


def _builds(change: Change, engine: str, named: Sequence[str]) -> str:
    old, new = change.old.engines.get(engine), change.new.engines.get(engine)
    if old is None or new is None:
        return ""
    if not old.builds:
        return f"engine {engine}"
    shared = [first.id for first, _ in shared_builds((old, new))]
    if len(named) == len(shared) == len(builds(old)) == len(builds(new)):
        return f"all builds of {engine}" if len(shared) > 1 else f"engine {engine}"
    return f"build{'s' if len(named) > 1 else ''} {join(named)} of {engine}"


def _share(probability: float) -> str:
    return short(Fraction(probability) * 100, 1)


# By repair


def _repair(change: Change, fault: str, columns: int) -> Iterator[str]:
    sentences = (_scope(change, one) for one in change.scopes if one.fault == fault)
    return _listed(f"Repair of {_title(change, fault)}", sentences, columns)


def _scope(change: Change, one: ScopeMove) -> str:
    before, after = one.before, one.after
    sentences = [
        _pair(hours(before.hours), hours(after.hours)),
        _steps(change, "adds", one.steps_added, one.engine),
        _steps(change, "leaves out", one.steps_removed, one.engine),
        _goods("parts more", one.parts_added),
        _goods("parts fewer", one.parts_removed),
        _money(change, "parts at single prices", before.parts_cost, after.parts_cost),
        _money(change, "labour and parts", before.cost, after.cost) if change.old.shop or change.new.shop else "",
    ]
    return f"{_place(change, one.engine, one.builds)}{'; '.join(said for said in sentences if said)}."


def _pair(before: str, after: str) -> str:
    return f"{after}, was {before}" if before != after else ""


def _money(change: Change, what: str, before: Fraction, after: Fraction) -> str:
    currencies = [library.shop.currency if library.shop else "" for library in (change.old, change.new)]
    said = _pair(money(before, currencies[0]), money(after, currencies[1])) if before != after else ""
    return f"{what} {said}" if said else ""


def _steps(change: Change, what: str, steps: Sequence[str], engine: str) -> str:
    library = change.new if what == "adds" else change.old
    titles = [f"'{library.engines[engine].work[step].title}'" for step in steps]
    return f"{what} {join(titles)}" if titles else ""


def _goods(what: str, goods: Sequence[Goods]) -> str:
    listed = join(
        f"{quantity(one.quantity, one.part.unit)} x {one.part.title} ({one.number or 'no number'})" for one in goods
    )
    return f"{what}: {listed}" if listed else ""


# The rest


def _tables(change: Change, columns: int) -> Iterator[str]:
    return _listed("What the checks show", (_row(change, one) for one in change.rows), columns)


def _row(change: Change, one: RowMove) -> str:
    before, after = dict(one.before), dict(one.after)
    shown = [
        f"{answer} in {_share(after.get(answer, 0.0))} of 100, was {_share(before.get(answer, 0.0))}"
        for answer in dict.fromkeys((*before, *after))
        if _share(after.get(answer, 0.0)) != _share(before.get(answer, 0.0))
    ]
    return f"{one.check}, with {_outcome(change, one.causes)}: {'; '.join(shown)}."


def _entries(head: str, entries: Entries, columns: int) -> Iterator[str]:
    named = {
        "trees": entries.trees,
        "checks": entries.checks,
        "faults": entries.faults,
        "engines": entries.engines,
        "builds": [f"{build} of {engine}" for engine, build in entries.builds],
        "answers": [f"{check}={answer}" for check, answer in entries.answers],
        "trees for engines": [f"{tree} for {engine}" for tree, engine in entries.serves],
    }
    return _listed(head, (f"{what}: {', '.join(names)}." for what, names in named.items() if names), columns)


def _edits(change: Change, columns: int) -> Iterator[str]:
    """Cause beside effect: what was edited, whether or not it stands above."""
    said = (f"{_KINDS.get(one.kind, one.kind)} {one.id}: {', '.join(one.keys)}." for one in change.edits)
    return _listed("Edited in more than wording", said, columns)
