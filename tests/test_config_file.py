"""The file of the user's settings stands where the platform's library says."""

import sys

import pytest
from platformdirs import user_config_path

from stock import config_file


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere the library itself is asked")
@pytest.mark.parametrize("named", [None, "", "  ", "/srv/settings", "/srv/two words/"])
def test_it_stands_in_the_platforms_folder(named: str | None, monkeypatch: pytest.MonkeyPatch) -> None:
    if named is None:
        monkeypatch.delenv("XDG_CONFIG_HOME", raising=False)
    else:
        monkeypatch.setenv("XDG_CONFIG_HOME", named)
    assert config_file.path() == user_config_path("ullage", appauthor=False) / "config.toml"
