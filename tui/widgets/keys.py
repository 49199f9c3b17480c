"""The keys of a screen or sheet, made of the registry of actions."""

from textual.binding import Binding, BindingType

from tui import actions


def bindings(holder: str) -> list[BindingType]:
    """The keys of a screen or a sheet, in the order in which they stand in their strip."""
    return [
        Binding(
            action.key,
            action.call,
            action.title,
            show=action.shown,
            key_display=action.display or None,
            tooltip=action.help,
            id=action.id,
        )
        for action in actions.of(holder)
    ]
