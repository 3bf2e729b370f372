"""Start the program many times without loading its modules each time.

A process of its own that has loaded them, with one thread and nothing run yet, forks for each run. So a run is a
process with streams and an exit code like any other, and knows nothing of the runs before it. How the program starts
from nothing is for `tests/cli`.
"""

import atexit
import gc
import json
import os
import pkgutil
import subprocess
import sys
import traceback
from collections.abc import Mapping, Sequence
from importlib import import_module
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NoReturn

ROOT = Path(__file__).resolve().parents[1]
HEAVY = ("networkx", "numpy", "pint", "yaml")


class Starter:
    """A process that has loaded the program in this environment, and starts it as often as it is asked to."""

    def __init__(self, environment: Mapping[str, str]) -> None:
        paths = [str(ROOT), environment.get("PYTHONPATH", "")]
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.forking"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env={**environment, "PYTHONPATH": os.pathsep.join(filter(None, paths))},
            cwd=ROOT,
        )
        self.folder = TemporaryDirectory()
        atexit.register(self.end)

    def run(self, argv: Sequence[str], stdin: bytes = b"") -> tuple[int, bytes, bytes]:
        """Run the program once; its exit code, standard output and standard error."""
        streams = [Path(self.folder.name) / name for name in ("in", "out", "err")]
        for stream, content in zip(streams, (stdin, b"", b""), strict=True):
            stream.write_bytes(content)
        assert self.process.stdin
        assert self.process.stdout
        self.process.stdin.write(json.dumps([list(argv), [str(stream) for stream in streams]]).encode() + b"\n")
        self.process.stdin.flush()
        code = int(self.process.stdout.readline())
        return code, streams[1].read_bytes(), streams[2].read_bytes()

    def end(self) -> None:
        """Let it end, and wait for it."""
        atexit.unregister(self.end)
        self.process.communicate()
        self.folder.cleanup()


# In the process that forks


def serve() -> None:
    """Start one run for each line of standard input, and write its exit code; see `Starter.run`."""
    _load()
    for line in sys.stdin:
        argv, streams = json.loads(line)
        child = os.fork()
        if not child:
            _run(argv, streams)
        _, status = os.waitpid(child, 0)
        sys.stdout.write(f"{os.waitstatus_to_exitcode(status)}\n")
        sys.stdout.flush()


def _load() -> None:
    """Load what a command would load."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the program has it; and no thread is lost in a fork
    import diagtree

    for name in HEAVY:
        import_module(name)
    for module in pkgutil.walk_packages(diagtree.__path__, "diagtree."):
        if not module.name.startswith("diagtree.term"):
            import_module(module.name)
    gc.collect()
    gc.freeze()  # what the collector never looks at again is never copied


def _run(argv: list[str], streams: list[str]) -> NoReturn:
    """Be the program: these arguments, these files as streams; never comes back."""
    code = 1
    try:
        for descriptor, (path, way) in enumerate(zip(streams, (os.O_RDONLY, os.O_WRONLY, os.O_WRONLY), strict=True)):
            opened = os.open(path, way)
            os.dup2(opened, descriptor)
            os.close(opened)
        sys.stdin, sys.stdout = _anew(sys.stdin, "r"), _anew(sys.stdout, "w")
        sys.stderr = _anew(sys.stderr, "w")
        from diagtree.cli import main

        code = main(argv)
    except BaseException:  # noqa: BLE001 - the interpreter would write any of them, and end with 1
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


def _anew(stream: Any, mode: str) -> Any:
    """The same stream with nothing read or held back."""
    return open(stream.fileno(), mode, encoding=stream.encoding, errors=stream.errors, closefd=False)


if __name__ == "__main__":
    serve()
