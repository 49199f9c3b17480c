"""`ullage product` and `ullage line`: the records of products, and of lines whose products share facts."""

from datetime import date
from typing import Any

from stock import units
from stock.cli.frame import Context, Result, command
from stock.cli.scale import add_weigh
from stock.cli.show import table
from stock.errors import BadInput
from stock.grammar import in_short
from stock.language import _, ngettext
from stock.remedies import Option, Remedy

FIELDS = (
    ("--role", _("paint, clear, reducer, cleaner, additive, hardener or mixed")),
    ("--maker", _("who makes it")),
    ("--supplier", _("who sells it")),
    ("--lead-time", _("from order to delivery, as 7d")),
    ("--density", _("g/ml, as 1.05")),
    ("--drops-per-ml", _("of the dropper that it comes with")),
    ("--water", _("water content, per cent by weight")),
    ("--solids", _("solids, per cent by weight (what does not evaporate)")),
    ("--flash-point", _("closed cup, as 18C or 64F; none if it has none")),
    ("--boiling-point", _("initial boiling point, as 78C")),
    ("--ph", _("as 12.5, 11-13 or >12; a range counts by its worse end")),
    ("--opened-life", _("how long it is good once opened, as 12mo")),
    ("--sealed-life", _("how long it is good unopened, as 3y")),
    ("--pot-life", _("of a two-part product once mixed, as 4h, or with heat as '4h; 2h from 30C'")),
    ("--store-at", _("storage temperatures, as 5C..35C")),
    ("--usual-reducer", _("the product it is usually cut with")),
    ("--groups", _("what it is, for compatibility: waterborne alcohol ketone isocyanate ...")),
    ("--voc-categories", _("whose VOC limit it has, as eu:topcoat us:topcoat")),
    ("--note", _("anything worth knowing")),
    ("--signal-word", _("sheet section 2: danger, warning or none")),
    ("--h-statements", _("sheet section 2, as 'H225 H319 EUH066', or none")),
    ("--p-statements", _("sheet section 2, as 'P210 P305+P351+P338', or none")),
    ("--pictograms", _("sheet section 2, by number or name, as 'GHS02, exclamation mark', or none")),
    ("--gloves", _("sheet section 8, as printed")),
    ("--eye-protection", _("sheet section 8, as printed")),
    ("--breathing-protection", _("sheet section 8, as printed")),
    ("--incompatible", _("sheet section 10, as printed: what it must not meet")),
    ("--un-number", _("sheet section 14, as 1263, or none")),
    ("--transport-class", _("sheet section 14, as 3 or 2.1, or none")),
    ("--packing-group", _("sheet section 14: I, II, III or none")),
)
ALSO_WRITTEN = {
    "--signal-word": "--signal", "--h-statements": "--h", "--p-statements": "--p", "--eye-protection": "--eyes",
    "--breathing-protection": "--breathing", "--un-number": "--un", "--transport-class": "--class",
}  # fmt: skip
"""Options of a product that have a short form."""
LISTS = (
    ("--size", _("a size it is sold in, as 60ml; may be repeated")),
    ("--price", _("what a size costs, as 60ml=7.90; may be repeated")),
    ("--solvent", _("as ethanol=45%%, ethanol=10-25%% or ethanol=45%% by volume, or none; may be repeated")),
    ("--not-with", _("a product it may not meet; may be repeated")),
)
OWN = (
    ("--line", _("the line it belongs to: what it doesn't say itself is the line's")),
    ("--code", _("its maker's number for it")),
    ("--color", _("its colour on the shelf: a name such as navy, or #2a6f97")),
)
"""Options of a product that a line doesn't have."""


def register(commands: Any) -> None:
    """Add the parsers."""
    product = commands.add_parser("product", help=_("add, list, show or change products"))
    verbs = product.add_subparsers(dest="verb", required=True, metavar="VERB")
    adding = command(verbs, "add", add_product, _("add a product"))
    adding.add_argument("name")
    adding.add_argument("--like", metavar="PRODUCT", help=_("copy all but its name and colour from this one"))
    changing = command(
        verbs,
        "change",
        change_product,
        _("change the fields given of a product, or with --line of a whole line's"),
    )
    changing.add_argument(
        "name", nargs="?", help=_("without it, every product of the line that --line names")
    )
    for parser in (adding, changing):
        _fields(parser, (*OWN, *FIELDS))
        parser.add_argument("--discontinued", nargs="?", const=True, metavar="DATE", help=_("no longer made"))
    changing.add_argument("--rename", help=_("its new name"))
    changing.add_argument(
        "--since", metavar="DATE", help=_("the day from which changed facts count; today if left out")
    )
    changing.add_argument("--still-made", action="store_true", help=_("take a --discontinued back"))
    deleting = command(
        verbs, "delete", delete_product, _("delete a product that was entered by mistake and never used")
    )
    deleting.add_argument("name")
    add_weigh(verbs)
    command(verbs, "list", list_products, _("list all products"), entries=("products",))
    show = command(verbs, "show", show_product, _("show what is known of a product"))
    show.add_argument("name")
    _register_line(commands)


def _register_line(commands: Any) -> None:
    line = commands.add_parser("line", help=_("what the products of a maker's line share"))
    verbs = line.add_subparsers(dest="verb", required=True, metavar="VERB")
    for verb, run, words in (
        ("add", add_line, _("add a line and what all its products share")),
        (
            "change",
            change_line,
            _("change the fields given; the line's products follow but for what they say themselves"),
        ),
    ):
        parser = command(verbs, verb, run, words)
        parser.add_argument("name")
        _fields(parser, FIELDS)
        if verb == "change":
            parser.add_argument(
                "--since", metavar="DATE", help=_("the day from which changed facts count; today if left out")
            )
    rename = command(verbs, "rename", rename_line, _("give a line another name"))
    rename.add_argument("name")
    rename.add_argument("new", help=_("its new name"))
    filling = command(
        verbs, "fill", fill_line, _("enter many products of a line with their bottles, a row each")
    )
    filling.add_argument("line")
    filling.add_argument(
        "file",
        help=_("rows of name; code; colour; size; how many; how full; opened, or - for standard input"),
    )
    filling.add_argument("--place", help=_("where the bottles stand"))
    filling.add_argument(
        "--bought", action="store_true", help=_("they came in a delivery; else they are opening stock")
    )
    filling.add_argument("--dry-run", action="store_true", help=_("read everything and book nothing"))
    filling.add_argument("--key", help=_("your own key: a repeat with the same key books nothing"))
    command(verbs, "list", list_lines, _("list all lines"), entries=("lines",))
    show = command(verbs, "show", show_line, _("show what a line says, and what its products say themselves"))
    show.add_argument("name")


def _fields(parser: Any, fields: Any) -> None:
    for option, text in fields:
        names = [option, ALSO_WRITTEN[option]] if option in ALSO_WRITTEN else [option]
        parser.add_argument(*names, help=text)
    for option, text in LISTS:
        parser.add_argument(option, action="append", help=text)


def _given(args: Any, fields: Any) -> dict[str, Any]:
    keys = [option[2:].replace("-", "_") for option, _ in (*fields, *LISTS)]
    return {key: getattr(args, key) for key in keys}


def _given_of_product(args: Any) -> dict[str, Any]:
    return {**_given(args, (*OWN, *FIELDS)), "discontinued": args.discontinued}


def add_product(args: Any, context: Context) -> Result:
    """`ullage product add`."""
    from stock.shelf import products  # loads the tables

    context.open()
    given = {**_given_of_product(args), "name": args.name}
    return _shown(products.add_like(args.like, given) if args.like is not None else products.add(given))


def change_product(args: Any, context: Context) -> Result:
    """`ullage product change`."""
    from stock.shelf import products  # loads the tables

    context.open()
    given = _given_of_product(args)
    if args.still_made:
        given["discontinued"] = False
    since = units.day(args.since, context.today()) if args.since is not None else None
    if args.name is None:
        return _change_all(args, given, since)
    return _shown(products.change(args.name, {**given, "name": args.rename}, since=since))


def delete_product(args: Any, context: Context) -> Result:
    """`ullage product delete`."""
    from stock.shelf import taking_back  # loads the tables

    context.open()
    answer = taking_back.delete_product(args.name)
    return Result(
        answer, [_("{product} is deleted, with all that was noted of it", product=answer["product"])]
    )


def _change_all(args: Any, given: dict[str, Any], since: date | None) -> Result:
    """Change every product of the line that `--line` names."""
    from stock.shelf import inheritance, lines, products  # loads the tables

    given = {key: value for key, value in given.items() if value is not None and key != "line"}
    if args.line is None or args.rename is not None or not given:
        raise BadInput(
            _("nobody knows which products are meant, or what is to change"),
            remedy=Remedy(_("Name a product and a field, or a field and "), Option("line", "LINE")),
        )
    line = lines.find(args.line)
    changed = products.change_all(inheritance.members(line.id), given, since=since)
    names = [row.name for row in changed]
    what = ", ".join(key.replace("_", " ") for key in given)
    return Result(
        {"line": line.name, "products": names, "fields": list(given)},
        [
            _("{name}: {what} changed of {names}", name=line.name, what=what, names=", ".join(names))
            if names
            else _("{name} has no product yet", name=line.name)
        ],
    )


def show_product(args: Any, context: Context) -> Result:
    """`ullage product show`."""
    from stock.shelf import products  # loads the tables

    context.open()
    return _shown(products.find(args.name))


def _shown(product: Any) -> Result:
    from stock.shelf.product_view import as_json, as_lines  # loads the tables

    answer = as_json(product)
    return Result(answer, as_lines(answer))


def list_products(args: Any, context: Context) -> Result:  # noqa: ARG001 - every command takes its arguments
    """`ullage product list`."""
    from stock.shelf import products  # loads the tables

    context.open()
    rows = products.with_suppliers()
    answer = {
        "products": [
            {
                "name": row.name,
                "role": row.role,
                "line": row.line,
                "supplier": row.supplier.name if row.supplier else None,
                "usual_reducer": row.usual_reducer.name if row.usual_reducer else None,
                "discontinued": row.discontinued_on is not None,
            }
            for row in rows
        ]
    }
    cells = [
        (
            row["name"],
            row["role"],
            row["line"],
            row["supplier"],
            row["usual_reducer"],
            "gone" if row["discontinued"] else "",
        )
        for row in answer["products"]
    ]
    lines = table((_("product"), _("role"), _("line"), _("supplier"), _("usual reducer"), ""), cells)
    return Result(
        answer, lines if rows else [_("No products yet. Add one: `ullage product add NAME --role ROLE`")]
    )


def add_line(args: Any, context: Context) -> Result:
    """`ullage line add`."""
    from stock.shelf import lines  # loads the tables

    context.open()
    return _line_shown(lines.add({**_given(args, FIELDS), "name": args.name}))


def change_line(args: Any, context: Context) -> Result:
    """`ullage line change`."""
    from stock.shelf import lines  # loads the tables

    context.open()
    since = units.day(args.since, context.today()) if args.since is not None else None
    return _line_shown(lines.change(args.name, _given(args, FIELDS), since=since))


def rename_line(args: Any, context: Context) -> Result:
    """`ullage line rename`."""
    from stock.shelf import lines  # loads the tables

    context.open()
    return _line_shown(lines.change(args.name, {"name": args.new}))


LARGEST_BYTES = 1_000_000


def fill_line(args: Any, context: Context) -> Result:
    """`ullage line fill`."""
    from stock.exchange import line_form  # loads the tables
    from stock.text import plain

    context.open()
    answer = line_form.fill(
        args.line,
        line_form.rows_of(_text_of(args.file)),
        source=_("standard input") if args.file == "-" else plain(args.file, 60),
        place=args.place,
        bought=args.bought,
        dry_run=args.dry_run,
        key=args.key,
    )
    many, bottles = len(answer["products"]), answer["bottles"]
    could = "" if answer["booked"] else _(" would be entered; nothing was booked")
    lines = [
        _(
            "{line}: {products}, {bottles} with {volume_ml} ml{could}",
            line=answer["line"],
            products=ngettext("{number} new product", "{number} new products", many),
            bottles=ngettext("{number} bottle", "{number} bottles", bottles),
            volume_ml=in_short(answer["volume_ml"]),
            could=could,
        )
    ]
    if answer["opened_unknown"]:
        lines.append(
            _(
                "  {opened_unknown} open since a day that nobody knows: they count from the worse side",
                opened_unknown=answer["opened_unknown"],
            )
        )
    return Result(answer, lines)


def _text_of(file: str) -> str:
    """The text of a file, or of standard input for `-`.

    Raises:
        BadInput: there is no such file, it is too large, or no text.
    """
    import sys

    from stock.store import paths

    try:
        if file == "-":
            if sys.stdin is None:  # started with it closed
                raise BadInput(_("there is no standard input to read"), remedy=_("Name a file"))
            raw = sys.stdin.buffer.read(LARGEST_BYTES + 1)
        else:
            with paths.opened(paths.located(file)) as opened:
                raw = opened.read(LARGEST_BYTES + 1)
        if len(raw) > LARGEST_BYTES:
            raise BadInput(
                _("there is more than a megabyte"), remedy=_("Enter it in parts; nothing was booked")
            )
        return raw.decode("utf-8-sig")
    except OSError as error:
        raise BadInput(
            _("that can't be read: {strerror}", strerror=error.strerror), remedy=_("Name another file")
        ) from None
    except UnicodeDecodeError:
        raise BadInput(
            _("that is no text in UTF-8"), remedy=_("Save it as UTF-8; nothing was booked")
        ) from None


def show_line(args: Any, context: Context) -> Result:
    """`ullage line show`."""
    from stock.shelf import lines  # loads the tables

    context.open()
    return _line_shown(lines.find(args.name))


def _line_shown(line: Any) -> Result:
    from stock.shelf.product_view import line_as_json, line_as_lines  # loads the tables

    answer = line_as_json(line)
    return Result(answer, line_as_lines(answer))


def list_lines(args: Any, context: Context) -> Result:  # noqa: ARG001 - every command takes its arguments
    """`ullage line list`."""
    from stock.shelf import lines  # loads the tables

    context.open()
    many = lines.sizes()
    answer = {
        "lines": [
            {"name": row.name, "role": row.role, "maker": row.maker, "products": many.get(row.id, 0)}
            for row in lines.everything()
        ]
    }
    cells = [(row["name"], row["role"], row["maker"], row["products"]) for row in answer["lines"]]
    shown = table((_("line"), _("role"), _("maker"), _("products>")), cells)
    return Result(answer, shown if cells else [_("No lines yet. Add one: `ullage line add NAME`")])
