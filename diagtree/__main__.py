"""`python -m diagtree` and the installed `diagtree` command."""

import sys


def run() -> int:
    """Run the command line on this process's arguments; its exit code."""
    from diagtree.cli import main

    return main(sys.argv[1:])


if __name__ == "__main__":
    sys.exit(run())
