"""`python -m diagtree` and the installed `diagtree` command."""

import gc
import sys

# New objects after which the cyclic collector looks through them. The usual 700 is met hundreds of times by imports and
# reading, which leave no rings behind: a tenth of a short command's time.
_OBJECTS = 50_000


def run() -> int:
    """Run the command line on this process's arguments; its exit code."""
    gc.set_threshold(_OBJECTS)
    from diagtree.cli import main

    code = main(sys.argv[1:])
    gc.freeze()  # the process ends here: looking for rings among all its objects once more is of no use
    return code


if __name__ == "__main__":
    sys.exit(run())
