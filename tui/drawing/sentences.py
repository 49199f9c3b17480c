"""What went wrong and what to do, as sentences for a screen: the one place where errors become words.

What `stock` says to do names commands as data. Here each is written as the key that does the same, by the registries
of screens and actions; without such a key the command stays, and it is said that it belongs on the command line.
"""

from stock.errors import BooksUnreachable, UllageError
from stock.language import _
from stock.remedies import Do, Option, Part, Remedy
from stock.text import plain
from tui.action import Action
from tui.actions import ACTIONS, PAGES, SHEETS
from tui.remedy_fields import FIELDS
from tui.screens import SCREENS, ScreenEntry

SCREEN = {screen.id: screen for screen in SCREENS}
NARROWED = ("--kind",)
"""Options by which a screen can be narrowed as its command can; another one makes the command show something else."""
ELSEWHERE = _("on the command line")


def by_keys(text: str, screen: str = "") -> str:
    """A remedy with a key in the place of each command, and a field in the place of each option.

    Args:
        text: what to do; a text that is no `Remedy` names neither and stays as it is.
        screen: the screen on which it is read with its finding in hand; empty for any other.
    """
    return "".join(_words(part, screen) for part in text.parts) if isinstance(text, Remedy) else text


def action_for(do: Do, screen: str = "") -> Action | None:
    """The action of the dashboard that does what the command does, or None.

    Args:
        do: the command.
        screen: the screen whose finding in hand it is about, or empty.
    """
    here = (one for one in ACTIONS if one.holder == screen and _does(do, one.of_finding))
    return next(here, None) or next((one for one in ACTIONS if _does(do, one.commands)), None)


def screen_for(do: Do) -> ScreenEntry | None:
    """The screen that shows what the command shows, or None."""
    other = [word for word in do.arguments if word.startswith("--") and word not in NARROWED]
    return None if other else SCREEN.get(do.action)


def _does(do: Do, commands: tuple[str, ...]) -> bool:
    for command in commands:
        action, _, option = command.partition(" --")
        if do.action == action and (not option or f"--{option}" in do.arguments):
            return True
    return False


def _words(part: Part, screen: str) -> str:
    if isinstance(part, Option):
        return _field(part)
    if isinstance(part, str):
        return part
    action, shown = action_for(part, screen), screen_for(part)
    if action is not None:
        on = (
            _(", on {replace}", replace=" ".join(part.arguments).replace("_", " "))
            if action.on_what and part.arguments
            else ""
        )
        return _key(action, screen) + on
    return _("the {title}", title=shown.title) if shown is not None else f"{part} {ELSEWHERE}"


def _field(option: Option) -> str:
    label = FIELDS.get(option.name)
    if label is None:
        return f"{option} {ELSEWHERE}"
    return _('in the field "{label}"', label=label) + (
        _(", such as {option}", option=option.value) if option.value else ""
    )


def _key(action: Action, screen: str) -> str:
    """The key, and where it works unless that is where one is."""
    if action.holder == screen:
        return action.letters
    if action.holder == "app":
        return _('"{letters}" on any screen', letters=action.letters)
    if action.holder in SHEETS:
        opener = next(one for one in ACTIONS if one.id == f"{SHEETS[action.holder]}.{action.holder}")
        return _(
            "{letters}, then {letters2}, {sheets}",
            letters=opener.letters,
            letters2=action.letters,
            sheets=_where(SHEETS[action.holder]),
        )
    if action.holder in PAGES:
        holder, page = PAGES[action.holder]
        return _("{letters} {holder}, on {page}", letters=action.letters, holder=_where(holder), page=page)
    return f"{action.letters} {_where(action.holder)}"


def _where(screen: str) -> str:
    entry = SCREEN[screen]
    if entry.preposition == "in":
        return _("in the {title}", title=entry.title)
    return _("on the {title}", title=entry.title)


def sentence_for(error: BaseException) -> str:
    """A sentence that says what happened and what to do; never a traceback.

    Refusals of the books say it themselves. Anything else is a fault of the program, and says so.
    """
    if isinstance(error, UllageError):
        # No screen stands while the books can't be reached: the command is what helps then.
        unreachable = isinstance(error, BooksUnreachable)
        text = plain(str(error) if unreachable else by_keys(error.sentence), 600)
        text = text[:1].upper() + text[1:]
        return text if text.endswith((".", "!", "?", "…")) else text + "."
    if isinstance(error, MemoryError):
        return _("There is not enough memory to go on. Close something and start again; the books are whole.")
    kind = type(error).__name__
    return plain(
        _(
            "Something went wrong in the program ({kind}: {error}). The books are whole: what was "
            "not booked before is not booked. Start it again; with ULLAGE_DEBUG=1 it shows where.",
            kind=kind,
            error=error,
        ),
        600,
    )
