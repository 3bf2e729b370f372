"""A job's walk under today's library: its replies given once more, and what no longer fits."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from diagtree.graph.serving import builds, matching_builds
from diagtree.jobs.record import Entry
from diagtree.jobs.writing import taken_out
from diagtree.model.engine import Build, Engine
from diagtree.model.library import Library
from diagtree.model.tree import Tree
from diagtree.walk.answers import Refused
from diagtree.walk.replies import Case, Noted, Reply, Seen, Told, Turned
from diagtree.walk.session import Session, begin, replayed
from diagtree.walk.taking import CANNOT_TELL, about


@dataclass(frozen=True, slots=True)
class Misfit:
    """A reply that today's library does not take, and why. It stays in the job."""

    entry: Entry
    why: str


@dataclass(frozen=True, slots=True)
class Replayed:
    """A job's walk as it stands today."""

    session: Session
    start: tuple[Entry, ...]  # of the session's presets, one for each
    walked: tuple[Entry, ...]  # of the session's replies, one for each
    misfits: tuple[Misfit, ...]


@dataclass(frozen=True, slots=True)
class Ground:
    """What a walk begins on."""

    library: Library
    tree: Tree
    engine: Engine


def replay(ground: Ground, entries: Iterable[Entry]) -> Replayed | Refused:
    """Give these replies once more, in their order; refused only where the tree has no start.

    Args:
        ground: of today.
        entries: replies that hold: see `record.REPLIES`.
    """
    listed = tuple(entries)
    about_engine = [one for one in listed if one.kind == "seen" and one.phase == "start"]
    case, misfits = _case(ground, about_engine)
    session = begin(case)
    if isinstance(session, Refused):
        return session
    kept: dict[str, list[Entry]] = {"start": [], "walk": []}
    for one in listed:
        if one in about_engine:
            continue
        reply = _reply(session, one)
        if isinstance(reply, Refused):
            misfits.append(Misfit(one, reply.sentence))
            continue
        at_start = one.phase == "start"
        kept["start" if at_start else "walk"].append(one)
        start = (*session.preset, reply) if at_start else session.preset
        walked = session.replies if at_start else (*session.replies, reply)
        session = replayed(session.case, start, walked)
    return Replayed(session, tuple(kept["start"]), tuple(kept["walk"]), tuple(misfits))


def again(case: Case, entries: Iterable[Entry]) -> Replayed | Refused:
    """The same for a walk that is going on: the engine and what was known of it stand already."""
    told = [one for one in entries if not (one.kind == "seen" and one.phase == "start")]
    found = replay(Ground(case.library, case.tree, case.engine), told)
    if isinstance(found, Refused):
        return found
    session = replayed(case, found.session.preset, found.session.replies)
    return replace(found, session=session)


def _case(ground: Ground, seen: Iterable[Entry]) -> tuple[Case, list[Misfit]]:
    """The case with what was known of the engine; what today's engine does not have is a misfit."""
    known: dict[str, str] = {}
    possible: tuple[Build, ...] = builds(ground.engine)
    misfits: list[Misfit] = []
    for one in seen:
        if one.subject:
            fits = matching_builds(ground.engine, {**known, one.subject: one.value})
        else:
            fits = tuple(build for build in builds(ground.engine) if build.id == one.value)
        left = tuple(build for build in possible if build in fits)
        if left:
            possible = left
            known.update({one.subject: one.value} if one.subject else {})
        else:
            what = f"{one.subject}={one.value}" if one.subject else f"the build '{one.value}'"
            misfits.append(Misfit(one, f"No build of '{ground.engine.id}' has {what} with the rest."))
    return Case(ground.library, ground.tree, ground.engine, possible, known), misfits


def _reply(session: Session, one: Entry) -> Reply | Refused:
    """An entry as a reply to this session."""
    match one.kind:
        case "seen":
            return _seen(session, one)
        case "turned":
            tree = session.case.library.trees.get(one.subject)
            fits = tree is not None and tree.start in tree.nodes
            return Turned(one.subject) if fits else Refused(f"The library has no tree '{one.subject}'.")
        case "noted":
            known = one.subject in session.case.library.checks
            return Noted(one.subject, one.note) if known else Refused(f"The library has no check '{one.subject}'.")
        case "cannot-tell":
            return about(session, one.subject, CANNOT_TELL)
    told = about(session, one.subject, one.value)
    return replace(told, anew=True) if one.kind == "revised" and isinstance(told, Told) else told


def _seen(session: Session, one: Entry) -> Reply | Refused:
    engine = session.case.engine
    feature = engine.features.get(one.subject)
    known = one.value in feature.values if feature else not one.subject and one.value in engine.builds
    if not known:
        what = f"{one.subject}={one.value}" if one.subject else f"build '{one.value}'"
        return Refused(f"'{engine.id}' has no {what}.")
    reply = Seen(one.subject, one.value, *taken_out(one.note))
    after = replayed(session.case, session.preset, (*session.replies, reply))
    return reply if after.known.builds else Refused("No build fits this with the rest.")
