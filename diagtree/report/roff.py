"""The manual page, diagtree(1), made from the parsers of the commands and the help topics.

Macros: man(7). Nothing in it depends on the day, the machine or the version of Python.
"""

from argparse import SUPPRESS, Action, ArgumentParser
from collections.abc import Iterable, Mapping

from diagtree.model.library import NOTICE

_OPTIONS = {
    "--version": "The version.",
    "--help": "The commands; after a command, its options.",
}
_ENVIRONMENT = {
    "DIAGTREE_LIBRARY": "The library where --library is not given: a folder of YAML files, or one file.",
    "DIAGTREE_JOBS": "Where jobs are kept: a file, or the postgresql:// address of a server.",
    "DIAGTREE_BY": "Who writes into a job where --by is not given; nobody is named where it is not set.",
    "NO_COLOR": "Where it is set and not empty, nothing is coloured.",
    "GITHUB_ACTIONS": "Where it is true, vet also writes the lines that such a server marks.",
    "TERM": "Where it is dumb or empty, a walk asks line by line.",
}
_EXIT = {
    "0": "Done.",
    "1": "The command vet found something.",
    "2": "Wrong use or unreadable input: one sentence on standard error, nothing on standard output.",
    "130": "Interrupted.",
    "141": "The reader of a pipe went away.",
}


def page(version: str, says: str, parsers: Mapping[str, ArgumentParser], topics: Mapping[str, str]) -> str:
    """The page as roff text.

    Args:
        version: of the program.
        says: the program in one sentence.
        parsers: by command, each with its description.
        topics: by name, each as plain text with its heading in the first line.
    """
    lines = [
        r".\" Made by `diagtree help --man`. Do not edit.",
        f'.TH DIAGTREE 1 "" "diagtree {escape(version)}" "User commands"',
        *_section("NAME", [f"diagtree \\- {escape(says[0].lower() + says[1:].removesuffix('.'))}"]),
        *_section("SYNOPSIS", [r".B diagtree", r".RI [ OPTIONS ] \ COMMAND \ ..."]),
        *_section("DESCRIPTION", [escape(says), ".PP", escape(NOTICE)]),
        *_section("OPTIONS", _terms(_OPTIONS)),
        *_section("COMMANDS", [line for name, parser in parsers.items() for line in _command(name, parser)]),
        *_section("ENVIRONMENT", _terms(_ENVIRONMENT)),
        *_section("EXIT STATUS", _terms(_EXIT)),
        *[line for text in topics.values() for line in _topic(text)],
    ]
    return "\n".join(lines) + "\n"


def escape(text: str) -> str:
    """A line of text that roff shows as it is: backslashes, hyphens, quotes, and a dot that would be a request."""
    shown = text.replace("\\", r"\e").replace("-", r"\-").replace("'", r"\(aq").replace("`", r"\(ga")
    shown = shown.replace("^", r"\(ha").replace("~", r"\(ti")
    return rf"\&{shown}" if shown.startswith((".", "\\(aq")) else shown


def _section(title: str, body: Iterable[str]) -> list[str]:
    return [f'.SH "{escape(title)}"', *body]


def _terms(terms: Mapping[str, str]) -> list[str]:
    return [line for term, says in terms.items() for line in (".TP", rf"\fB{escape(term)}\fR", escape(says))]


def _command(name: str, parser: ArgumentParser) -> list[str]:
    actions = [action for action in parser._actions if action.help != SUPPRESS and action.dest != "help"]  # noqa: SLF001 -- argparse has no other way to list them
    operands = "".join(f" {_operand(action)}" for action in actions if not action.option_strings)
    lines = [f'.SS "diagtree {name}{operands}"', escape(parser.description or "")]
    for action in actions:
        lines += [".TP", _head(action), escape(_help(action))]
    return lines


def _operand(action: Action) -> str:
    name = _metavar(action)
    shown = f"{name} ..." if action.nargs in ("+", "*") else name
    return f"[{shown}]" if action.nargs in ("?", "*") else shown


def _metavar(action: Action) -> str:
    if action.choices and not action.metavar:
        return "{" + ",".join(map(str, action.choices)) + "}"
    return str(action.metavar or action.dest.upper())


def _head(action: Action) -> str:
    value = "" if action.nargs == 0 else rf" \fI{escape(_metavar(action))}\fR"
    names = ", ".join(rf"\fB{escape(option)}\fR" for option in action.option_strings)
    return f"{names}{value}" if names else value.strip()


def _help(action: Action) -> str:
    said = str(action.help or "").replace("%%", "%")
    return f"{said[:1].upper()}{said[1:]}."


def _topic(text: str) -> list[str]:
    """A topic as it is printed: its columns carry meaning."""
    first, _, rest = text.partition("\n")
    return [
        *_section(first.partition(":")[0], [".nf", *(escape(line) for line in rest.strip("\n").split("\n")), ".fi"])
    ]
