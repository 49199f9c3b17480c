"""Dialogs that write files, and the question whether they may replace one."""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, ClassVar

from textual.binding import Binding, BindingType

from stock.language import _
from tui.widgets.dialog import Ask, BookingDialog

if TYPE_CHECKING:
    from stock.store.outputs import Output


class Replace(Ask):
    """The question whether to replace a file. Enter keeps it, so that one Enter too many replaces nothing."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "leave", _("Leave")),
        Binding("y", "go", _("Replace")),
    ]
    AUTO_FOCUS = "#leave"
    GO_KEY: ClassVar[str] = "y"


class WritesFiles(BookingDialog[str]):
    """A dialog that writes files. It asks before it replaces one, and never replaces books."""

    GO: ClassVar[str] = _("Write it")

    def __init__(self, address: str) -> None:
        """`address` is where the books are whose contents are written."""
        super().__init__()
        self._address = address
        self._written: Callable[[bool], str] | None = None

    def files(self) -> Callable[[], "tuple[Sequence[Output], str]"]:
        """Read the fields, and return what makes the files and the sentence about what was written.

        Raises:
            Misread: a field can't be read.
        """
        raise NotImplementedError

    def errand(self) -> Callable[[], str]:
        """Write the files, unless they would replace something."""
        make, address = self.files(), self._address

        def write(replace: bool = False) -> str:
            from stock.store import outputs

            made, said = make()
            outputs.write(made, address, replace=replace)
            return said

        self._written = write
        return write

    def refused(self, error: BaseException) -> None:
        """Ask whether to replace a file, if that is allowed."""
        from stock.store.outputs import WouldOverwrite

        write = self._written
        if not isinstance(error, WouldOverwrite) or not error.replaceable or write is None:
            super().refused(error)
            return
        said: list[str] = []
        self.app.push_screen(
            Replace(
                _("Replace it?"),
                f"{error.path} {error.why}.",
                go=_("Replace it"),
                errand=lambda _: said.append(write(True)),
                said="",
            ),
            lambda answer: self._replaced(answer, said),
        )

    def _replaced(self, answer: Any, said: list[str]) -> None:
        if answer is not None:
            self.post_message(self.Done(said[0]))
