"""Where jobs are kept: a file of SQLite, or a PostgreSQL server that several benches share."""

import os
from dataclasses import dataclass
from pathlib import Path

VARIABLE = "DIAGTREE_JOBS"
FILE_NAME = "jobs.db"
_SERVER = "postgresql://"


@dataclass(frozen=True, slots=True)
class Address:
    """A store's address."""

    text: str  # a file's path, or the server's address, which may hold a password: never shown
    ours: bool = False  # the platform's own place, whose folder is made where it is not there

    @property
    def server(self) -> bool:
        """Whether it is a PostgreSQL server."""
        return self.text.startswith(_SERVER)

    @property
    def shown(self) -> str:
        """The address as people may read it."""
        return "the PostgreSQL server of $DIAGTREE_JOBS" if self.server else f"'{self.text}'"


def address(stated: str | None = None) -> Address:
    """The store: `--jobs`, else $DIAGTREE_JOBS, else `jobs.db` in the platform's data folder."""
    text = stated or os.environ.get(VARIABLE)
    if text:
        return Address(text if text.startswith(_SERVER) else str(Path(text).expanduser()))
    from platformdirs import user_data_path

    return Address(str(user_data_path("diagtree", appauthor=False) / FILE_NAME), ours=True)
