"""The command line: parse, call, render. No logic."""

import os
import sys
from contextlib import suppress
from importlib import import_module

from diagtree.cli import shared, streams

DESCRIPTION = "Fault trees for chain-driven camshafts: walk them, scope the repair, draw the poster."
# What `--help` lists. A command's own module is loaded only when it is asked for.
COMMANDS = {
    "walk": "find the fault, check by check",
    "next": "what to check next, and what it is worth",
    "estimate": "hours and money of the visit, before teardown",
    "scope": "work, hours and parts for one or more faults",
    "timing": "the chain drive's geometry, and what camshaft offsets say",
    "draw": "a tree as a drawing",
    "drill": "practise on a car with a hidden fault",
    "learn": "what closed jobs say of the author's numbers",
    "export": "a tree as a Bayesian net, or the closed jobs, for other programs",
    "vet": "find the mistakes of a library",
    "new": "a small library, or a tree more, to start from",
    "jobs": "the walks that were kept: find, show, close, export",
    "schema": "the JSON Schema of a library's files, for editors",
    "help": "how to use it, topic by topic",
}
INTERRUPTED = 130
PIPE_GONE = 141
# Nested calls: enough for a tree of some 5,000 questions in a row.
DEEPEST = 30_000


def main(argv: list[str]) -> int:
    """Run one command; its exit code. Nothing is raised, whatever the arguments, the files and the streams."""
    streams.prepare()
    # A tree is followed question by question. The usual limit is met by one of some 900 questions in a row; calls
    # between Python functions take no C stack, so a higher one is safe.
    sys.setrecursionlimit(max(sys.getrecursionlimit(), DEEPEST))
    # Our arrays are small. Threads for large ones would cost a quarter of numpy's start, and more where cores are few.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        code = _run(argv)
        streams.flush()
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        streams.abandon()
        return PIPE_GONE
    except OSError as error:
        streams.abandon()
        with suppress(OSError):  # standard error may be as full
            shared.refuse(f"The output could not be written: {error.strerror or error}.")
        return shared.WRONG
    return code


def _run(argv: list[str]) -> int:
    words = shared.command_first(argv)
    parser = shared.Parser(
        prog="diagtree",
        description=DESCRIPTION,
        epilog="`diagtree COMMAND --help` tells more. Without --library the demo library is used.",
    )
    parser.add_argument("--version", action="version", version=f"diagtree {shared.VERSION}")
    commands = parser.add_subparsers(
        dest="command", metavar="COMMAND", title="commands", parser_class=shared.Parser, prog="diagtree"
    )
    chosen = words[0] if words and words[0] in COMMANDS else None
    for name in COMMANDS if chosen is None else (chosen,):
        says = COMMANDS[name]
        below = commands.add_parser(
            name, help=says, description=f"{says[0].upper()}{says[1:]}.", add_help=chosen is not None
        )
        if chosen is not None:
            import_module(f"diagtree.cli.{name}").add_arguments(below)
    try:
        args = parser.parse_args(words)
    except SystemExit as left:  # argparse leaves this way, after --help too
        return left.code if isinstance(left.code, int) else shared.WRONG
    if args.command is None:
        sys.stderr.write(parser.format_help())
        return shared.WRONG
    empty = [f"--{name.replace('_', '-')}" for name, value in vars(args).items() if value == ""]
    for option in empty:
        # What a script meant to fill in. Passed over, it would be read as not given.
        if any(word.split("=")[0] == option for word in words):
            return shared.refuse(f"{option} is empty. Give it a value, or leave it out.")
    return int(import_module(f"diagtree.cli.{args.command}").run(args))
