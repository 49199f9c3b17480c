"""The mix that stands in the Bench's form: kept as a draft, with the request by which it is booked once."""

import secrets

from tui.dialogs.typed_mix import TypedMix, from_kept, kept_texts
from tui.widgets.drafts import Drafts

FORM = "bench"


class MixDraft:
    """The draft of one studio's Bench.

    A draft keeps its request, so that a mix that was booked in the moment of a crash isn't booked twice; a mix that
    was changed since gets a request of its own.
    """

    def __init__(self, drafts: Drafts) -> None:
        self._drafts = drafts
        self._restored: TypedMix | None = None
        self.request = secrets.token_hex(12)

    def restored(self) -> TypedMix | None:
        """What was typed and not booked; None where nothing was."""
        kept = self._drafts.of(FORM) or {}
        typed_mix = from_kept(kept.get("mix"))
        if typed_mix.blank:
            return None
        self.request = str(kept.get("request") or self.request)
        self._restored = typed_mix
        return typed_mix

    def keep(self, typed_mix: TypedMix) -> None:
        """Keep what stands in the form now; an empty form has no draft."""
        if self._restored is not None and typed_mix != self._restored:
            self._restored, self.request = None, secrets.token_hex(12)
        if typed_mix.blank:
            self._drafts.drop(FORM)
        else:
            self._drafts.keep(FORM, {"mix": kept_texts(typed_mix), "request": self.request})

    def booked(self) -> None:
        """It is booked: the next mix is another one."""
        self._restored, self.request = None, secrets.token_hex(12)
        self._drafts.drop(FORM)
