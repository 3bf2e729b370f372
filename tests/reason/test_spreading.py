"""Pieces of work over processes: the same results, and nothing lost with a worker."""

import os
import signal
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor, ThreadPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context
from pathlib import Path

import pytest

from diagtree.reason.spreading import LostError, spread


def square(number: int) -> int:
    return number * number


def square_or_die(piece: tuple[int, str]) -> int:
    """Kill the worker the first time that the piece with a flag is met."""
    number, flag = piece
    if flag and not Path(flag).exists():
        Path(flag).touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return number * number


def die(_: int) -> int:
    os.kill(os.getpid(), signal.SIGKILL)
    return 0


def fail(number: int) -> int:
    return 1 // number


@contextmanager
def threads() -> Iterator[Executor]:
    with ThreadPoolExecutor(3) as executor:
        yield executor


@contextmanager
def processes() -> Iterator[Executor]:
    executor = ProcessPoolExecutor(2, mp_context=get_context("fork"))
    try:
        yield executor
    finally:
        executor.shutdown(wait=False, cancel_futures=True)


@pytest.mark.parametrize("opening", [None, threads])
def test_every_piece_is_done_once(opening: None) -> None:
    found = list(spread(square, range(200), opening))
    assert sorted(found) == [(at, at * at) for at in range(200)]
    assert list(spread(square, [], opening)) == []


@pytest.mark.filterwarnings("ignore:.*multi-threaded.*fork:DeprecationWarning")
def test_a_worker_that_is_killed_loses_nothing(tmp_path: Path) -> None:
    pieces = [(at, str(tmp_path / "killed") if at == 7 else "") for at in range(60)]
    found = sorted(spread(square_or_die, pieces, processes))
    assert (tmp_path / "killed").exists()
    assert found == [(at, at * at) for at in range(60)]


@pytest.mark.filterwarnings("ignore:.*multi-threaded.*fork:DeprecationWarning")
def test_pieces_that_kill_every_worker_end_it() -> None:
    with pytest.raises(LostError):
        list(spread(die, range(3), processes))


def test_what_a_piece_raises_is_raised() -> None:
    with pytest.raises(ZeroDivisionError):
        list(spread(fail, [1, 0, 2], threads))


def test_whoever_leaves_half_way_begins_no_more() -> None:
    begun: list[int] = []

    def note(number: int) -> int:
        begun.append(number)
        return number

    for at, _ in spread(note, range(1000), threads):
        if at >= 3:
            break
    assert len(begun) < 200
