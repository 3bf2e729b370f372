"""What a store's trouble means for a workshop, in a sentence that says what to do."""

from sqlalchemy.exc import (
    ArgumentError,
    DBAPIError,
    IntegrityError,
    NoSuchModuleError,
    OperationalError,
    SQLAlchemyError,
)

from diagtree.jobs.address import Address
from diagtree.jobs.handing import Unkept

# What SQLite says -> what it comes to. The file is named before it.
_OF_SQLITE = {
    "disk is full": "The disk is full.",
    "disk i/o error": "The disk does not take it: it may be full or failing.",
    "readonly database": "It may not be written to. Name another file with --jobs.",
    "unable to open": "It cannot be opened: the folder is missing, or may not be written to. Name another with --jobs.",
    "is locked": "Another program holds it. Close that one, or try again.",
    "not a database": "It is no store of jobs. Nothing was changed. Name another file with --jobs.",
    "malformed": "It is damaged. Keep a copy, and go on with another file by --jobs or with one from a backup.",
    "encrypted": "It is no store of jobs. Nothing was changed. Name another file with --jobs.",
}
_OF_POSTGRES = {
    "53100": "Its disk is full.",
    "25006": "It takes no writing just now.",
    "28P01": "It does not accept the password.",
    "28000": "It does not let this user in.",
    "3D000": "It has no such database.",
    "42501": "This user may not do that there.",
}


class ForeignError(Exception):
    """The store is another program's, or of a newer version. Never leaves `store`."""


def unkept(address: Address, error: Exception) -> Unkept:
    """The sentence for an error that a store met."""
    if isinstance(error, ForeignError):
        return Unkept(str(error))
    if isinstance(error, (ImportError, NoSuchModuleError)):
        return Unkept("Jobs on a PostgreSQL server need the package psycopg: install diagtree[postgres].")
    if isinstance(error, (ValueError, ArgumentError)):
        return Unkept(f"The address of {address.shown} can't be read. Write postgresql://USER@HOST/DATABASE.")
    if isinstance(error, OSError):
        return Unkept(f"The jobs in {address.shown} are out of reach: {error.strerror or type(error).__name__}.")
    said = _of_server(error) if address.server else _of_file(error)
    return Unkept(
        f"The jobs in {address.shown} are out of reach. {said}" if address.server else f"{_head(address)} {said}"
    )


def passing(error: SQLAlchemyError) -> bool:
    """Whether the same may succeed when it is tried again at once: the connection broke, or two came together."""
    if isinstance(error, IntegrityError):
        return True  # two took the same number; the next try sees the other's
    if isinstance(error, DBAPIError) and error.connection_invalidated:
        return True
    return isinstance(error, OperationalError) and _state(error) in {"40001", "40P01"}


def _head(address: Address) -> str:
    return f"Jobs are kept in {address.shown}."


def _of_file(error: Exception) -> str:
    said = str(getattr(error, "orig", error)).lower()
    return next((says for words, says in _OF_SQLITE.items() if words in said), f"The database says: {said}.")


def _of_server(error: Exception) -> str:
    state = _state(error)
    if state in _OF_POSTGRES:
        return _OF_POSTGRES[state]
    if isinstance(error, DBAPIError) and not state:
        return "It does not answer. Is it running, and is the address right?"
    return f"It says: error {state or type(error).__name__}."


def _state(error: Exception) -> str:
    return str(getattr(getattr(error, "orig", None), "sqlstate", None) or "")
