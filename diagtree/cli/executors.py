"""Who does the work: this process, others on this machine, or a cluster."""

import signal
import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager, suppress
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from diagtree.cli import figures, shared

if TYPE_CHECKING:
    from diagtree.reason.spreading import Opening

# Seconds to wait for a cluster to answer, and how often a piece may lose its worker there.
_PATIENCE = 10
_LOST = 10


def add_workers(parser: ArgumentParser) -> None:
    """`--workers`, `--cluster`."""
    which = parser.add_mutually_exclusive_group()
    which.add_argument("--workers", type=figures.whole(1, 256), metavar="N", help="work in N processes")
    which.add_argument("--cluster", metavar="ADDRESS", help="work on a Dask cluster, such as tcp://host:8786")


def opening(args: Namespace) -> "Opening | str | None":
    """How an executor is opened; None: work here; else a sentence that says why not."""
    if args.cluster:
        return _reached(args.cluster)
    return partial(_pool, args.workers) if args.workers else None


@contextmanager
def _pool(workers: int) -> Iterator[Executor]:
    from multiprocessing import get_context

    # A fresh interpreter for each: threads of the array library do not outlive a fork.
    executor = ProcessPoolExecutor(workers, mp_context=get_context("spawn"), initializer=_heedless)
    try:
        yield executor
    except KeyboardInterrupt:
        _kill(executor)
        raise
    finally:
        executor.shutdown(wait=False, cancel_futures=True)


def _kill(executor: ProcessPoolExecutor) -> None:
    """End the workers at once: what is under way may take long, and nobody waits for it any more."""
    for process in list((getattr(executor, "_processes", None) or {}).values()):
        process.kill()
    # Whoever still writes to them would wait for ever (CPython issue 94777, mended in 3.12).
    reader = getattr(getattr(executor, "_call_queue", None), "_reader", None)
    if reader is not None:
        reader.close()


def _heedless() -> None:
    """A worker leaves ^C to the process that it works for."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _reached(address: str) -> "Opening | str":
    try:
        from distributed import Client
    except ImportError:
        return "A cluster needs the extra 'cluster': pip install 'diagtree[cluster]'."
    try:
        client = Client(address, timeout=_PATIENCE, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        return f"No cluster answers at {address} ({type(error).__name__}). Start a scheduler and workers there."
    if not client.scheduler_info(n_workers=-1)["workers"]:
        client.close()
        return f"The cluster at {address} has no worker. Start one."
    # What is sent are our own classes: a worker that has others would read them wrongly or not at all.
    others = {str(told) for told in client.run(stamp, on_error="return").values()} - {stamp()}
    if others:
        client.close()
        return f"Workers at {address} have another diagtree, or none. Install the same there as here."
    return partial(_cluster, client)


def stamp() -> str:
    """What tells one diagtree from another: its version, and a digest of its programs."""
    from hashlib import sha256

    import diagtree

    root = Path(diagtree.__file__).parent
    programs = sorted((path.relative_to(root).as_posix(), path.read_bytes()) for path in root.rglob("*.py"))
    return f"{diagtree.__version__} {sha256(repr(programs).encode()).hexdigest()}"


@contextmanager
def _cluster(client: "object") -> Iterator[Executor]:
    from concurrent.futures import CancelledError

    from distributed import KilledWorker

    from diagtree.reason.spreading import LostError

    executor = client.get_executor(pure=False, retries=_LOST)  # type: ignore[attr-defined]
    try:
        yield executor
    except (KilledWorker, CancelledError) as lost:
        message = "the cluster lost what it was given"
        raise LostError(message) from lost
    finally:
        with suppress(OSError, TimeoutError):
            executor.shutdown(wait=False)
            client.close()  # type: ignore[attr-defined]


def progress(told: str) -> None:
    """How far it is, on a terminal; '' clears the line."""
    if sys.stderr is not None and sys.stderr.isatty():
        sys.stderr.write(f"\r\x1b[K{shared.safe(told)[:70]}")
        sys.stderr.flush()
