"""What every test shares. Properties are never timed: a loaded machine is no fault of the program.

The ordinary run draws the same examples each time, so that one commit has one verdict. `--hypothesis-profile=wide`
draws new ones, and twenty times as many.
"""

import pkgutil
import signal
from collections.abc import Iterator
from contextlib import suppress
from importlib import import_module

import pytest
from hypothesis import HealthCheck, is_hypothesis_test, settings

import diagtree

WIDER = 20

# A shell that starts the tests behind itself has interrupts ignored, and the programs of the tests would inherit that.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)

settings.register_profile(
    "repeatable", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow], print_blob=True
)
settings.register_profile(
    "wide", deadline=None, derandomize=False, suppress_health_check=[HealthCheck.too_slow], print_blob=True
)
settings.load_profile("repeatable")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Make the examples of properties depend on the commit alone, or be many."""
    found = {one.obj for one in items if isinstance(one, pytest.Function) and is_hypothesis_test(one.obj)}
    if not found:
        return
    # Examples are drawn from the constants of the modules that happen to be loaded, too: load them all.
    for module in pkgutil.walk_packages(diagtree.__path__, "diagtree."):
        with suppress(ImportError, SyntaxError):  # its own tests will tell
            import_module(module.name)
    if settings.get_current_profile_name() == "wide":
        for test in found:
            own = test._hypothesis_internal_use_settings  # a test's own number of examples has no public name
            test._hypothesis_internal_use_settings = settings(own, max_examples=WIDER * own.max_examples)


@pytest.fixture(scope="session", autouse=True)
def _no_jobs_of_ours(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Walks of the tests are kept in a folder of the tests, whoever runs them."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("data")))
        patch.delenv("DIAGTREE_JOBS", raising=False)
        patch.delenv("DIAGTREE_BY", raising=False)
        yield
