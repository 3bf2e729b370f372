"""Which features of a build a scope depends on."""

from collections.abc import Iterable, Iterator, Mapping

from diagtree.model.engine import Engine, Step
from diagtree.model.fault import Fault
from diagtree.scope.repair import Repair


def consulted(
    engine: Engine, repairs: Iterable[Repair], faults: Iterable[Fault], opened: Mapping[str, Iterable[str]]
) -> frozenset[str]:
    """The features that conditions and quantities on the way to these repairs ask for.

    Asked are the faults, each step that some build wants or would pull in, the numbers and quantities of the parts
    that it takes, and the kits that hold such a part.
    """
    every = tuple(repairs)
    done = {line.step.id: line.step for one in every for line in one.steps}
    wanted = [step for fault in faults for step in fault.repair]
    behind = [step for steps in opened.values() for step in steps]
    pulled = [other for step in done.values() for other in (*step.after, *step.brings)]
    needed = frozenset(line.part.id for one in every for line in one.parts)
    return frozenset(
        (
            *(name for fault in faults for name in fault.when.features),
            *(
                name
                for step in {*wanted, *behind, *pulled} & engine.work.keys()
                for name in engine.work[step].when.features
            ),
            *(take for step in done.values() for take in _by_feature(step)),
            *_of_goods(engine, needed),
        )
    )


def _by_feature(step: Step) -> Iterator[str]:
    return (take.quantity.feature for take in step.takes if take.quantity.feature)


def _of_goods(engine: Engine, needed: frozenset[str]) -> Iterator[str]:
    for part in needed & engine.parts.keys():
        for number in engine.parts[part].numbers:
            yield from number.when.features
    for kit in engine.kits:
        if needed & kit.holds.keys():
            yield from kit.when.features
