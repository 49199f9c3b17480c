"""Drafts: texts typed in a form and not booked yet, kept in a small file, so that neither Esc nor a crash loses them.

Each studio has a file of its own in the user's folder for state, readable only by its owner; another studio at the same
address, or a schema that is made anew, has another file. It is written with every change, because a crash or a killed
terminal comes without notice. If it can't be written, work goes on without drafts.
"""

import hashlib
import json
import os
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

from textual.message_pump import MessagePump

from stock.user_folders import STATE, user_folder
from tui.widgets.shell import shell_of

Content = dict[str, Any]
LARGEST = 1_000_000
"""A file larger than this is not a file of drafts."""


def folder() -> Path:
    """The folder of the files of drafts."""
    return Path(user_folder(STATE), "drafts")


class Drafts:
    """The drafts of one studio, by the form.

    Args:
        address: where its books are.
        studio: distinguishes it from another studio that was at this address; empty if that isn't known.
    """

    def __init__(self, address: str, studio: str) -> None:
        self._studio = studio
        whose = f"{_canonical(address)}\n{studio}".encode()
        self._path = folder() / f"{hashlib.sha256(whose).hexdigest()[:32]}.json"

    def of(self, form: str) -> Content | None:
        """The draft of a form; None without one."""
        found = self._read().get(form)
        return found if isinstance(found, dict) else None

    def keep(self, form: str, content: Content) -> None:
        """Keep the texts in a form."""
        self._change(lambda forms: forms.update({form: content}))

    def drop(self, form: str) -> None:
        """Forget a form's draft: it was booked, or thrown away."""
        if self._path.exists():
            self._change(lambda forms: forms.pop(form, None))

    def _read(self) -> dict[str, Any]:
        try:
            if self._path.stat().st_size > LARGEST:
                return {}
            found = json.loads(self._path.read_text("utf-8"))
        except (OSError, ValueError, RecursionError):
            return {}
        if not isinstance(found, dict) or found.get("studio") != self._studio:
            return {}
        forms = found.get("forms")
        return forms if isinstance(forms, dict) else {}

    def _change(self, change: Callable[[dict[str, Any]], object]) -> None:
        forms = self._read()
        change(forms)
        with suppress(OSError):
            if not forms:
                self._path.unlink(missing_ok=True)
                return
            self._path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            beside = self._path.with_suffix(f".{os.getpid()}")
            text = json.dumps({"studio": self._studio, "forms": forms}, ensure_ascii=False)
            handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(text)
            os.replace(beside, self._path)


def _canonical(address: str) -> str:
    return address if "://" in address else os.path.realpath(address)


def drafts_of(node: MessagePump) -> Drafts:
    """The drafts of the studio whose books are open."""
    from stock.store.models import database

    return Drafts(shell_of(node).address, str(getattr(database.obj, "studio", "")))
