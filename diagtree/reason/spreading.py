"""Work in pieces over processes or machines: any executor of `concurrent.futures` will do.

Results are the same bytes however many work on them, since every piece is a pure function of what it is given.
"""

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from contextlib import AbstractContextManager
from typing import TypeAlias, TypeVar

Piece = TypeVar("Piece")
Result = TypeVar("Result")

# Makes an executor, and ends it when it is left: what was not begun by then is not begun.
Opening: TypeAlias = Callable[[], AbstractContextManager[Executor]]

# Pieces under way at a time: enough that nobody waits, few enough that they need not all be in memory.
_AHEAD = 32
# How often workers may be lost in a row without a piece being finished.
_TRIES = 3


class LostError(Exception):
    """Workers were lost again and again, and no piece was finished in between: the pieces themselves kill them."""


def spread(
    function: Callable[[Piece], Result], pieces: Sequence[Piece], opening: Opening | None = None
) -> Iterator[tuple[int, Result]]:
    """Work on pieces; each result as it is done, with its piece's place.

    Args:
        function: pure; a module's own, so that other processes find it.
        pieces: what it is called with, one at a time; they must be fit for pickling where there is an executor.
        opening: None: here, one after another.

    A worker that is killed loses nothing: what it had under way is given to another, on a new executor where the old
    one broke. To stop half-way, leave the loop: pieces not begun are not begun.

    Raises:
        LostError: see there. And whatever `function` raises.
    """
    if opening is None:
        for at, piece in enumerate(pieces):
            yield at, function(piece)
        return
    left = dict(enumerate(pieces))
    tries = 0
    while left:
        try:
            with opening() as executor:
                for at, result in _on(executor, function, left):
                    tries = 0
                    del left[at]
                    yield at, result
        except BrokenExecutor as broken:
            tries += 1
            if tries >= _TRIES:
                message = "the workers were lost again and again"
                raise LostError(message) from broken


def _on(
    executor: Executor, function: Callable[[Piece], Result], pieces: dict[int, Piece]
) -> Iterator[tuple[int, Result]]:
    waiting = iter(list(pieces.items()))
    under_way: dict[Future[Result], int] = {}
    while True:
        while len(under_way) < _AHEAD and (following := next(waiting, None)) is not None:
            under_way[executor.submit(function, following[1])] = following[0]
        if not under_way:
            return
        done, _ = wait(under_way, return_when=FIRST_COMPLETED)
        for future in sorted(done, key=lambda one: under_way[one]):
            yield under_way.pop(future), future.result()
