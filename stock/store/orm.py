"""Peewee, without the time that importing its database drivers and half of its other modules takes.

Peewee imports every installed driver, and psycopg alone takes longer than the rest of a command on an SQLite file, so
drivers are hidden from it. Nothing depends on the drivers that Peewee finds: SQLite uses Python's own module, and
`stock.store.server` imports psycopg itself.

Two thirds of the remaining time go to modules of which a command uses one function or none. These are imported when
Peewee first uses them. Only imports in Peewee's own code are affected.
"""

import builtins
import sys
from importlib import import_module
from importlib.util import find_spec, module_from_spec
from types import ModuleType, SimpleNamespace
from typing import TYPE_CHECKING, Any

_DRIVERS = frozenset({"psycopg2cffi", "psycopg2", "psycopg", "pymysql", "MySQLdb", "pysqlite3"})


class _ModuleAtNeed(ModuleType):
    """A stand-in for a module that is imported at its first use."""

    def __getattr__(self, name: str) -> Any:
        return getattr(import_module(self.__name__), name)


class _QueryLog:
    """The logger `peewee`, which gets each statement; it has no listener before `logging` is imported."""

    def __init__(self) -> None:
        self._logger: Any = None

    def addHandler(self, handler: object) -> None:  # noqa: N802 - the name that logging knows
        """Ignore the handler that Peewee adds, which does nothing."""

    def isEnabledFor(self, level: int) -> bool:  # noqa: N802
        """Whether a listener wants messages of the level."""
        if self._logger is None:
            logging = sys.modules.get("logging")
            if logging is None:
                return False
            self._logger = logging.getLogger("peewee")  # a search with a lock, so once
        return bool(self._logger.isEnabledFor(level))

    def debug(self, message: object) -> None:
        """Pass the message on to the listeners."""
        import_module("logging").getLogger("peewee").debug(message)


_AT_NEED: dict[str, Any] = {
    "calendar": _ModuleAtNeed("calendar"),
    "hashlib": _ModuleAtNeed("hashlib"),
    "inspect": SimpleNamespace(isclass=lambda value: isinstance(value, type)),  # as inspect defines it
    "logging": SimpleNamespace(DEBUG=10, NullHandler=object, getLogger=lambda _name: _QueryLog()),
    "socket": _ModuleAtNeed("socket"),
    "uuid": _ModuleAtNeed("uuid"),
}


def _import_for_peewee(name: str, *more: Any) -> Any:
    """The function that `import` calls in Peewee's module.

    Raises:
        ImportError: a driver was asked for, or there is no such module.
    """
    if name in _DRIVERS:
        raise ModuleNotFoundError(f"{name} is not imported here", name=name)
    return _AT_NEED[name] if name in _AT_NEED else builtins.__import__(name, *more)


def _peewee() -> ModuleType:
    """Peewee, if it was imported already; else import it with `_import_for_peewee`.

    Raises:
        ModuleNotFoundError: it is not installed.
    """
    if "peewee" in sys.modules:
        return sys.modules["peewee"]
    spec = find_spec("peewee")
    if spec is None or spec.loader is None:
        raise ModuleNotFoundError("No module named 'peewee'", name="peewee")
    module = module_from_spec(spec)
    vars(module)["__builtins__"] = {**vars(builtins), "__import__": _import_for_peewee}
    sys.modules["peewee"] = module
    spec.loader.exec_module(module)
    return module


if TYPE_CHECKING:
    import peewee as pw
else:
    pw = _peewee()

__all__ = ["pw"]
