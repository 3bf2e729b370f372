"""A walk's beginning from a command's options: tree, engine, build, answers known."""

from argparse import Namespace
from typing import TYPE_CHECKING

from diagtree.cli import shared
from diagtree.cli.answers import known_answers

if TYPE_CHECKING:
    from diagtree.model.library import Library
    from diagtree.walk.session import Session


def begun(library: "Library", args: Namespace) -> "Session | str":
    """The walk with what is known before it; else the sentence that says why not."""
    tree = shared.choose_tree(library, args.tree)
    if isinstance(tree, str):
        return tree
    engine = shared.choose_engine(library, args, tree)
    if isinstance(engine, str):
        return engine
    chosen = shared.choose_builds(engine, args)
    if isinstance(chosen, str):
        return chosen
    answers = known_answers(args)
    if isinstance(answers, str):
        return answers

    from diagtree.walk.moves import preset
    from diagtree.walk.replies import Case
    from diagtree.walk.session import Session, begin

    known, builds = chosen
    session = begin(Case(library, tree, engine, builds, known))
    if isinstance(session, Session):
        session = preset(session, answers)
    return session if isinstance(session, Session) else session.sentence
