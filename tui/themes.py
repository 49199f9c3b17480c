"""The themes: two of our own, and one of the terminal's sixteen colours.

Style sheets and drawings name colours only by these names:

    ink on ground        text and its background
    quiet                text of less weight (contrast still 4.5:1)
    card                 the background of fields and dialogs
    tape                 masking tape: the current screen's tab, headings
    key                  keys to press
    board                the edge of a shelf's board, with the names on it
    rule                 lines
    cursor               the selected row or bottle
    stop, warn, good     severity, always beside a word or a sign
    outline, glass ...   the drawn bottle
"""

from textual.theme import Theme

from stock.language import _

LAMP = {
    "ink": "#efe7d6",
    "ground": "#151a1d",
    "quiet": "#b3ad9c",
    "card": "#20272b",
    "tape": "#e7cb7d",
    "key": "#e7cb7d",
    "tape-ink": "#221b0a",
    "board": "#5a3d26",
    "board-ink": "#fdf0da",
    "rule": "#5b666b",
    "cursor": "#29545c",
    "cursor-ink": "#ffffff",
    "stop": "#ff8a75",
    "warn": "#f3b743",
    "good": "#84cfa6",
    "outline": "#a3afb3",
    "glass": "#2b353a",
    "pale-glass": "#7f8b90",
    "dark-glass": "#0b0e10",
    "liquid": "#b0b0b0",
}

DAYLIGHT = {
    "ink": "#25211a",
    "ground": "#f4efe4",
    "quiet": "#5f574a",
    "card": "#e9e1d0",
    "tape": "#e2bd5c",
    "key": "#86460b",
    "tape-ink": "#251c08",
    "board": "#c69d6d",
    "board-ink": "#26180a",
    "rule": "#9d917c",
    "cursor": "#1f4f59",
    "cursor-ink": "#ffffff",
    "stop": "#9f1f14",
    "warn": "#714b00",
    "good": "#1f5f45",
    "outline": "#5d564a",
    "glass": "#fdfbf6",
    "pale-glass": "#fdfbf6",
    "dark-glass": "#8f877a",
    "liquid": "#8a8a8a",
}

TERMINAL = {
    "ink": "ansi_default",
    "ground": "ansi_default",
    "quiet": "ansi_default",
    "card": "ansi_default",
    "tape": "ansi_yellow",
    "key": "ansi_default",
    "tape-ink": "ansi_black",
    "board": "ansi_black",
    "board-ink": "ansi_bright_white",
    "rule": "ansi_default",
    "cursor": "ansi_cyan",
    "cursor-ink": "ansi_black",
    "stop": "ansi_red",
    "warn": "ansi_default",
    "good": "ansi_default",
    "outline": "ansi_default",
    "glass": "#3a3a3a",
    "pale-glass": "#b2b2b2",
    "dark-glass": "#121212",
    "liquid": "#a8a8a8",
}

NAMES = {"lamp": LAMP, "daylight": DAYLIGHT, "terminal": TERMINAL}


def _theme(name: str, colours: dict[str, str], *, dark: bool, ansi: bool = False) -> Theme:
    behind = {
        "ansi-background": "ansi_black",
        "ansi-foreground": "ansi_white",
        "input-cursor-background": colours["tape"],
        "input-cursor-foreground": colours["tape-ink"],
        "input-cursor-text-style": "none",
        "input-selection-background": colours["cursor"],
        "input-selection-foreground": colours["cursor-ink"],
        "screen-selection-background": colours["cursor"],
        "screen-selection-foreground": colours["cursor-ink"],
        "block-cursor-background": colours["cursor"],
        "block-cursor-foreground": colours["cursor-ink"],
        "block-cursor-text-style": "none",
        "border": colours["tape"],
        "border-blurred": colours["rule"],
        "scrollbar": colours["rule"],
        "scrollbar-hover": colours["tape"],
        "scrollbar-active": colours["tape"],
        "scrollbar-background": colours["ground"],
        "scrollbar-background-hover": colours["ground"],
        "scrollbar-background-active": colours["ground"],
        "scrollbar-corner-color": colours["ground"],
    }
    return Theme(
        name=name,
        primary=colours["tape"],
        secondary=colours["cursor"],
        warning=colours["warn"],
        error=colours["stop"],
        success=colours["good"],
        accent=colours["tape"],
        foreground=colours["ink"],
        background=colours["ground"],
        surface=colours["card"],
        panel=colours["card"],
        dark=dark,
        variables={**colours, **behind},
        ansi=ansi,
    )


def themes() -> list[Theme]:
    """The three themes, to be registered in the app."""
    return [
        _theme("lamp", LAMP, dark=True),
        _theme("daylight", DAYLIGHT, dark=False),
        _theme("terminal", TERMINAL, dark=True, ansi=True),
    ]


def usable(name: str, *, no_color: bool) -> str:
    """The theme to show: `name` if it is known and can be shown, else `lamp`.

    With NO_COLOR the theme of the terminal's colours would come out black on black.
    """
    if name not in NAMES or (no_color and name == "terminal"):
        return "lamp"
    return name


THEME_WORDS = {
    "lamp": _("Dark: by the lamp"),
    "daylight": _("Light: by daylight"),
    "terminal": _("The terminal's own sixteen colours"),
}
"""The themes' names for a person."""
