"""`diagtree schema`: the JSON Schema of a library's files, for editors."""

import json
import sys
from argparse import ArgumentParser, Namespace

from diagtree.cli import shared

NAME = "schema"
HELP = "the JSON Schema of a library's files, for editors"


def add_arguments(parser: ArgumentParser) -> None:
    """The command's own arguments: `--json` is taken, as everywhere, and changes nothing."""
    shared.add_library(parser)
    shared.add_json(parser)


def run(_args: Namespace) -> int:
    """Print the schema."""
    from diagtree.source.schema import schema

    sys.stdout.write(json.dumps(schema(), indent=2) + "\n")
    return shared.DONE
