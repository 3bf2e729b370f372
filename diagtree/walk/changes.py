"""What is put right or added on the way: an answer given anew, a note, another tree."""

from dataclasses import dataclass

from diagtree.graph.serving import serves
from diagtree.measure.trouble import quote
from diagtree.model.tree import Tree
from diagtree.walk.answers import Refused
from diagtree.walk.replies import Noted, Reply, Seen, Told, Turned, Untold
from diagtree.walk.session import Session
from diagtree.walk.taking import about, told

LONGEST_NOTE = 300  # characters
_MOST_NAMED = 8


@dataclass(frozen=True, slots=True)
class Given:
    """Something that was told, and can be told anew. One of `check` and `feature` is empty."""

    check: str
    feature: str  # `build` for a build

    @property
    def name(self) -> str:
        """How it is called when it is typed."""
        return self.check or self.feature


def given(session: Session) -> tuple[Given, ...]:
    """What stands of all that was told, in the order in which it was first told."""
    known = session.known
    found: dict[str, Given] = {}
    for reply in (*session.preset, *session.replies):
        match reply:
            case Told(finding) if finding.check in known.findings:
                found.setdefault(finding.check, Given(finding.check, ""))
            case Untold(check) if check in known.unknown:
                found.setdefault(check, Given(check, ""))
            case Seen(feature, _) if not feature or feature in known.features:
                found.setdefault(feature or "build", Given("", feature or "build"))
            case _:
                pass
    return tuple(found.values())


def revise(session: Session, text: str) -> Session | Refused:
    """The walk with an earlier answer told anew: `CHECK ANSWER`, or its number in the list of what was given."""
    name, answer = _parted(text)
    listed = given(session)
    if name.isascii() and name.isdigit() and len(name) < 4 and 1 <= int(name) <= len(listed):
        name = listed[int(name) - 1].name
    one = next((one for one in listed if one.name == name.lower()), None)
    if one is None:
        names = ", ".join(one.name for one in listed[-_MOST_NAMED:])
        told_so_far = f"What was told so far: {names}." if names else "Nothing was told so far."
        return Refused(f"{f'{quote(name)} was not told yet. ' if name else ''}{told_so_far}")
    if not answer:
        return Refused(f"Say what it shall be: revise {one.name} ANSWER.{_choices(session, one)}")
    return revised(session, one, answer)


def revised(session: Session, one: Given, answer: str) -> Session | Refused:
    """The walk with something that was told before told anew. What follows is replayed; `back` undoes it."""
    if one.feature:
        return _seen_anew(session, one.feature, answer)
    reply = about(session, one.check, answer)
    if isinstance(reply, Refused):
        return reply
    return told(session, Told(reply.finding, anew=True) if isinstance(reply, Told) else reply)


def note(session: Session, text: str) -> Session | Refused:
    """The walk with a note on the answer given last (before any, on the question): `TEXT`, or `CHECK: TEXT`."""
    name, colon, rest = text.partition(":")
    if colon and name.strip() in session.case.library.checks:
        return noted(session, name.strip(), rest)
    check = to_note(session)
    if not check:
        return Refused("There is nothing to note anything of.")
    return noted(session, check, text) if text.strip() else Refused("Type what to note behind it.")


def noted(session: Session, check: str, text: str) -> Session | Refused:
    """The walk with a note on a check; an empty one takes it away."""
    kept = " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())
    if len(kept) > LONGEST_NOTE:
        return Refused(f"A note has at most {LONGEST_NOTE} characters; this one has {len(kept)}.")
    return told(session, Noted(check, kept))


def to_note(session: Session) -> str:
    """The check that a note is of where nobody says: the one answered last, else the one asked; '' where none is."""
    for reply in reversed(session.replies):
        if isinstance(reply, Told | Untold):
            return reply.finding.check if isinstance(reply, Told) else reply.check
    return session.check.id if session.check else ""


def jump(session: Session, name: str) -> Session | Refused:
    """The walk in another tree, with all answers kept."""
    others = elsewhere(session)
    if name.lower() in {tree.id for tree in others}:
        return told(session, Turned(name.lower()))
    if name == session.tree.id:
        return Refused(f"The walk is in the tree '{name}' already.")
    listed = ", ".join(tree.id for tree in others[:_MOST_NAMED])
    said = f"{quote(name)} is no tree to go on in here. " if name else ""
    return Refused(
        f"{said}{f'Other trees for this engine: {listed}.' if others else 'No other tree suits this engine.'}"
    )


def elsewhere(session: Session) -> tuple[Tree, ...]:
    """The other trees that can be walked for this engine, in file order."""
    case = session.case
    return tuple(
        tree
        for tree in case.library.trees.values()
        if tree.id != session.tree.id and tree.start in tree.nodes and serves(case.library, tree, case.engine)
    )


def _parted(text: str) -> tuple[str, str]:
    """'oil-level ok' and 'oil-level=ok' as what and to what."""
    first = text.partition(" ")[0]
    parts = (text.replace("=", " ", 1) if "=" in first else text).split(None, 1)
    return (parts[0] if parts else "", parts[1].strip() if len(parts) > 1 else "")


def _choices(session: Session, one: Given) -> str:
    """The answers there are, as a sentence with a space before it."""
    if one.check:
        names = [answer.id for answer in session.case.library.checks[one.check].answers]
    else:
        names = list(values(session, one.feature))
    return f" It is one of: {', '.join(names)}."


def values(session: Session, feature: str) -> tuple[str, ...]:
    """What a feature may be on this engine; of `build` the builds."""
    engine = session.case.engine
    return engine.features[feature].values if feature in engine.features else tuple(engine.builds)


def _seen_anew(session: Session, feature: str, value: str) -> Session | Refused:
    """A feature told anew; what does not fit it is taken out."""
    value = next((one for one in values(session, feature) if one.lower() == value.lower()), "")
    if not value:
        return Refused(f"Say which: {', '.join(values(session, feature))}.")
    own = "" if feature == "build" else feature
    seen = {reply.feature for reply in session.replies if isinstance(reply, Seen)} - {own}
    for instead in (frozenset[str](), frozenset(seen)):
        bare = told(session, Seen(own, value, frozenset(session.known.findings), instead))
        if bare.known.identified:
            return told(session, _fitting(session, bare, Seen(own, value, instead=instead)))
    return Refused(f"No build with {feature} {value} fits what was known before the walk.")


def _fitting(session: Session, bare: Session, seen: Seen) -> Reply:
    """The reply that takes out the answers to checks that no build left can have, one check after another."""
    left = bare.known.builds
    out = set()
    for name in session.known.findings:
        check = session.case.library.checks[name]
        fitting = tuple(build for build in left if check.when.admits(build.features))
        out |= set() if fitting else {name}
        left = fitting or left
    return Seen(seen.feature, seen.value, frozenset(out), seen.instead)
