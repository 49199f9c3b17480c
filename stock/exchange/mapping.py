"""The meaning of the columns in a studio's own spreadsheet: guessed from the heads, chosen, and remembered."""

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from stock.errors import BadInput
from stock.language import _
from stock.remedies import Option, Remedy
from stock.shelf.bottles import reads_like_a_number
from stock.store.connection import connection
from stock.store.models import SheetMap
from stock.text import folded, plain

RECORD: Mapping[str, str] = {
    "lead_time": "lead time, delivery time, lieferzeit, prazo, plazo, délai",
    "density": "density, dichte, densidade, densidad, densité",
    "drops_per_ml": "drops per ml, drops, tropfen je ml",
    "solvent": "solvents, solvent, lösemittel, solventes, solvants",
    "water": "water, wasser, água, agua, eau",
    "solids": "solids, festkörper, sólidos, extrait sec",
    "flash_point": "flash point, flashpoint, flammpunkt, ponto de inflamação, punto de inflamación, point éclair",
    "boiling_point": "boiling point, siedepunkt, ponto de ebulição, punto de ebullición, point d'ébullition",
    "ph": "ph, ph value, ph-wert, valor ph, valeur ph, valor de ph",
    "opened_life": "opened life, life opened, haltbar geöffnet",
    "sealed_life": "sealed life, shelf life, lagerfähigkeit, haltbarkeit",
    "pot_life": "pot life, topfzeit",
    "store_at": "store at, storage temperature, lagertemperatur",
    "usual_reducer": "usual reducer, thinner to use, reducer to use",
    "not_with": "not with, keep apart from, not beside",
    "groups": "groups, reactive groups",
    "voc_categories": "voc category, voc categories, voc limits, voc limit category, voc subcategory, voc-kategorie, "
    "categoria cov, categoría cov, catégorie cov",
    "discontinued": "discontinued, no longer made, discontinued on, ausgelaufen, descontinuado, descatalogado",
}
"""Further fields of a product's record, which a file of stock may have, too."""
STOCK: Mapping[str, str] = {
    "product": "product, name, product name, paint, paint name, colour name, color name, article, item, produkt, "
    "farbe, farbname, artikel, produto, tinta, nome, producto, pintura, nombre, produit, peinture, nom",
    "size": "size, bottle size, volume, pack, pack size, größe, grösse, inhalt, gebinde, tamanho, tamaño, taille",
    "left": "left, on hand, rest, remaining, amount left, current, how full, how much left, fill, fill level, filled, "
    "level, restmenge, bestand, füllstand, füllung, resta, restante, reste, niveau, nivel",
    "count": "count, quantity, qty, bottles, pieces, number of bottles, anzahl, stück, quantidade, cantidad, quantité",
    "role": "role, type, kind, art, typ, tipo",
    "line": "line, range, series, serie, linha, gamme",
    "maker": "maker, brand, manufacturer, hersteller, marke, fabricante, marca, marque, fabricant",
    "color": "color, colour, hex, color code, colour code, farbcode",
    "supplier": "supplier, shop, dealer, lieferant, händler, fornecedor, proveedor, fournisseur",
    "lot": "lot, batch, batch number, lot number, charge, chargennummer, lote",
    "received": "received, received on, date received, arrived, arrived on, arrival, bought, bought on, "
    "purchased, delivered, gekauft, erhalten, angekommen, recebido, acheté, reçu, recibido",
    "opened": "opened, opened on, open since, geöffnet, angebrochen, aberto, abierto, ouvert",
    "best_before": "best before, expires, expiry, expiry date, expiration, use by, haltbar bis, mhd, validade, "
    "caducidad",
    "place": "place, location, shelf, cabinet, stored in, ort, lagerort, platz, local, lugar, lieu",
    "price": "price, cost, price paid, unit price, preis, preço, precio, prix",
    "owner": "owner, belongs to, customer, besitzer, eigentümer, kunde, dono, cliente, propriétaire, client",
    "code": "code, product code, article number, item number, item no, article no, sku, ref, reference, "
    "artikelnummer, artikel-nr, art-nr, bestellnummer, código, referência, referencia, référence",
    "label": "label, barcode, bottle code, etikett, etiqueta, étiquette",
    "signal_word": "signal word, signal, signalwort, mention d'avertissement",
    "h_statements": "h-statements, h statements, hazard statements, h phrases, h-sätze, gefahrenhinweise, mentions de "
    "danger",
    "p_statements": "p-statements, p statements, precautionary statements, p phrases, p-sätze, conseils de prudence",
    "pictograms": "pictograms, ghs pictograms, piktogramme, pictogrammes",
    "gloves": "gloves, glove material, handschuhe, gants",
    "eye_protection": "eye protection, augenschutz, protection des yeux",
    "breathing_protection": "breathing protection, respirator, atemschutz, protection respiratoire",
    "incompatible": "incompatible materials, incompatible, unverträgliche materialien, matières incompatibles",
    "un_number": "un number, un no, un, un-nummer, numéro onu",
    "transport_class": "transport class, adr class, hazard class, gefahrgutklasse, classe de transport",
    "packing_group": "packing group, verpackungsgruppe, groupe d'emballage",
    **RECORD,
}
MIXES: Mapping[str, str] = {
    "day": "day, date, when, on, mixed on, datum, tag, data, fecha, dia, día, jour",
    "mix": "mix, mix number, mix no, batch, session, mischung, mistura, mezcla, mélange",
    "product": STOCK["product"],
    "amount": "amount, volume, paint amount, paint ml, quantity, menge, quantidade, cantidad, quantité",
    "reducer": "reducer, thinner, reduced with, thinned with, verdünner, verdünnung, diluente, diluyente, diluant",
    "reduce": "reduce, reduction, percent, thinning, reduction percent, verdünnungsgrad, prozent, redução, reducción",
    "reducer_amount": "reducer amount, thinner amount, reducer ml, thinner ml, verdünnermenge",
    "needle": "needle, nozzle, needle size, düse, nadel, agulha, aguja, aiguille",
    "job": "job, project, customer job, work, auftrag, projekt, projeto, proyecto, projet",
    "outcome": "outcome, result, rating, ergebnis, resultado, résultat",
    "note": "note, notes, remark, remarks, comment, notiz, bemerkung, nota, comentario, remarque",
}
ON_THE_SHELF = ("left", "count", "lot", "received", "opened", "best_before", "place", "owner", "label")
"""Fields that only a bottle has: a file with one of them is no list of products."""
PRODUCTS: Mapping[str, str] = {
    **{field: words for field, words in STOCK.items() if field not in ON_THE_SHELF},
    "note": MIXES["note"],
}
TERMS: Mapping[str, str] = {
    "supplier": f"{STOCK['supplier']}, name, vendor, seller, firma",
    "lead_time": RECORD["lead_time"],
    "order_days": "order days, orders on, ordering days, bestelltage, dias de encomenda, días de pedido",
    "shipping": "shipping, shipping cost, delivery cost, postage, versand, versandkosten, portes, envío, port",
    "free_shipping_from": "free shipping from, free from, free delivery from, free shipping over, versandfrei ab, "
    "portes grátis, franco",
}
FIELDS: Mapping[str, Mapping[str, str]] = {
    "stock": STOCK, "mixes": MIXES, "products": PRODUCTS, "terms": TERMS,
}  # fmt: skip
NEEDED: Mapping[str, tuple[str, ...]] = {
    "stock": ("product", "size"), "mixes": ("day", "product", "amount"), "products": ("product",),
    "terms": ("supplier",),
}  # fmt: skip
NOTHING = "-"
WHY = "not taken because"
"""The head of the column of reasons in a file of bad rows; it is not one of the person's columns."""
_UNIT = re.compile(
    r"\s*[(\[]([^)\]]{1,12})[)\]]\s*$|\s+in\s+(\S{1,6})$"
    r"|[\s,_/]+(ml|cl|dl|l|litres?|liters?|cc|fl\.? ?oz|floz|oz|%|[€$£¥]|eur|usd|gbp|chf|jpy)\.?$",
    re.IGNORECASE,
)


class Unmapped(BadInput):
    """A required column isn't known; `kind` is the kind of file that it seems to be, `known` are heads by our field."""

    def __init__(self, kind: str, missing: str, known: Mapping[str, str], heads: Sequence[str]) -> None:
        super().__init__(
            _(
                "no column of this file of {kind} is known to hold the {missing}; it has {heads}",
                kind=kind,
                missing=missing,
                heads=_listed(heads),
            ),
            remedy=Remedy(_("Say which "), Option("map", f"{missing}=THEIR HEAD")),
        )
        self.kind = kind
        self.known = known


@dataclass(frozen=True, slots=True)
class Meaning:
    """The meaning of a spreadsheet's columns: the column's place by our field, and the unit in its head, if any."""

    kind: str
    places: Mapping[str, int]
    units: Mapping[str, str]
    remembered: bool

    def heads(self, heads: Sequence[str]) -> dict[str, str]:
        """The heads by our field."""
        return {field: heads[place] for field, place in self.places.items()}


def meaning(
    heads: Sequence[str], *, kind: str | None = None, said: Iterable[str] = (), recall: bool = True
) -> Meaning:
    """Find out the meaning of the columns.

    Args:
        heads: the spreadsheet's.
        kind: one of `FIELDS`; found out from the heads when None.
        said: a person's choices, `field=their head`; `field=-` leaves a field out.
        recall: whether a mapping remembered for these heads is used.
    Raises:
        BadInput: no field or head of that name.
        Unmapped: a column that is needed isn't known.
    """
    if kind is not None and kind not in FIELDS:
        raise BadInput(
            _("{kind!r} is nothing that is imported", kind=plain(kind, 20)),
            remedy=_("Write one of {fields}", fields=", ".join(FIELDS)),
        )
    chosen = kind or _kind(heads)
    known = _recalled(chosen, heads) if recall else None
    meant = dict(known) if known is not None else _guessed(chosen, heads)
    for text in said:
        field, sign, head = text.partition("=")
        _refuse_strange(field.strip(), sign, chosen)
        meant.pop(field.strip(), None)
        if head.strip() != NOTHING:
            meant[field.strip()] = _place(head, heads)
    missing = [field for field in NEEDED[chosen] if field not in meant]
    if missing:
        raise Unmapped(chosen, missing[0], {field: heads[place] for field, place in meant.items()}, heads)
    return Meaning(chosen, meant, _units(meant, heads), known is not None)


def are_heads(heads: Sequence[str], *, kind: str | None = None, said: Iterable[str] = ()) -> bool:
    """Whether a row's cells name the columns of a file: all required ones, and at least two.

    Args:
        heads: the cells.
        kind: as for `meaning`.
        said: as for `meaning`; a head that a person named counts.
    """
    if sum(bool(head) for head in heads) < 2:
        return False
    own = {folded(head) for head in heads if head}
    for each in [kind] if kind is not None and kind in FIELDS else list(FIELDS):
        meant = set(_guessed(each, heads))
        for text in said:
            field, _, head = text.partition("=")
            if folded(head) in own:
                meant.add(field.strip())
        if (len(meant) > 1 and meant.issuperset(NEEDED[each])) or _recalled(each, heads) is not None:
            return True
    return False


def _kind(heads: Sequence[str]) -> str:
    fits = {kind: _guessed(kind, heads) for kind in FIELDS}
    terms = fits["terms"]
    of_suppliers = "product" not in fits["stock"] or {"order_days", "free_shipping_from"} & terms.keys()
    if of_suppliers and "supplier" in terms and len(terms) > 1 and "day" not in fits["mixes"]:
        return "terms"
    whole = [kind for kind, meant in fits.items() if all(field in meant for field in NEEDED[kind])]
    booked = [kind for kind in whole if kind not in ("products", "terms")]
    if len(booked) == 1:
        return booked[0]
    on_the_shelf = any(field in fits["stock"] for field in ON_THE_SHELF)
    if not booked and whole and not on_the_shelf and len(fits["products"]) > 1:
        return "products"
    return max(("stock", "mixes"), key=lambda kind: (kind in whole, len(fits[kind])))


def may_be_a_price_list(found: Meaning) -> bool:
    """Whether a file of stock may be a price list: it has prices, and no field that only bottles have."""
    return found.kind == "stock" and "price" in found.places and not found.places.keys() & {*ON_THE_SHELF}


def with_labels(found: Meaning, heads: Sequence[str], sample: Iterable[Sequence[str]]) -> Meaning:
    """Decide what a column headed `Code` holds: the bottles' labels if no code occurs twice, else the products' codes.

    Args:
        found: the meaning of the columns; a remembered one stays as it is.
        heads: the file's.
        sample: the cells of its first rows.
    """
    place = found.places.get("code")
    if found.kind != "stock" or found.remembered or place is None or "label" in found.places:
        return found
    codes = [cells[place] for cells in sample if cells[place]]
    if _bare(heads[place]) != "code" or len(set(codes)) < len(codes) or "count" in found.places:
        return found
    if any(reads_like_a_number(code) for code in codes):
        return found
    places = {field if field != "code" else "label": at for field, at in found.places.items()}
    return replace(found, places=places)


def _bare(head: str) -> str:
    return folded(_UNIT.sub("", head).replace("_", " ").replace(".", " ").strip(" :*#"))


def _guessed(kind: str, heads: Sequence[str]) -> dict[str, int]:
    filled = [(place, head) for place, head in reversed(list(enumerate(heads))) if head]
    by_head = {folded(head): place for place, head in filled} | {_bare(head): place for place, head in filled}
    meant: dict[str, int] = {}
    for field, words in FIELDS[kind].items():
        for word in (field.replace("_", " "), *words.split(", ")):
            place = by_head.get(folded(word))
            if place is not None and place not in meant.values():
                meant[field] = place
                break
    return meant


def _refuse_strange(field: str, sign: str, kind: str) -> None:
    if not sign or field not in FIELDS[kind]:
        raise BadInput(
            _("{field!r} is no field of {kind}", field=plain(field, 40), kind=kind),
            remedy=_("Write one of {fields} as field=HEAD", fields=", ".join(FIELDS[kind])),
        )


def _place(head: str, heads: Sequence[str]) -> int:
    wanted = folded(head)
    for place, each in enumerate(heads):
        if folded(each) == wanted:
            return place
    raise BadInput(
        _("no column is called {head!r}", head=plain(head, 40)),
        remedy=_("The file has {heads}", heads=_listed(heads)),
    )


def _listed(heads: Sequence[str]) -> str:
    return ", ".join(head for head in heads if head)[:400]


def _units(meant: Mapping[str, int], heads: Sequence[str]) -> dict[str, str]:
    found = {}
    for field, place in meant.items():
        written = (
            _UNIT.search(heads[place]) if field != "drops_per_ml" else None
        )  # the name says what a bare figure is
        if written is not None:
            found[field] = (written[1] or written[2] or written[3]).strip()
    return found


def _key(kind: str, heads: Sequence[str]) -> str:
    own = (folded(head) for head in heads)
    return json.dumps([kind, *(head for head in own if head != WHY)], ensure_ascii=False)


def _recalled(kind: str, heads: Sequence[str]) -> dict[str, int] | None:
    with connection():
        row = SheetMap.get_or_none(SheetMap.heads == _key(kind, heads))
    if row is None:
        return None
    meant = json.loads(row.meant)
    return {field: place for field, place in meant.items() if field in FIELDS[kind] and place < len(heads)}


def remember(found: Meaning, heads: Sequence[str]) -> None:
    """Keep a mapping for the next file with the same heads; call it inside `writing()`."""
    key, meant = _key(found.kind, heads), json.dumps(dict(found.places))
    if not SheetMap.update(meant=meant).where(SheetMap.heads == key).execute():
        SheetMap.insert(heads=key, meant=meant).execute()
