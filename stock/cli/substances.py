"""The commands of substances: their figures, and the studio's own records of them."""

from typing import Any

from stock.cli.frame import Context, Result, command
from stock.cli.show import table
from stock.language import _

FIELDS = (
    ("--cas", _("its CAS number, as section 3 of the sheet has it")),
    ("--aliases", _("other names, between semicolons")),
    ("--family", _("what it reacts like: ester ketone amine isocyanate ...")),
    ("--flash-point", _("closed cup, as 18C or 64F; none if it has none")),
    ("--boiling-point", _("as 78C")),
    ("--density", _("g/ml, as 0.87")),
    ("--molar-mass", _("g/mol, as 106.2")),
    ("--lower-limit", _("lower explosive limit, per cent of the air, as 1.1%%")),
    ("--exposure-limit", _("8-hour limit in the air, as 50ppm")),
    ("--short-term-limit", _("15-minute limit in the air, as 100ppm")),
    ("--ceiling-limit", _("limit of any moment in the air, as 5ppm")),
    ("--h-statements", _("as 'H225 H319 EUH066', or none")),
    ("--us-waste", _("US waste codes, as 'F003 U239', or none")),
    ("--us-voc", _("in the United States: voc, exempt or no")),
    ("--hap", _("whether it is a hazardous air pollutant of the United States: yes or no")),
    ("--source", _("the sheet that says so, with its day")),
    ("--note", _("anything worth knowing")),
)
ALSO_WRITTEN = {"--h-statements": "--h"}
"""Short forms of options."""


def register(commands: Any) -> None:
    """Add the parsers."""
    substance = commands.add_parser("substance", help=_("what is known of a substance, and the studio's own"))
    verbs = substance.add_subparsers(dest="verb", required=True, metavar="VERB")
    shown = command(verbs, "show", show, _("show all figures of a substance, each with its source"))
    shown.add_argument("name", help=_("its name, another name or its CAS number"))
    for verb, run, words in (
        ("add", add, _("note a substance as its sheet describes it")),
        ("change", change, _("change the fields given of one of the studio's own")),
    ):
        parser = command(verbs, verb, run, words)
        parser.add_argument("name")
        for option, text in FIELDS:
            parser.add_argument(option, *filter(None, [ALSO_WRITTEN.get(option)]), help=text)
        if verb == "change":
            parser.add_argument("--rename", help=_("its new name"))
    deleting = command(verbs, "delete", delete, _("delete one of the studio's own"))
    deleting.add_argument("name")
    listed = command(
        verbs,
        "list",
        list_all,
        _("list the studio's own, or all whose name holds a text"),
        entries=("substances",),
    )
    listed.add_argument("text", nargs="?", help=_("a part of a name or of a CAS number"))


def _given(args: Any) -> dict[str, str | None]:
    return {key: getattr(args, key) for key in (option[2:].replace("-", "_") for option, _ in FIELDS)}


def show(args: Any, context: Context) -> Result:
    """`ullage substance show`."""
    from stock.cautions.substance_view import find  # loads the tables
    from stock.errors import BooksUnreachable

    try:
        context.open()
    except BooksUnreachable as error:
        if error.code != "no-books":
            raise
        return _shown(find(args.name, own={}), with_books=False)  # a substance of the table needs no books
    return _shown(find(args.name))


def add(args: Any, context: Context) -> Result:
    """`ullage substance add`."""
    from stock.cautions.substance_view import find  # loads the tables
    from stock.shelf import own_substances

    context.open()
    return _shown(find(own_substances.add({**_given(args), "name": args.name}).name))


def change(args: Any, context: Context) -> Result:
    """`ullage substance change`."""
    from stock.cautions.substance_view import find  # loads the tables
    from stock.shelf import own_substances

    context.open()
    return _shown(find(own_substances.change(args.name, {**_given(args), "name": args.rename}).name))


def delete(args: Any, context: Context) -> Result:
    """`ullage substance delete`."""
    from stock.shelf import own_substances  # loads the tables

    context.open()
    gone = own_substances.delete(args.name)
    return Result(
        {"substance": gone.name, "deleted": True},
        [_("{name} is deleted, with all that was noted of it", name=gone.name)],
    )


def list_all(args: Any, context: Context) -> Result:
    """`ullage substance list`."""
    from stock.cautions import substance_view as view  # loads the tables
    from stock.cautions.own_substances import own_substances
    from stock.text import folded

    context.open()
    noted = {one.cas for one in own_substances().values()}
    wanted = folded(args.text or "")
    found = [
        one
        for one in view.everything()
        if (
            any(wanted in folded(name) for name in (one.name, one.cas, *view.other_names(one)))
            if wanted
            else one.cas in noted
        )
    ]
    answers: list[dict[str, Any]] = [
        {"name": one.name, "cas": _cas(one), "family": one.group or None, "own": one.cas in noted}
        for one in found
    ]
    rows = [
        (
            each["name"],
            each["cas"] or "",
            (each["family"] or _("not known")).replace("_", " "),
            _("own") if each["own"] else "",
        )
        for each in answers
    ]
    nothing = (
        _("No substance's name holds that.") if wanted else _("The studio has noted no substance of its own.")
    )
    lines = table((_("substance"), _("CAS"), _("family"), ""), rows) if rows else [nothing]
    return Result({"substances": answers}, lines)


def _cas(one: Any) -> str | None:
    return None if one.cas.startswith("own ") else one.cas


def _pinned(figures: Any) -> dict[str, Any]:
    """The figures for scripts, by keys that don't change."""
    by_key = {each.key: each for each in figures}
    limits = (("exposure_ppm", "8-hour"), ("short_term_ppm", "15-minute"), ("ceiling_ppm", "ceiling"))
    return {
        "h_statements": by_key["h_statements"].value,
        "flash_point_c": by_key["flash_point_c"].value,
        "boiling_point_c": by_key["boiling_point_c"].value,
        "exposure": [
            {"value_ppm": by_key[key].value, "kind": kind, "source": by_key[key].source}
            for key, kind in limits
            if by_key[key].value is not None
        ],
        "waste_codes": by_key["us_waste"].value,
        "peroxide": by_key["peroxide_lists"].text,
        "sources": {each.key: each.source for each in figures if each.source},
    }


def _shown(one: Any, *, with_books: bool = True) -> Result:
    from stock.cautions import substance_view as view  # loads the tables

    names, figures = view.other_names(one), view.figures(one)
    unknown = view.unknown_in_words(figures)
    noted = view.own_record_in_words(one) if with_books else ""
    answer = {
        "name": one.name,
        "cas": _cas(one),
        "other_names": names,
        "family": one.group or None,
        **_pinned(figures),
        "figures": {
            each.key: {
                "value": each.value,
                "source": each.source or None,
                "why_none": each.text if each.value is None and each.text != view.UNKNOWN else None,
            }
            for each in figures
        },
    }
    lines = [
        f"{one.name}  CAS {_cas(one) or _('not known')}  {(one.group or _('family not known')).replace('_', ' ')}",
        *([_("also {one}", one=view.other_names_in_words(one))] if names else []),
        *(
            f"{each.label:<15}{each.text}{f'  [{each.source}]' if each.source else ''}"
            for each in figures
            if each.text != view.UNKNOWN
        ),
        *([_("not known: {unknown}; each counts as the worse case", unknown=unknown)] if unknown else []),
        *([noted] if noted else []),
        _("The safety data sheet decides."),
    ]
    return Result(answer, lines)
