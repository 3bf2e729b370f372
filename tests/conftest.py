"""What every test shares. Properties are never timed: a loaded machine is no fault of the program."""

from collections.abc import Iterator

import pytest
from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")


@pytest.fixture(scope="session", autouse=True)
def _no_jobs_of_ours(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Walks of the tests are kept in a folder of the tests, whoever runs them."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("data")))
        patch.delenv("DIAGTREE_JOBS", raising=False)
        patch.delenv("DIAGTREE_BY", raising=False)
        yield
