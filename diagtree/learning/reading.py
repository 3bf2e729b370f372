"""What was counted of closed jobs, as what is learned from."""

from diagtree.jobs.counting import Counts
from diagtree.learning.cases import Alike, Shown, Unfit, fitting
from diagtree.model.library import Library


def read(library: Library, counted: Counts) -> tuple[tuple[Alike, ...], tuple[Shown, ...], Unfit]:
    """The cases and the answers that fit the library as it is now, and the jobs that do not.

    A job of one known fault comes without its answers: they stand in the second list.
    """
    listed = [Alike(one.tree, one.engine, one.builds, (), one.faults, one.many, one.revision) for one in counted.known]
    listed += [
        Alike(one.tree, one.engine, one.builds, one.answers, one.faults, one.many, one.revision)
        for one in counted.patterns
    ]
    cases, unfit = fitting(library, listed)
    fit = {(one.tree, one.engine, one.builds, one.faults) for one in cases}
    shown = tuple(
        Shown(
            tree=one.tree,
            fault=one.fault,
            check=one.check,
            answer=one.answer,
            many=one.many,
            build=one.builds[0] if len(one.builds) == 1 else "",
            revision=one.revision,
        )
        for one in counted.answered
        if (one.tree, one.engine, one.builds, (one.fault,)) in fit
    )
    return cases, shown, unfit
