"""`diagtree help [TOPIC]`: the handbook, printed. `diagtree help --man`: the manual page."""

import sys
from argparse import ArgumentParser, Namespace

from diagtree.cli import shared

NAME = "help"
HELP = "how to use it, topic by topic"


def add_arguments(parser: ArgumentParser) -> None:
    """The topic."""
    parser.add_argument("topic", nargs="?", metavar="TOPIC", help="without it: the list of topics")
    parser.add_argument("--man", action="store_true", help="the manual page diagtree(1), as roff")
    shared.add_library(parser)
    shared.add_json(parser)


def run(args: Namespace) -> int:
    """Print a topic, the list of topics, or the manual page."""
    from diagtree.report.topics import TOPICS, as_json, overview, text

    if args.man and (args.topic is not None or args.json):
        return shared.refuse("`--man` stands alone: the manual page holds every topic.")
    if args.man:
        sys.stdout.write(_man())
        return shared.DONE
    if args.topic is not None and args.topic not in TOPICS:
        return shared.refuse(_unknown(args.topic))
    said = overview() if args.topic is None else text(args.topic)
    sys.stdout.write(as_json(args.topic, said) if args.json else said)
    return shared.DONE


def _unknown(topic: str) -> str:
    from diagtree.cli import COMMANDS
    from diagtree.report.topics import TOPICS

    command = f" `diagtree {topic} --help` tells of the command." if topic in COMMANDS else ""
    return f"There is no topic '{topic}'. {shared.nearest(topic, TOPICS)}{command}"


def _man() -> str:
    from importlib import import_module

    from diagtree.cli import COMMANDS, DESCRIPTION
    from diagtree.report.roff import page
    from diagtree.report.topics import TOPICS, text

    parsers = {}
    for name, says in COMMANDS.items():
        parsers[name] = shared.Parser(prog=f"diagtree {name}", description=f"{says[0].upper()}{says[1:]}.")
        import_module(f"diagtree.cli.{name}").add_arguments(parsers[name])
    return page(shared.VERSION, DESCRIPTION, parsers, {name: text(name) for name in TOPICS})
