"""The answer of `ullage cautions --waste`: each bottle's destination, its codes with reasons, and the kilograms."""

from collections.abc import Sequence
from typing import Any

from stock import units
from stock.cli.cautions import SAFETY
from stock.grammar import all_digits
from stock.language import _
from stock.notation import show_day


def listing(facts: Any, found: Sequence[Any]) -> tuple[dict[str, Any], list[str]]:
    """The destination of each bottle of waste, and the kilograms beside a very small generator's limits."""
    from stock.cautions.eu_waste_codes import EU_TEXTS
    from stock.cautions.findings import stored_bottles  # only where asked
    from stock.cautions.rules import rule_book
    from stock.cautions.waste import codes_in_words, destinations, reasons_of_made, words_of_made

    book = rule_book(facts.rule_sets, facts.changes)
    going = destinations(stored_bottles(facts), found)
    month_kg, on_hand_kg = (facts.waste_mg or 0) / 1_000_000, (facts.waste_on_hand_mg or 0) / 1_000_000
    limits = (book.figure("too-much-waste", "month_kg"), book.figure("waste-on-hand", "on_hand_kg"))
    since = facts.waste_since.isoformat() if facts.waste_since else None
    answer = {
        "bottles": [
            {"bottle": each.bottle, "product": each.product, "on_hand_ml": units.ml(each.on_hand_ul),
             "to": each.to, "codes": list(each.codes), "why": each.why,
             "reasons": [code._asdict() for code in each.reasons],
             "eu": {**each.eu._asdict(), "text": EU_TEXTS[each.eu.code]} if each.eu is not None else None}
            for each in going
        ],
        "made": [
            {"products": [product.name for product in each.products], "spent": each.spent,
             "kg": each.mass_mg / 1_000_000, "reasons": [code._asdict() for code in reasons_of_made(each)]}
            for each in facts.waste_made
        ],
        "month_kg": month_kg, "month_limit_kg": limits[0],
        "on_hand_kg": on_hand_kg, "on_hand_limit_kg": limits[1], "since": since,
    }  # fmt: skip
    stored = {each.bottle.id: each for each in stored_bottles(facts)}
    lines = []
    for each in going:
        lines.append(
            _("Bottle {bottle}, {product}: {to}", bottle=each.bottle, product=each.product, to=each.to)
        )
        lines += [f"  {part}" for part in codes_in_words(stored[each.bottle], book)]
        if each.eu is not None and any(
            part.startswith("EU") for part in codes_in_words(stored[each.bottle], book)
        ):
            lines.append(_("     {code} is {eu_texts}", code=each.eu.code, eu_texts=EU_TEXTS[each.eu.code]))
    made = []
    for kind in facts.waste_made:
        used = _(" (used as a solvent)") if kind.spent else ""
        names = ", ".join(product.name for product in kind.products)
        made.append(
            _(
                "  {mass_mg} kg of {names}{used}",
                mass_mg=all_digits(kind.mass_mg / 1000000, 2),
                names=names,
                used=used,
            )
        )
        made += [f"    {words}" for words in words_of_made(kind, book)]
    return answer, [
        *(lines or [_("Nothing is to be thrown away.")]),
        "",
        _(
            "Hazardous waste made this month: {month_kg} kg; a very small generator makes at most "
            "{limits} kg.",
            month_kg=all_digits(month_kg, 2),
            limits=limits[0],
        ),
        *made,
        _(
            "Thrown away {since}: {on_hand_kg} kg; its exemption ends at {limits} kg on hand (40 CFR "
            "262.14). Other countries differ.",
            since=_("since {since}", since=show_day(since))
            if since
            else _("so far (no collection is noted)"),
            on_hand_kg=all_digits(on_hand_kg, 2),
            limits=limits[1],
        ),
        "",
        SAFETY,
    ]
