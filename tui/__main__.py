"""The command `ullage`: runs a command of `stock.cli`, or opens the dashboard if none is named.

Textual is imported only when a screen opens.
"""

import atexit
import gc
import os
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from stock.language import _

if TYPE_CHECKING:
    from datetime import date

    from stock.cli.frame import Context
    from stock.cli.main import Parser
    from stock.scale.listening import ScaleListener
    from tui.today.ahead import Ahead

SCREENS = ("demo", "serve")
COLLECT_AFTER = 50_000
"""The number of new objects after which Python's garbage collector runs. By default it would run 180 times while the
dashboard starts and find nothing, because modules and styles stay; that would take a fifteenth of the start."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command, or open the dashboard; returns the exit status."""
    # On matrices as small as the forecast's, several threads of numpy only wait for each other.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    gc.set_threshold(COLLECT_AFTER)
    atexit.register(
        gc.freeze
    )  # otherwise the collector looks through all objects at the end: a sixth of a command's time
    if "_ARGCOMPLETE" in os.environ:  # a shell asks what fits its line
        from stock.cli.completion import complete

        complete()
    line = list(sys.argv[1:] if argv is None else argv)
    if _is_for_screens(line):
        from stock.cli.frame import Context
        from stock.cli.main import guarded

        context = Context(address="")
        return guarded(lambda: _screens(line, context), context)
    from stock.cli.main import main as command

    return command(line)


def _is_for_screens(line: Sequence[str]) -> bool:
    """Whether the line asks for a screen: it names one, or has no word but options."""
    values = False
    for word in line:
        if values:
            values = False
        elif word in ("--studio", "--as-of", "--theme", "--scale"):
            values = True
        elif word in ("-h", "--help", "--version"):
            return False
        elif not word.startswith("-"):
            return word in SCREENS
    return True


def _screens(line: list[str], context: "Context") -> int:
    """The dashboard, the demo or the dashboard in a browser."""
    from stock.cli.main import require_chosen_language, take_options

    require_chosen_language()
    looks, words = _looks_parser().parse_known_args(take_options(line, context))
    theme, mouse = looks.theme, not looks.no_mouse
    if looks.scale is not None:
        os.environ["ULLAGE_SCALE"] = looks.scale  # a tab of `ullage serve` is a process of its own
    if words[:1] == ["demo"]:
        from tui.demo import demo

        return demo(words[1:], as_json=context.json, show=lambda path: dashboard(path, None, theme, mouse))
    if words[:1] == ["serve"]:
        from tui.serving.command import serve

        asked = [] if context.as_of_text is None else ["--as-of", context.as_of_text]
        options = ["--theme", theme, *asked, *([] if mouse else ["--no-mouse"])]
        return serve(words[1:], context.address, theme=theme, options=options)
    if words:
        from stock.errors import BadInput
        from stock.remedies import Do, Remedy

        raise BadInput(
            _("the dashboard takes no {words!r}", words=words[0][:40]), remedy=Remedy(_("See "), Do("--help"))
        )
    return dashboard(context.address, context.as_of_text, theme, mouse)


def _looks_parser() -> "Parser":
    """The parser of the options that any line for a screen may have, anywhere on it."""
    from stock import config
    from stock.cli.main import Parser

    parser = Parser(prog="ullage", add_help=False, allow_abbrev=False)
    parser.add_argument("--theme", type=_theme, default=config.value(config.THEME) or config.THEMES[0])
    parser.add_argument("--no-mouse", action="store_true")
    parser.add_argument("--scale")
    return parser


def _theme(name: str) -> str:
    from stock import config

    config.require_theme(name)
    return name


def dashboard(address: str, as_of: str | None = None, theme: str = "lamp", mouse: bool = True) -> int:
    """Open the dashboard on these books; returns 0, or 1 after an unexpected error.

    Raises:
        BadInput: there is no terminal to draw on, `as_of` is no day, or what is set is no port of a scale.
    """
    served = "TEXTUAL_DRIVER" in os.environ  # a tab of `ullage serve` is a terminal too
    if not served and not (sys.stdout.isatty() and sys.stdin.isatty()):
        from stock.errors import BadInput
        from stock.remedies import Do, Remedy

        raise BadInput(
            _("the dashboard needs a terminal"),
            remedy=Remedy(_("Use a command instead: "), Do("--help"), _(" lists them")),
        )
    scale = _scale()
    day = None
    if as_of is not None:
        from stock.units import day as read_day
        from tui.opening import opened

        day = read_day(as_of, opened(address)[1])
    ahead = _ahead(address, day)
    try:
        from tui.app import Ullage  # loads Textual

        app = Ullage(address, day=day, theme=theme, ahead=ahead, scale=scale)
        app.run(mouse=mouse)
        from stock.cli.main import back_up_daily  # when the screens are left

        back_up_daily(address)
        return app.return_code or 0
    finally:
        if ahead is not None:
            ahead.leave()


def _scale() -> "ScaleListener | None":
    """This bench's scale, not listened to yet; None without one."""
    from stock.scale.setting import port_of_bench

    port = port_of_bench()
    if port is None:
        return None
    from stock.scale.listening import ScaleListener

    return ScaleListener(port)


def _ahead(address: str, day: "date | None") -> "Ahead | None":
    """Start reading Today in a separate process while Textual is loaded.

    None if that saves no time: on a single processor, and for the books of a server.
    """
    if not os.path.isfile(address) or _processors() < 2:
        return None
    from tui.today.ahead import Ahead

    return Ahead(address, day)


def _processors() -> int:
    """How many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):  # Linux; elsewhere all of them
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


if __name__ == "__main__":
    sys.exit(main())
