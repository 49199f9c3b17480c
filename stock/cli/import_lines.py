"""The lines that `ullage import` prints about a spreadsheet, before and after it is booked."""

from collections.abc import Iterable
from typing import Any

from stock.cli.show import table
from stock.exchange.import_plan import sum_in_words
from stock.exchange.not_taken import BLANK
from stock.grammar import in_figures
from stock.language import _
from stock.notation import in_thousands
from stock.text import plain


def planned(answer: dict[str, Any]) -> Iterable[str]:
    """What importing a spreadsheet would do, and what stops it; `answer` as `--dry-run --json` prints it."""
    yield _(
        "{file}: {rows} rows of {kind}; nothing was booked",
        file=answer["file"],
        rows=in_thousands(answer["rows"]),
        kind=answer["kind"],
    )
    how = f"{answer['encoding']}{_(' (a guess)') if answer['encoding_guessed'] else ''}"
    how += (
        _(", split at {delimiter!r}", delimiter=answer["delimiter"])
        if answer["delimiter"]
        else _(", sheet {sheet}", sheet=answer["sheet"])
    )
    yield f"  {sum_in_words(answer, answer['currency'])}"
    for one in answer["by_product"][:20] if len(answer["by_product"]) > 1 else ():
        yield f"    {one['product']}: {sum_in_words(one, answer['currency'])}"
    if len(answer["by_product"]) > 20:
        yield _("    and {by_product} products more", by_product=in_thousands(len(answer["by_product"]) - 20))
    yield _(
        "  read as {how}, decimal {decimal}, days {days}",
        how=how,
        decimal=answer["decimal"] or _("not known"),
        days=answer["days"] or _("not known"),
    )
    yield _("  columns (remembered)") if answer["remembered"] else "  columns"
    yield from (f"    {line}" for line in table((_("field"), _("their column")), answer["mapping"].items()))
    if answer["ignored"]:
        yield _("  left out: {ignored}", ignored=", ".join(answer["ignored"]))
    yield from _made_lines(answer, _("would be made"))
    yield from _kept_lines(answer)
    yield from _corrected_lines(answer)
    yield from _not_taken_lines(answer)
    for question in answer["questions"]:
        rows = ", ".join(map(str, question["rows"][:12])) + (" ..." if question["row_count"] > 12 else "")
        yield _("  a question: {about} (row {rows})", about=question["about"], rows=rows)
        yield _(
            "    say --answer '{id}=...': {readings}",
            id=question["id"],
            readings=_(" or ").join(question["readings"]),
        )
    for row in answer["bad_rows"]:
        column = _(", column {column}", column=row["column"]) if row["column"] else ""
        yield _("  line {line}{column}: {reason}", line=row["line"], column=column, reason=row["reason"])
    if answer["bad_count"] > len(answer["bad_rows"]):
        yield _(
            "  and {bad_count} more", bad_count=in_thousands(answer["bad_count"] - len(answer["bad_rows"]))
        )
    stops = answer["bad_count"] or answer["questions"]
    yield _("It can't be booked like this.") if stops else _("It can be booked: leave --dry-run away.")


def _kept_lines(answer: dict[str, Any]) -> Iterable[str]:
    if answer["changed_products"]:
        yield _(
            "  known products that something is added to: {changed_products}",
            changed_products=in_thousands(len(answer["changed_products"])),
        )
    for one in answer["kept"][:20]:
        name = one.get("product") or one["supplier"]
        yield (
            _(
                "  {name}: the {replace} stays {books}, the file says {file}",
                name=name,
                replace=one["field"].replace("_", " "),
                books=plain(one["books"], 40),
                file=plain(one["file"], 40),
            )
        )
    if len(answer["kept"]) > 20:
        yield _("  and {kept} more that stay as they are", kept=in_thousands(len(answer["kept"]) - 20))


def _corrected_lines(answer: dict[str, Any]) -> Iterable[str]:
    """The differences between a corrected sheet and its earlier import, and the bottles that it no longer has."""
    for number in answer["takes_back"]:
        yield _("  import {number} is taken back, and the file booked anew", number=number)
    if answer["takes_back"]:
        yield _(
            "  {bottles} bottles go with it; those that come in their place get new numbers",
            bottles=in_thousands(answer["takes_back_bottles"]),
        )
    for one in answer["corrections"]:
        yield _(
            "  row {row}, bottle {bottle} {product}: {changes}",
            row=one["row"],
            bottle=one["bottle"],
            product=one["product"],
            changes=", ".join(one["changes"]),
        )
    if answer["corrected"] > len(answer["corrections"]):
        yield _(
            "  and {corrected} more that are corrected",
            corrected=in_thousands(answer["corrected"] - len(answer["corrections"])),
        )
    for one in answer["gone"][:20]:
        said = {
            "bottle": one["bottle"], "product": one["product"], "on_hand_ml": in_figures(one["on_hand_ml"]),
        }  # fmt: skip
        about = (
            _(
                "  bottle {bottle} {product} with {on_hand_ml} ml is in the file no more; it goes with its import",
                **said,
            )
            if answer["takes_back"]
            else _(
                "  bottle {bottle} {product} with {on_hand_ml} ml is in the file no more; it stays", **said
            )
        )
        yield about
    if answer["gone_count"] > 20:
        yield _(
            "  and {gone_count} more that are in the file no more",
            gone_count=in_thousands(answer["gone_count"] - 20),
        )


def _not_taken_lines(answer: dict[str, Any]) -> Iterable[str]:
    shown = [row for row in answer["not_taken"] if row["reason"] != BLANK]
    for row in shown[:20]:
        yield _("  row {row} is not taken: {reason}", row=row["row"], reason=row["reason"])
    if answer["not_taken_count"] > len(shown[:20]):
        yield _(
            "  rows that are not taken, blank ones among them: {not_taken_count}",
            not_taken_count=in_thousands(answer["not_taken_count"]),
        )


def _made_lines(answer: dict[str, Any], verb: str) -> Iterable[str]:
    if answer["new_products"]:
        names = ", ".join(f"{one['product']} ({one['role']})" for one in answer["new_products"][:12])
        yield _(
            "  products that {verb}: {new_products}: {names}",
            verb=verb,
            new_products=len(answer["new_products"]),
            names=names,
        )
    if answer["new_suppliers"]:
        yield _(
            "  suppliers that {verb}: {new_suppliers}",
            verb=verb,
            new_suppliers=", ".join(answer["new_suppliers"][:12]),
        )
    if answer["new_places"]:
        yield _("  places that {verb}: {new_places}", verb=verb, new_places=", ".join(answer["new_places"]))


def booked(answer: dict[str, Any]) -> Iterable[str]:
    """The bookings of an imported spreadsheet, and the rows left out."""
    if answer.get("again"):
        yield _(
            "{file} was booked before; nothing was booked now. To book it again: --again", file=answer["file"]
        )
        return
    if answer["kind"] == "stock":
        deliveries = len(answer["deliveries"])
        bottles = (
            _("1 bottle")
            if answer["bottles"] == 1
            else _("{bottles} bottles", bottles=in_thousands(answer["bottles"]))
        )
        yield _(
            "Booked {bottles} in {deliveries} {delivery_or_deliveries}",
            bottles=bottles,
            deliveries=in_thousands(deliveries),
            delivery_or_deliveries=_("delivery") if deliveries == 1 else _("deliveries"),
        )
        if answer["corrected"] and not answer["takes_back"]:
            corrected = (
                _("1 bottle")
                if answer["corrected"] == 1
                else _("{corrected} bottles", corrected=in_thousands(answer["corrected"]))
            )
            yield _("Corrected {corrected} that came before:", corrected=corrected)
        yield from _corrected_lines(answer)
    elif answer["kind"] == "products":
        changed = in_thousands(answer["changed"])
        yield _(
            "Added {products} products, and to {changed} known ones; no bottle came of it",
            products=in_thousands(answer["products"]),
            changed=changed,
        )
        yield from _kept_lines(answer)
    elif answer["kind"] == "terms":
        changed = in_thousands(answer["changed"])
        yield _(
            "Added {suppliers} suppliers, and to {changed} known ones",
            suppliers=in_thousands(answer["suppliers"]),
            changed=changed,
        )
        yield from _kept_lines(answer)
    else:
        emptied = in_thousands(answer["bottles"])
        yield _(
            "Booked {mixes} past mixes, from {emptied} bottles that are empty now",
            mixes=in_thousands(answer["mixes"]),
            emptied=emptied,
        )
        yield _("What stands on the shelf was not touched.")
    if answer["import"] is not None:
        yield _("To take the whole file back: `ullage undo import {import_}`", import_=answer["import"])
    yield from _made_lines(answer, _("were made"))
    if answer["bad_count"]:
        yield _("Bad rows that were left out: {bad_count}", bad_count=in_thousands(answer["bad_count"]))
    yield from _not_taken_lines(answer)
