"""The sample studio, told once a run; its tests only read it."""

from collections.abc import Iterator

import pytest


@pytest.fixture(scope="session")
def sample(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The address of a sample studio that ends today."""
    from sample_studio.loader import load
    from stock.store.models import database

    address = str(tmp_path_factory.mktemp("sample") / "sample.ullage")
    load(address)
    if not database.is_closed():
        database.close()
    return address


@pytest.fixture
def studio(sample: str) -> Iterator[str]:
    """The sample studio, opened."""
    from stock.store.connection import connection, open_books

    open_books(sample)
    with connection():
        yield sample
