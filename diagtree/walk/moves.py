"""What can be replied in a walk, and the walk that each reply leads to."""

from collections.abc import Callable, Collection, Mapping

from diagtree.measure.trouble import quote
from diagtree.model.tree import Question
from diagtree.walk.answers import Refused, read_again
from diagtree.walk.changes import jump, note, revise
from diagtree.walk.others import open_checks
from diagtree.walk.replies import Seen, Told, Untold
from diagtree.walk.session import Session, replayed
from diagtree.walk.taking import CANNOT_TELL, about, told

BACK = "back"
AGAIN = "again"
BUILD = "build"
COMMAND = ":"  # before a command that an answer of the question is called as
_MOST_OFFERED = 3


def preset(session: Session, answers: Mapping[str, str]) -> Session | Refused:
    """The walk with answers that were had before it, by check id; `?` is 'cannot tell'.

    They have no order among them, so that `never-after` cannot be held against one.
    """
    for check_id, text in answers.items():
        reply = about(session, check_id, text)
        if isinstance(reply, Refused):
            return reply
        session = replayed(session.case, (*session.preset, reply), session.replies, session.acknowledged)
    return session


def answer(session: Session, text: str) -> Session | Refused:
    """The walk after one reply, or why it was not taken.

    A reply is an answer to the question that stands (its id, its number on screen, a reading, codes), `?` for cannot
    tell, `back`, `CHECK=ANSWER` for another check, `FEATURE=VALUE` or `build=ID` for the engine, `again READING` for
    the last reading (of offsets those that are typed, the others standing), `revise CHECK ANSWER`, `note TEXT` or
    `jump TREE`. An answer's id comes before a command; a colon in front says that a command is meant.
    """
    text = text.strip()
    check = session.check
    plain = not text.startswith(COMMAND)
    text = text.removeprefix(COMMAND).strip()
    if not text:
        return Refused("Nothing was typed.")
    if plain and check and (check.answer(text) or check.answer(text.lower())):
        return tell(session, check.id, text)
    commanded = _command(session, text)
    if commanded is not None:
        return commanded
    return tell(session, check.id, text) if check else Refused(_why_no_question(session))


def tell(session: Session, check_id: str, text: str) -> Session | Refused:
    """The walk after a check was answered, be it the one that is asked or another."""
    check = session.case.library.checks.get(check_id)
    forbidden = session.known.forbidden_by(check) if check and check_id not in session.known.findings else None
    if forbidden:
        showed = session.known.findings[forbidden].answer
        return Refused(f"The check '{check_id}' is not done after '{forbidden}' has shown '{showed}'.")
    reply = about(session, check_id, text)
    return reply if isinstance(reply, Refused) else told(session, reply)


def cannot_tell(session: Session) -> Session | Refused:
    """The walk after the question that stands was given up; refused where the tree has no way on without an answer."""
    node = session.here.node
    check = session.check
    if not check or not isinstance(node, Question):
        return Refused(_why_no_question(session))
    if not node.otherwise:
        return Refused(f"The tree has no way on from here without this answer.{_instead(session)}")
    return told(session, Untold(check.id))


def back(session: Session) -> Session | Refused:
    """The walk before the last reply."""
    if not session.replies:
        return Refused("There is nothing to take back: this is where the walk began.")
    return replayed(session.case, session.preset, session.replies[:-1], session.acknowledged)


def identify(session: Session, feature: str, value: str) -> Session | Refused:
    """The walk after a feature of the engine was seen; `build` names a build."""
    engine = session.case.engine
    if feature in engine.features:
        values = engine.features[feature].values
        value = _as_written(value, values)
        if value not in values:
            return Refused(f"{quote(value)} is no value of {feature}. It is one of: {', '.join(values)}.")
        reply = Seen(feature, value)
    elif _as_written(value, engine.builds) in engine.builds:
        value = _as_written(value, engine.builds)
        reply = Seen("", value)
    else:
        return Refused(f"{quote(value)} is no build of this engine. It is one of: {', '.join(engine.builds)}.")
    after = told(session, reply)
    if not after.known.builds:
        said = f"No build with {feature} {value} fits" if reply.feature else f"The build '{value}' does not fit"
        return Refused(f"{said} what is known so far. Take the doubtful answer back first.")
    return after


def _as_written(value: str, among: Collection[str]) -> str:
    """The value as the engine writes it, where only capitals differ; else as it was typed."""
    alike = [one for one in among if one.lower() == value.lower()]
    return alike[0] if len(alike) == 1 and value not in among else value


def _command(session: Session, text: str) -> Session | Refused | None:
    """The walk after a reply that answers no question; None where the text is no such reply."""
    word, _, rest = text.partition(" ")
    name, equals, value = (part.strip() for part in text.partition("="))
    if text.lower() == BACK:
        return back(session)
    if text == CANNOT_TELL:
        return cannot_tell(session)
    further: dict[str, Callable[[Session, str], Session | Refused]] = {
        AGAIN: _again,
        "jump": jump,
        "note": note,
        "revise": revise,
    }
    if word.lower() in further:
        return further[word.lower()](session, rest.strip())
    # Offsets may be typed with an equals sign too.
    offsets = session.check is not None and session.check.kind == "offsets"
    if equals and (not offsets or name in session.case.library.checks):
        return _assign(session, name.lower(), value)
    return None


def _assign(session: Session, name: str, value: str) -> Session | Refused:
    if name in session.case.engine.features or (name == BUILD and session.case.engine.builds):
        return identify(session, name, value)
    if name in session.case.library.checks:
        return tell(session, name, value)
    return Refused(f"{quote(name)} is neither a check of this library nor a feature of this engine.")


def _again(session: Session, text: str) -> Session | Refused:
    found = [reply.finding for reply in session.replies if isinstance(reply, Told)]
    taken = [finding for finding in found if finding.values or finding.offsets]
    if not taken:
        return Refused("No reading was taken yet, so none can be taken again.")
    last = taken[-1]
    if not text.strip():
        return Refused(f"Give the new reading behind it. The last one was '{last.check}'.")
    if not last.offsets:
        return tell(session, last.check, text)
    check = session.case.library.checks[last.check]
    again = read_again(check, session.case.engine, text, last)
    return again if isinstance(again, Refused) else told(session, Told(again))


def _why_no_question(session: Session) -> str:
    if session.outcome:
        return "The walk has ended here. Go back to change an answer."
    return "The tree has no way on from here. Go back to change an answer."


def _instead(session: Session) -> str:
    """The other checks to do first, cheapest first, as a sentence with a space before it."""
    offered = [f"'{one.check.id}' ({one.check.ask})" for one in open_checks(session)[:_MOST_OFFERED]]
    if not offered:
        return " No other check of this tree is open: leave the walk here, or go back."
    return f" Other checks still open, cheapest first: {', '.join(offered)}. Give one as CHECK=ANSWER."
