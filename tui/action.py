"""An entry of the registry of actions."""

from stock.named_tuples import NamedTuple


class Action(NamedTuple):
    """An action that a key runs.

    Args:
        id: its holder, a dot, and its name. A holder is a screen's id, a sheet's, `app` or `any`.
        key: as Textual names it; several with commas between them.
        title: one or two words for the strip of keys.
        help: one line that says what it does.
        shown: whether the strip shows it; `?` and the palette show all.
        display: how the key is written, if not by its name.
        does: the Textual action that it runs, with its argument; its own name if this is empty.
        anywhere: the palette's title of an action of a sheet that it lists on every screen; empty for others.
        commands: the commands that a remedy replaces by this key; each may be followed by an option that it must have.
        of_finding: such commands for the remedy of the selected finding, if it is read on this screen.
        on_what: whether such a remedy also names the command's arguments, such as mix 3.
    """

    id: str
    key: str
    title: str
    help: str
    shown: bool = True
    display: str = ""
    does: str = ""
    anywhere: str = ""
    commands: tuple[str, ...] = ()
    of_finding: tuple[str, ...] = ()
    on_what: bool = False

    @property
    def letters(self) -> str:
        """The key's name in a sentence."""
        return self.display or self.key.partition(",")[0]

    @property
    def holder(self) -> str:
        """The screen or sheet that has it, `app` or `any`."""
        return self.id.partition(".")[0]

    @property
    def call(self) -> str:
        """The action's name for Textual."""
        return self.does or self.id.partition(".")[2]
