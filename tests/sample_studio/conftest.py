"""The sample studio, told once a run; its tests only read it."""

from collections.abc import Iterator

import pytest

from tests import templates


@pytest.fixture(scope="session")
def sample(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The address of a sample studio that ends today."""
    return templates.sample_studio(tmp_path_factory)


@pytest.fixture
def studio(sample: str) -> Iterator[str]:
    """The sample studio, opened."""
    from stock.store.connection import connection, open_books

    open_books(sample)
    with connection():
        yield sample
