"""A PostgreSQL server of our own for the tests: one for the whole run, on a socket in a folder, gone at its end."""

import fcntl
import glob
import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from secrets import token_hex

import pytest

from diagtree.jobs.address import Address
from diagtree.jobs.handing import Unkept
from diagtree.jobs.store import Store, open_store

_PROGRAMS = "/usr/lib/postgresql/*/bin"


@contextmanager
def _alone(folder: Path, name: str) -> Iterator[None]:
    """Only one of the test processes at a time."""
    with (folder / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def _programs() -> str:
    """Where the server's programs are; installed first where we may. Empty: there are none."""
    found = sorted(glob.glob(_PROGRAMS))  # noqa: PTH207
    if not found and os.geteuid() == 0 and shutil.which("apt-get"):
        quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
        with _alone(Path(tempfile.gettempdir()), "diagtree-postgresql"):
            if not glob.glob(_PROGRAMS):  # noqa: PTH207
                # The package would start a server of its own, for which nobody here has asked.
                Path("/etc/postgresql-common").mkdir(exist_ok=True)
                settings = Path("/etc/postgresql-common/createcluster.conf")
                if not settings.exists():
                    settings.write_text("create_main_cluster = false\n", encoding="utf-8")
                for words in (["update", "-qq"], ["install", "-qq", "-y", "--no-install-recommends", "postgresql"]):
                    subprocess.run(["apt-get", *words], env=quiet, capture_output=True, check=False, timeout=300)
        found = sorted(glob.glob(_PROGRAMS))  # noqa: PTH207
    return found[-1] if found else ""


def _as_server(words: list[str]) -> list[str]:
    """The command as the server's user: a server refuses to be run by root."""
    return ["setpriv", "--reuid=postgres", "--regid=postgres", "--init-groups", *words] if os.geteuid() == 0 else words


def _server(folder: Path) -> str:
    """Start the server in a folder, its socket there; the folder, or nothing where there can be none."""
    programs = _programs()
    if not programs:
        return ""
    data = folder / "data"
    data.mkdir(mode=0o700)
    if os.geteuid() == 0:
        user = pwd.getpwnam("postgres")
        for path in (folder, data):
            os.chown(path, user.pw_uid, user.pw_gid)
    initdb = [f"{programs}/initdb", "-D", str(data), "-A", "trust", "-U", "postgres", "--no-sync", "-E", "UTF8"]
    subprocess.run(_as_server(initdb), check=True, capture_output=True, cwd="/")
    options = f"-c listen_addresses= -c unix_socket_directories={folder} -c max_connections=120 -c fsync=off"
    start = [f"{programs}/pg_ctl", "-D", str(data), "-w", "-l", str(data / "log"), "-o", options, "start"]
    subprocess.run(_as_server(start), check=True, capture_output=True, cwd="/")
    return programs


def _stop(folder: Path, programs: str) -> None:
    stop = [f"{programs}/pg_ctl", "-D", str(folder / "data"), "-m", "immediate", "stop"]
    subprocess.run(_as_server(stop), check=False, capture_output=True, cwd="/")


@pytest.fixture(scope="session")
def _postgres(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path | None]:
    """The server's folder, shared by all test processes of the run; the last one to leave stops it."""
    base = tmp_path_factory.getbasetemp()
    shared = base.parent if os.environ.get("PYTEST_XDIST_WORKER") else base
    users = shared / "postgres-users"
    users.mkdir(exist_ok=True)
    me = users / token_hex(8)
    with _alone(shared, "postgres"):
        where, made = shared / "postgres-folder", shared / "postgres-programs"
        if not where.exists():
            folder = Path(tempfile.mkdtemp(prefix="dt-pg-"))  # a socket's path must be short
            made.write_text(_server(folder), encoding="utf-8")
            where.write_text(str(folder), encoding="utf-8")
        folder, programs = Path(where.read_text(encoding="utf-8")), made.read_text(encoding="utf-8")
        me.touch()
    yield folder if programs else None
    with _alone(shared, "postgres"):
        me.unlink()
        if not list(users.iterdir()):
            if programs:
                _stop(folder, programs)
            shutil.rmtree(folder, ignore_errors=True)
            where.unlink()


@pytest.fixture
def postgres_url(_postgres: Path | None) -> Iterator[str]:
    """The address of an empty database; skipped where no server can be had."""
    if _postgres is None:
        pytest.skip("no PostgreSQL here, and it can be installed only by root with apt-get")
    psycopg = pytest.importorskip("psycopg", reason="the package psycopg is not installed")
    name = f"t{token_hex(6)}"
    with psycopg.connect(host=str(_postgres), user="postgres", dbname="postgres", autocommit=True) as admin:
        admin.execute(f"CREATE DATABASE {name}")
        yield f"postgresql://postgres@/{name}?host={_postgres}"
        admin.execute(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture(params=["sqlite", "postgresql"])
def address(request: pytest.FixtureRequest, tmp_path: Path) -> Address:
    """A store's address, of each kind."""
    if request.param == "sqlite":
        return Address(str(tmp_path / "jobs.db"))
    return Address(request.getfixturevalue("postgres_url"))


@pytest.fixture
def opened(address: Address) -> Iterator[Callable[[], Store]]:
    """Opens the store, as often as it is called; all are closed in the end."""
    stores: list[Store] = []

    def again() -> Store:
        found = open_store(address, making=True)
        assert isinstance(found, Store), found.sentence if isinstance(found, Unkept) else found
        stores.append(found)
        return found

    yield again
    for store in stores:
        store.close()
