"""`ullage config`: the settings of this machine's user for all studios."""

import os
from typing import Any

from stock import config, config_file
from stock.cli.frame import Context, Result, command
from stock.errors import BadInput
from stock.language import N_, _
from stock.remedies import Do, Remedy
from stock.text import plain

WHAT = {
    config.STUDIO: _("the books that are used without --studio"),
    config.THEME: _("the dashboard's colours"),
    config.MEASURES: _("the measures of a new studio"),
    config.SCALE: _("the scale of this bench"),
    config.LANGUAGE: _("the language of messages"),
}


def register(commands: Any) -> None:
    """Add the parsers."""
    parser = commands.add_parser(
        "config",
        help=_("show or change what holds on this machine for every studio"),
        description=_(
            "Show or change what holds on this machine for every studio. An option on the line comes "
            "before an environment variable, a variable before this file, the file before what is "
            "built in."
        ),
    )
    parser.set_defaults(run=_show)
    verbs = parser.add_subparsers(dest="verb", metavar="VERB")
    command(verbs, "show", _show, _("show each setting, and what sets it"))
    change = command(verbs, "set", _set, _("set one"))
    change.add_argument(
        "setting", choices=tuple(config.VARIABLES), metavar="SETTING", help=", ".join(config.VARIABLES)
    )
    change.add_argument("value", help=_("what it is from now on"))
    forget = command(verbs, "forget", _forget, _("take one back to what is built in"))
    forget.add_argument(
        "setting", choices=tuple(config.VARIABLES), metavar="SETTING", help=", ".join(config.VARIABLES)
    )


def _show(args: Any, context: Context) -> Result:
    del args, context
    kept = config.read()
    shown: dict[str, dict[str, str | None]] = {}
    for key, variable in config.VARIABLES.items():
        if variable and os.environ.get(variable):
            shown[key] = {"value": os.environ[variable], "from": variable}
        elif key in kept:
            shown[key] = {"value": kept[key], "from": N_("file")}
        else:
            shown[key] = {"value": None, "from": N_("built-in")}
    lines = [
        f"{key:<9} {plain(one['value'] or '-', 60)}  ({_(one['from'] or '')}; {WHAT[key]})"
        for key, one in shown.items()
    ]
    return Result(
        {"file": config_file.path(), "settings": shown},
        [*lines, _("Kept in {path}", path=config_file.path())],
    )


def _set(args: Any, context: Context) -> Result:
    del context
    _require(args.setting, args.value)
    file = config.change(args.setting, args.value)
    return Result(
        {"setting": args.setting, "value": args.value, "file": str(file)},
        [
            _(
                "{setting} is {args} from now on (kept in {file})",
                setting=args.setting,
                args=plain(args.value, 60),
                file=file,
            )
        ],
        made=True,
    )


def _forget(args: Any, context: Context) -> Result:
    del context
    file = config.change(args.setting, "")
    return Result(
        {"setting": args.setting, "value": None, "file": str(file)},
        [_("{setting} is as it was built in again (taken out of {file})", setting=args.setting, file=file)],
        made=True,
    )


def _require(setting: str, value: str) -> None:
    """Refuse a value that the setting can't have.

    Raises:
        BadInput: it can't; the remedy lists possible values.
    """
    if not value.strip():
        raise BadInput(
            _("{setting} needs a value", setting=setting),
            remedy=Remedy(_("Write it, or take the setting back: "), Do("config forget", setting)),
        )
    if setting == config.STUDIO:
        from stock.cli.files import address

        address(value)
    elif setting == config.SCALE:
        from stock.scale.port import scale_port

        scale_port(value)
    elif setting == config.LANGUAGE:
        config.require_language(value)
    elif setting == config.MEASURES:
        from stock.shelf.studio import require_measures

        require_measures(value)
    else:
        config.require_theme(value)
