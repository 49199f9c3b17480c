"""`ullage recipe`: named parts by volume that can be mixed at any size."""

from typing import Any

from stock.cli.frame import Context, Result, command, whole
from stock.errors import BadInput
from stock.language import _


def register(commands: Any) -> None:
    """Add the parsers."""
    recipe = commands.add_parser("recipe", help=_("enter, list and show recipes"))
    verbs = recipe.add_subparsers(dest="verb", required=True, metavar="VERB")
    add = command(verbs, "add", add_recipe, _("enter a recipe by its parts, or keep an earlier mix as one"))
    add.add_argument("name")
    add.add_argument(
        "parts", nargs="*", metavar="PRODUCT=PARTS", help=_('as "Harbour Blue=3" "Slow Thinner=1"')
    )
    add.add_argument(
        "--of-mix", type=whole, metavar="MIX", help=_("the parts of an earlier mix, its steps included")
    )
    add.add_argument("--note", default="")
    command(verbs, "list", list_recipes, _("list the recipes"), entries=("recipes",))
    show = command(verbs, "show", show_recipe, _("show one recipe"))
    show.add_argument("name")


def add_recipe(args: Any, context: Context) -> Result:
    """`ullage recipe add`."""
    from stock.bench import mixes, recipes  # loads the tables

    if args.of_mix is not None and args.parts:
        raise BadInput(
            _(
                "a recipe has its parts from mix {of_mix} or from the line, not from both; nothing was "
                "booked",
                of_mix=args.of_mix,
            ),
            remedy=_("Leave out --of-mix or the parts"),
        )
    context.open()
    if args.of_mix is not None:
        found = recipes.of_mix(args.name, mixes.mix(args.of_mix), note=args.note)
    else:
        found = recipes.add(args.name, [recipes.read_part(text) for text in args.parts], note=args.note)
    return _shown(found)


def list_recipes(args: Any, context: Context) -> Result:
    """`ullage recipe list`."""
    del args
    from stock.bench import recipes  # loads the tables

    context.open()
    found = recipes.everything()
    lines = [f"{each.name}: {each.words}" for each in found] or [_("No recipe is entered")]
    return Result({"recipes": [each.as_json() for each in found]}, lines)


def show_recipe(args: Any, context: Context) -> Result:
    """`ullage recipe show`."""
    from stock.bench import recipes  # loads the tables

    context.open()
    return _shown(recipes.find(args.name))


def _shown(found: Any) -> Result:
    return Result(found.as_json(), [f"{found.name}: {found.words}", *([found.note] if found.note else [])])
