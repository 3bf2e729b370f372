"""Who does the work: this process, others on this machine, or a cluster."""

import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager, suppress
from functools import partial
from typing import TYPE_CHECKING

from diagtree.cli import shared

if TYPE_CHECKING:
    from diagtree.reason.spreading import Opening

# Seconds to wait for a cluster to answer, and how often a piece may lose its worker there.
_PATIENCE = 10
_LOST = 10


def add_workers(parser: ArgumentParser) -> None:
    """`--workers`, `--cluster`."""
    which = parser.add_mutually_exclusive_group()
    which.add_argument("--workers", type=_workers, metavar="N", help="work in N processes")
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
    executor = ProcessPoolExecutor(workers, mp_context=get_context("spawn"))
    try:
        yield executor
    finally:
        executor.shutdown(wait=False, cancel_futures=True)


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
    return partial(_cluster, client)


@contextmanager
def _cluster(client: "object") -> Iterator[Executor]:
    executor = client.get_executor(pure=False, retries=_LOST)  # type: ignore[attr-defined]
    try:
        yield executor
    finally:
        with suppress(OSError, TimeoutError):
            executor.shutdown(wait=False)
            client.close()  # type: ignore[attr-defined]


def progress(told: str) -> None:
    """How far it is, on a terminal; '' clears the line."""
    if sys.stderr is not None and sys.stderr.isatty():
        sys.stderr.write(f"\r\x1b[K{shared.safe(told)[:70]}")
        sys.stderr.flush()


def count(text: str) -> int:
    """A whole number above 0, as typed."""
    value = int(text)
    if not 0 < value <= 10**9:
        raise ValueError
    return value


def _workers(text: str) -> int:
    value = int(text)
    if not 0 < value <= 256:
        raise ValueError
    return value
