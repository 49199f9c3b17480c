"""The program's folders are those that the library for such folders says."""

import sys

import platformdirs
import pytest

from stock import config_file
from stock.user_folders import CONFIG, DATA, ON_LINUX, STATE, user_folder


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere the library is asked")
@pytest.mark.parametrize(
    "named", [None, "", "  ", "/etc/of mine", "/etc/of mine/", "relative", "~/own", " /blank"]
)
@pytest.mark.parametrize("home", ["/home/painter", "/", "/home/painter/", "relative", "", None])
def test_folders_are_those_that_the_library_says(named, home, monkeypatch):
    for name, value in (("HOME", home), *((variable, named) for variable, _ in ON_LINUX.values())):
        if value is None:
            monkeypatch.delenv(name, raising=False)
        else:
            monkeypatch.setenv(name, value)
    library = platformdirs.PlatformDirs("ullage", appauthor=False)
    assert user_folder(CONFIG) == str(library.user_config_path)
    assert user_folder(DATA) == str(library.user_data_path)
    assert user_folder(STATE) == str(library.user_state_path)
    assert config_file.path() == str(library.user_config_path / "config.toml")


@pytest.mark.parametrize("kind", [CONFIG, DATA, STATE])
def test_other_systems_ask_the_library(kind, monkeypatch):
    there = platformdirs.PlatformDirs("ullage", appauthor=False)
    monkeypatch.setattr(sys, "platform", "darwin")
    assert user_folder(kind) == getattr(there, f"user_{kind}_dir")
