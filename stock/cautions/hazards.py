"""The hazards of a product by its safety data sheet, its groups and its composition, and the findings about them.

A hazard is a word of hazard_statements.csv. If the statements aren't noted, pictograms and transport class replace
them, each with its worst meaning. On the shelf most hazards are a note, because bottles are closed; at the bench, where
they are sprayed, they warn.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache

from stock.cautions.facts import BottleFacts, Finding, ProductFacts
from stock.cautions.rules import RuleBook
from stock.cautions.substances import substance
from stock.hazard_statements import HAZARD_GROUPS, PICTOGRAMS, statements
from stock.language import _
from stock.named_tuples import NamedTuple

_BY_PICTOGRAM = {
    "GHS01": ("explosive",), "GHS03": ("oxidiser",), "GHS04": ("gas_under_pressure",),
    "GHS05": ("corrosive", "corrosive_to_metals"), "GHS06": ("toxic",), "GHS08": ("cmr", "respiratory_sensitiser"),
    "GHS09": ("aquatic",),
}  # fmt: skip
"""The hazards that a pictogram can mean if no statements are noted; GHS02 and GHS07 add none."""

_BY_CLASS = {
    "1": "explosive", "2": "gas_under_pressure", "4.1": "flammable_solid", "4.2": "self_heating",
    "4.3": "water_reactive", "5.1": "oxidiser", "5.2": "self_reactive", "6.1": "toxic", "8": "corrosive",
}  # fmt: skip
"""The hazard of a class of dangerous goods, by the whole class or its first figure: UN Recommendations, part 2."""

_OF_GROUPS = {
    "organic_peroxide": "self_reactive",
    "oxidiser": "oxidiser",
    "aluminium_powder": "aluminium_powder",
    "nitrocellulose": "nitrocellulose",
}
"""Reactive groups that are hazards, too, with the words of these hazards."""

_BY_SUBSTANCE = {
    "1333-82-0": ("chromate",), "7758-97-6": ("lead", "chromate"), "1344-37-2": ("lead", "chromate"),
    "12656-85-8": ("lead", "chromate"), "7789-06-2": ("chromate",), "13530-65-9": ("chromate",),
    "10294-40-3": ("chromate",), "1314-41-6": ("lead",), "7439-92-1": ("lead",), "7440-43-9": ("cadmium",),
    "1306-23-6": ("cadmium",), "58339-34-7": ("cadmium",), "7429-90-5": ("aluminium_powder",),
    "8001-26-1": ("drying_oil",), "9004-70-0": ("nitrocellulose",),
}  # fmt: skip
"""Metals, and hazards of rags, by the CAS numbers of substances that contain or cause them."""

_FROM_MILLI: Mapping[str, int] = {
    "H334": 100, "H340": 100, "H350": 100, "H360": 300, "H341": 1_000, "H351": 1_000, "H361": 3_000, "H317": 1_000,
    "H314": 5_000, "H318": 3_000, "H300": 1_000, "H310": 1_000, "H330": 1_000, "H301": 10_000, "H311": 10_000,
    "H331": 10_000,
}  # fmt: skip
"""The share, thousandths of a per cent, from which a mixture without noted statements gets that of a substance: the
generic limits of Regulation (EC) 1272/2008 annex I tables 3.2.3, 3.3.3, 3.4.5, 3.5.2, 3.6.2 and 3.7.2, from memory.
Those of acute toxicity are our own; the regulation adds up estimates instead."""

AEROSOL_UN = "1950"


class _Rule(NamedTuple):
    """The rule about a hazard, with its severity on the shelf and at the bench."""

    code: str
    shelf: str
    bench: str


_RULES: Mapping[str, _Rule] = {
    "explosive": _Rule("explosive", "warn", "warn"),
    "pyrophoric": _Rule("explosive", "warn", "warn"),
    "self_reactive": _Rule("organic-peroxide", "note", "warn"),
    "water_reactive": _Rule("water-reactive", "note", "warn"),
    "self_heating": _Rule("self-heating", "note", "warn"),
    "toxic": _Rule("toxic", "warn", "warn"),
    "corrosive": _Rule("corrosive", "note", "warn"),
    "eye_damage": _Rule("corrosive", "note", "warn"),
    "respiratory_sensitiser": _Rule("breathing-allergy", "note", "warn"),
    "sensitiser": _Rule("skin-allergy", "note", "note"),
    "cmr": _Rule("cancer-genes-unborn", "note", "warn"),
    "lead": _Rule("toxic-metal", "note", "warn"),
    "chromate": _Rule("toxic-metal", "note", "warn"),
    "cadmium": _Rule("toxic-metal", "note", "warn"),
    "aluminium_powder": _Rule("metal-powder", "note", "note"),
    "aquatic": _Rule("harms-water", "note", "note"),
    "gas_under_pressure": _Rule("gas-under-pressure", "note", "note"),
}
"""Oxidisers are spoken of by what they may not meet, what burns by its own rules, aerosol cans by theirs."""

_METALS = {"lead": "lead", "chromate": "chromium VI", "cadmium": "cadmium"}
_SURE_CMR = ("H340", "H350", "H360")
"""Statements of category 1: known or presumed, not suspected."""
_FEW = 3


@lru_cache(maxsize=2_048)
def hazards_of(product: ProductFacts) -> dict[str, tuple[str, ...]]:
    """The hazards of a product, each with its evidence: codes of hazard statements, or a clause."""
    found: dict[str, list[str]] = {}
    by_code = statements() if product.h_statements else {}
    hazard: str | None
    for code in product.h_statements or ():
        for hazard in by_code[code].hazards if code in by_code else ():
            found.setdefault(hazard, []).append(code)
    for group in product.groups:
        hazard = group if group in HAZARD_GROUPS else _OF_GROUPS.get(group)
        if hazard is not None:
            found.setdefault(hazard, []).append(_("noted among its groups"))
    for share in product.solvents or ():
        held = substance(share.name) if share.percent_milli else None
        for hazard in _BY_SUBSTANCE.get(held.cas, ()) if held is not None else ():
            found.setdefault(hazard, []).append(_("by its {name}", name=share.name))
    if product.h_statements is None:
        for hazard, ground in _by_composition(product):
            found.setdefault(hazard, []).append(ground)
    for part in (product.transport_class or "").replace("(", " ").replace(")", " ").replace(",", " ").split():
        hazard = _BY_CLASS.get(part) or _BY_CLASS.get(part.split(".")[0])
        if hazard is not None and hazard not in found:
            found[hazard] = [_("transport class {transport_class}", transport_class=product.transport_class)]
    for pictogram in product.pictograms or () if product.h_statements is None else ():
        for hazard in _BY_PICTOGRAM.get(pictogram, ()):
            found.setdefault(
                hazard,
                [
                    _(
                        "perhaps, by its pictogram {pictogram} {pictograms}",
                        pictogram=pictogram,
                        pictograms=PICTOGRAMS[pictogram],
                    )
                ],
            )
    return {hazard: tuple(grounds) for hazard, grounds in found.items()}


def _by_composition(product: ProductFacts) -> Iterator[tuple[str, str]]:
    """The hazards that follow from the statements of a product's named substances, with that evidence."""
    by_code = statements()
    for share in product.solvents or ():
        held = substance(share.name)
        for code in (held.h_statements or ()) if held is not None else ():
            least_milli = _FROM_MILLI.get(code[:4])
            if least_milli is not None and share.percent_milli >= least_milli and code in by_code:
                yield from (
                    (hazard, _("by its {name}, {code}", name=share.name, code=code))
                    for hazard in by_code[code].hazards
                )


def is_aerosol(product: ProductFacts, bottle: BottleFacts) -> bool:
    """Whether a bottle is an aerosol can, by its own kind or, if that is unknown, by its product's sheet."""
    if bottle.container is not None:
        return bottle.container == "aerosol_can"
    return not bottle.kept and (product.un_number == AEROSOL_UN or "aerosol" in hazards_of(product))


def hazard_findings(
    products: Sequence[ProductFacts], book: RuleBook, *, bench: bool, needless: Iterable[str] = ()
) -> Iterator[Finding]:
    """The hazards that data sheets warn of: one finding for each rule and severity, with all its products.

    Args:
        products: those on the shelf, or in the mix; without repeats.
        bench: whether they are about to be sprayed.
        needless: codes of rules that another finding makes needless.
    """
    meant: dict[tuple[str, str], dict[int, ProductFacts]] = {}
    grounds: dict[tuple[str, str], dict[str, None]] = {}
    metals: dict[str, None] = {}
    for product in products:
        for hazard, said in hazards_of(product).items():
            rule = _RULES.get(hazard)
            if rule is None or rule.code in needless or book.silent_about(rule.code, product.id):
                continue
            key = rule.code, _severity(rule, hazard, said, bench=bench)
            meant.setdefault(key, {})[product.id] = product
            grounds.setdefault(key, {}).update(dict.fromkeys(said))
            if hazard in _METALS:
                metals[_METALS[hazard]] = None
    for (code, severity), of in meant.items():
        only = next(iter(of.values())) if len(of) == 1 else None
        yield from book.find(
            code,
            product=(only.id, only.name) if only else None,
            severity=severity,
            others=() if only else tuple(product.name for product in of.values()),
            products=named(product.name for product in of.values()),
            said=_in_words(grounds[code, severity]),
            protection=_protection(of.values()),
            metals=_(" and ").join(metals),
        )


def _severity(rule: _Rule, hazard: str, said: Iterable[str], *, bench: bool) -> str:
    if bench:
        return rule.bench
    sure = hazard == "cmr" and any(code in ground for ground in said for code in _SURE_CMR)
    return "warn" if sure else rule.shelf


def named(names: Iterable[str]) -> str:
    """The first few names, and how many more there are."""
    every = list(names)
    more = len(every) - _FEW
    return ", ".join(every[:_FEW]) + (_(" and {more} more", more=more) if more > 0 else "")


def _in_words(grounds: Iterable[str]) -> str:
    """Hazard statements with their texts, and other evidence."""
    by_code = statements()
    said = [f"{code} {by_code[code].text}" if code in by_code else code for code in grounds]
    return "; ".join(said)


def _protection(products: Iterable[ProductFacts]) -> str:
    """The words of section 8 of the sheets, or that they are not noted for one of the products."""
    noted = list(dict.fromkeys(product.protection for product in products))
    printed = [_("as printed: {text}", text=text) for text in noted if text]
    missing = [_("not noted here, so look there first")] if "" in noted else []
    return "; ".join([*printed, *missing])


def contradiction_findings(product: ProductFacts, book: RuleBook) -> Iterator[Finding]:
    """Findings about contradictions in a product's record; notes, because the graver fact counts and warns anyway."""
    found = contradictions_of(product)
    if found:
        yield from book.find(
            "sheet-contradicts", product=(product.id, product.name), contradictions="; ".join(found)
        )


def contradictions_of(product: ProductFacts) -> list[str]:
    """The contradictions in a product's record, each as a clause."""
    no_solvent = product.solvents == ()
    if product.h_statements is None and product.signal_word is None and not no_solvent:
        return []
    from stock.shelf.sheet_contradictions import contradictions  # few products have a sheet noted

    return contradictions(
        product.h_statements,
        product.signal_word,
        flash_mc=product.flash_point_mc,
        no_flash_point=product.no_flash_point,
        boiling_mc=product.boiling_point_mc,
        no_solvent=no_solvent,
    )
