"""Works out beside the trainee what the review will ask, so that it is quick. What it finds is the same either way."""

from threading import Condition, Thread

from diagtree.practice.drill import Drill
from diagtree.practice.trainee import Adviser, run
from diagtree.reason.standing import Standing


class Ahead:
    """A thread of its own: the standings that the trainee came to, the latest first, then the car's best order."""

    def __init__(self, adviser: Adviser, drill: Drill) -> None:
        """Args: adviser, which keeps what is found; drill, where it begins."""
        self._adviser = adviser
        self._car = drill.car
        self._wished: list[Standing] = []
        self._stopped = False
        self._changed = Condition()
        self.look(drill)
        # It ends with the program: who leaves does not wait for it.
        Thread(target=self._work, daemon=True).start()

    def look(self, drill: Drill) -> None:
        """The trainee came to here."""
        with self._changed:
            self._wished.append(drill.here)
            self._changed.notify()

    def stop(self) -> None:
        """Begin nothing more."""
        with self._changed:
            self._stopped = True
            self._changed.notify()

    def _work(self) -> None:
        try:
            while (here := self._next(wait=False)) is not None:
                self._adviser.worth(here)
            if not self._stopped:
                self._adviser.average(self._car.case)
                run(self._car, self._course)
            while (here := self._next(wait=True)) is not None:
                self._adviser.worth(here)
        except Exception:  # noqa: BLE001  # the review meets the same and says so; here nobody would see it
            return

    def _course(self, drill: Drill) -> str | tuple[str, ...]:
        """The best order's move; what the trainee came to meanwhile goes first."""
        while (here := self._next(wait=False)) is not None:
            self._adviser.worth(here)
        if self._stopped:
            raise InterruptedError
        return self._adviser(drill)

    def _next(self, *, wait: bool) -> Standing | None:
        """The standing to look at; None where there is none, or where it was stopped."""
        with self._changed:
            while wait and not self._wished and not self._stopped:
                self._changed.wait()
            return self._wished.pop() if self._wished and not self._stopped else None
