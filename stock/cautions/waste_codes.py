"""The waste codes of the United States for a discarded product, each with its reason.

United States: 40 CFR 261.21 to 261.24 (D001 to D043), 261.31 (spent solvents F001 to F005, mixtures by their content
before use: 50 FR 53315) and 261.33 (U and P codes of what is thrown away unused). Which lists a substance is on is a
column of substances.csv; levels stand in figures/waste_levels.csv, each with how well it was seen. EPA's answer RO
14109: a product that was not used as a solvent carries no F code.

What isn't known counts as the worse case, and the code says that it is assumed. The generator and the local authority
decide: a laboratory's test, or the maker, knows better than any list.
"""

from collections import defaultdict
from collections.abc import Iterator
from functools import lru_cache

from stock.cautions.composition import SLACK_MILLI, WHOLE_MILLI, heaviest_ug_per_ml, unlisted_milli
from stock.cautions.facts import ProductFacts, SolventShare
from stock.cautions.flammable import accounted_for
from stock.cautions.groups import ASSUMED, groups_of
from stock.cautions.mixture import Blend
from stock.cautions.substances import may_burn, substance
from stock.grammar import in_full
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import remembered
from stock.shelf import ph
from stock.shipped_files import text_of

IGNITABLE_BELOW_MC = 60_000
_ALCOHOL_BELOW = 0.24
WATER_FROM_MILLI = 50_000
_TENTH_MILLI = 10_000
"""Ten per cent by volume before use, the threshold for all listed solvents together."""
_UNNAMED_FROM_MILLI = 8_000
"""An unnamed share by weight that may be ten per cent by volume of a light listed solvent."""
_UNNAMED_BY_VOLUME = 1.25
_LIGHTEST_UG_PER_ML = 600_000
_PURE_FROM_MILLI = 80_000
"""A product with this share of one listed chemical counts as it: technical grade, or its sole active ingredient."""

_OXIDISERS = ("oxidiser", "bleach", "peroxide", "organic_peroxide", "oxidising_acid")
_CORROSIVE = ("acid", "organic_acid", "oxidising_acid", "base")
_OXIDISING_H = ("H240", "H241", "H242", "H271", "H272")
_SELF_HEATING_H = ("H250", "H251", "H252")
_CORROSIVE_H = ("H290", "H314")
_REACTIVE_H = (
    "H200", "H201", "H202", "H203", "H204", "H205", "H240", "H241", "H260", "H261", "EUH001", "EUH014", "EUH029",
    "EUH031", "EUH032", "EUH044",
)  # fmt: skip
"""Statements of the sheet that go with D001, D002 and D003; which goes with which is from memory."""
STATED_FROM_MILLI = 1_000
"""The share from which a named substance's statements replace the unknown ones of a sheet."""
_INSOLUBLE = ("barium sulfate",)
"""Metal compounds that can't leach as much as the level: barium sulfate dissolves to 2.4 mg/L (from memory)."""
_METAL_WORDS = {
    "chromium": ("chromium", "chromate", "chrome"), "lead": ("lead",), "cadmium": ("cadmium",),
    "barium": ("barium",), "mercury": ("mercury", "mercuric"), "arsenic": ("arsenic",), "selenium": ("selen",),
    "silver": ("silver",), "nickel": ("nickel",), "manganese": ("manganese", "permanganate"),
}  # fmt: skip
"""Words in the names of a metal's compounds."""
METALS = tuple(_METAL_WORDS)


class WasteCode(NamedTuple):
    """One code, its reason, and whether it rests on an unknown fact."""

    code: str
    why: str
    assumed: bool = False


class Level(NamedTuple):
    """The level from which a substance or a metal gives a code: mg/L, or per cent by weight for D002."""

    code: str
    name: str
    level: float
    status: str
    source: str


@lru_cache(maxsize=1)
def levels() -> tuple[Level, ...]:
    """Every row of figures/waste_levels.csv."""
    import csv  # only if something is thrown away

    text = text_of("cautions", "figures", "waste_levels.csv")
    return tuple(
        Level(row["code"], row["name"], float(row["level"]), row["status"], row["source"])
        for row in csv.DictReader(text.splitlines())
    )


def _listed(share: SolventShare) -> tuple[str, ...] | None:
    """The codes of the lists with a named substance; None for an unknown substance."""
    entry = substance(share)
    return entry.us_waste if entry is not None else None


def metals_of(share: SolventShare) -> tuple[str, ...]:
    """The metals in a named substance, by its name."""
    entry = substance(share)
    name = (entry.name if entry is not None else share.name).casefold()
    return tuple(
        metal for metal, words in _METAL_WORDS.items() if any(_has(name, word) for word in words)
    )  # fmt: skip


def _has(name: str, word: str) -> bool:
    return word in name if len(word) > len("lead") else word in name.replace("-", " ").split()


@remembered(4_096)  # called for everything that was ever thrown away, of few products
def us_codes(product: ProductFacts, *, spent: bool = False) -> tuple[WasteCode, ...]:
    """The United States codes of a discarded product, each once.

    Args:
        product: its facts.
        spent: whether it was used as a solvent, as a cleaner is.
    """
    found = [*_ignitable(product), *_corrosive(product), *_reactive(product), *_toxic(product)]
    found += spent_codes(product) if spent else _unused(product)
    if not found and unlisted_milli(product) > SLACK_MILLI:
        found.append(WasteCode("D004-D043", _why_open(product), assumed=True))
    first: dict[str, WasteCode] = {}
    for each in found:
        kept = first.get(each.code)
        if kept is None or (kept.assumed and not each.assumed):
            first[each.code] = each
    return tuple(first[code] for code in sorted(first))


def _why_open(product: ProductFacts) -> str:
    part = (
        _("nobody has noted what is in it") if product.solvents is None else _("part of it is named nowhere")
    )
    return _("{part}, so it may hold what makes waste toxic", part=part)


def _ignitable(product: ProductFacts) -> Iterator[WasteCode]:
    groups = groups_of(product)
    oxidising = [word for word in _OXIDISERS if word in groups]
    if oxidising:
        yield WasteCode(
            "D001",
            _("it is {oxidising}, which oxidises", oxidising=_words(oxidising[0])),
            assumed=ASSUMED in groups,
        )
    for code in _stated(product, (*_OXIDISING_H, *_SELF_HEATING_H)):
        yield WasteCode("D001", _("its sheet says {code}", code=code), assumed=product.h_statements is None)
    if product.flash_point_mc is None and not product.no_flash_point:
        yield WasteCode("D001", _("its flash point isn't known"), assumed=True)
    elif _flashes(product) and not weak_alcohol(product):
        yield WasteCode("D001", _("it flashes below 60 °C"))


def _reactive(product: ProductFacts) -> Iterator[WasteCode]:
    """D003, by statements of the sheet that it explodes, reacts with water or gives off toxic gas."""
    for code in _stated(product, _REACTIVE_H):
        yield WasteCode("D003", _("its sheet says {code}", code=code), assumed=product.h_statements is None)


def _stated(product: ProductFacts, wanted: tuple[str, ...]) -> list[str]:
    """Those of the given statements that its sheet has or, if none are noted, its named substances."""
    if product.h_statements is not None:
        return [code for code in wanted if code in product.h_statements]
    entries = [
        substance(share) for share in product.solvents or () if share.percent_milli >= STATED_FROM_MILLI
    ]
    codes = {code for each in entries if each is not None for code in each.h_statements or ()}
    return [code for code in wanted if code in codes]


def _flashes(product: ProductFacts) -> bool:
    return product.flash_point_mc is not None and product.flash_point_mc < IGNITABLE_BELOW_MC


def why_not_ignitable(product: ProductFacts) -> str:
    """Why the code D001 doesn't apply, in words."""
    if _flashes(product):
        return _("weak alcohol in water is excluded from ignitable waste")
    return _("it doesn't flash below 60 °C")


def weak_alcohol(product: ProductFacts) -> bool:
    """Whether it is water with less than 24 % alcohol by volume and nothing else that burns.

    Water must make up at least 50 % of its weight, and what is named must be all of it and explain its flash
    point. 40 CFR 261.21(a)(1); that "aqueous" means at least 50 % water is EPA guidance, as a consultant quotes it.
    """
    if (product.water_milli or 0) < WATER_FROM_MILLI or not accounted_for(product):
        return False
    blend = Blend.of_product(product)
    if any(part.burns and part.group != "alcohol" for part, _ in blend.parts):
        return False
    volumes = {
        part.name: moles * (part.molar_mg or 0) / (part.density_ug_per_ml or 1) for part, moles in blend.parts
    }
    alcohol = sum(volume for name, volume in volumes.items() if name != "water")
    return alcohol / sum(volumes.values()) < _ALCOHOL_BELOW


def _corrosive(product: ProductFacts) -> Iterator[WasteCode]:
    """D002: an aqueous liquid of pH 2 or below or of 12.5 or above, by its pH, by what is in it and by its statements.

    A pH that is known and isn't corrosive answers for what says that it burns skin; H290 is of metals (40 CFR
    261.22(a)(2)), which no pH answers. What is in it is an estimate that a buffered liquid may disprove, so beside such
    a pH it counts as the worse case.
    """
    low, high = product.ph_low_milli, product.ph_high_milli
    dry = product.water_milli == 0
    for extreme, end in (
        (low is not None and low <= ph.ACID_MILLI, _("2 or below")),
        (high is not None and high >= ph.LYE_MILLI, _("12.5 or above")),
    ):
        if extreme:
            without = _(", though no water is noted in it") if dry else ""
            yield WasteCode("D002", _("its pH is {end}{without}", end=end, without=without), assumed=dry)
    if dry:
        return
    known = low is not None and high is not None
    shares = [share for share in product.solvents or () if share.percent_milli]
    judged: set[str] = set()
    for share in shares:
        for row in levels():
            if row.code == "D002" and row.name == _name(share):
                judged.add(group_of(share))
                if share.percent_milli >= row.level * 1_000:
                    end = _("12.5 or above") if group_of(share) == "base" else _("2 or below")
                    unlike = _(", unlike the pH that is noted") if known else ""
                    why = _(
                        "{name} from {level} % gives a pH of {end}{unlike}",
                        name=row.name,
                        level=in_full(row.level),
                        end=end,
                        unlike=unlike,
                    )
                    yield WasteCode("D002", why, assumed=known)
    if known:
        if _stated(product, ("H290",)):
            yield WasteCode(
                "D002", _("its sheet says H290, and how fast it eats steel isn't known"), assumed=True
            )
        return
    for code in _stated(product, _CORROSIVE_H):
        yield WasteCode("D002", _("its sheet says {code}, and its pH isn't known", code=code), assumed=True)
    corrosive = [word for word in _CORROSIVE if word in groups_of(product)]
    open_ = product.solvents is None or unlisted_milli(product) > SLACK_MILLI
    if corrosive and (open_ or not set(corrosive) <= judged):
        yield WasteCode(
            "D002",
            _("it is {corrosive}, and its pH isn't known", corrosive=_words(corrosive[0])),
            assumed=True,
        )


def group_of(share: SolventShare) -> str:
    """The group of a named substance in the matrix; empty for an unknown substance."""
    entry = substance(share)
    return entry.group if entry is not None else ""


def _words(group: str) -> str:
    article = "an" if group[0] in "aeio" else "a"
    return f"{article} {group.replace('_', ' ')}"


def _toxic(product: ProductFacts) -> Iterator[WasteCode]:
    """D004 to D043, from the levels of 40 CFR 261.24; the whole content of a liquid counts, because it may leach.

    Only a leaching test (method 1311) settles it, so a metal's code is assumed; a solvent's follows from its share.
    """
    density = heaviest_ug_per_ml(product) / 1_000_000
    for share in product.solvents or ():
        if _name(share) in _INSOLUBLE:
            continue
        mg_per_l = share.percent_milli * 10 * density
        metals = metals_of(share)
        for row in levels():
            if row.code == "D002" or mg_per_l < row.level:
                continue
            if row.name in metals:
                why = _(
                    "{share}: {name} from {level} mg/L in a leaching test",
                    share=_name(share),
                    name=row.name,
                    level=in_full(row.level),
                )
                yield WasteCode(row.code, why, assumed=True)
            elif row.code in (_listed(share) or ()):
                yield WasteCode(
                    row.code,
                    _("{name} from {level} mg/L is toxic waste", name=row.name, level=in_full(row.level)),
                )


def spent_codes(product: ProductFacts) -> list[WasteCode]:
    """F001 to F005 of a spent solvent, by what was in it before use.

    From ten per cent by volume of all that F001, F002, F004 and F005 list together each of these lists counts that
    it holds one of; F003 where there are only solvents of its list, or with those ten per cent. Where so much isn't
    named that it could make up the ten per cent, it counts as one of F005.
    """
    named = [share for share in product.solvents or () if share.percent_milli]
    by_list: dict[str, list[SolventShare]] = defaultdict(list)
    for share in named:
        codes = [code for code in _listed(share) or () if code.startswith("F")]
        for code in codes:
            if code != "F001" or codes == ["F001"]:  # F001 is degreasing; the same solvents are on F002
                by_list[code].append(share)
    graver = {id(share): share for code in by_list if code != "F003" for share in by_list[code]}
    total = sum(volume_milli(product, share) for share in graver.values())
    strange = sum(share.percent_milli for share in named if _listed(share) is None)
    unnamed = min(unlisted_milli(product) + strange, WHOLE_MILLI)
    may_be = unnamed if unnamed > SLACK_MILLI else 0
    found: list[WasteCode] = []
    tenth = total >= _TENTH_MILLI
    perhaps = not tenth and (total + may_be * _UNNAMED_BY_VOLUME >= _TENTH_MILLI)
    if tenth or perhaps:
        for code in sorted(set(by_list) - {"F003"}):
            names = ", ".join(_name(share) for share in by_list[code])
            found.append(
                WasteCode(
                    code, _("{names}: ten per cent or more was listed before use", names=names), perhaps
                )
            )
    if perhaps or unnamed >= _UNNAMED_FROM_MILLI:
        found.append(WasteCode("F005", _("what isn't known of it may be a listed solvent"), assumed=True))
    third = by_list.get("F003", ())
    burns = [share for share in named if may_burn(share) or _listed(share)]
    if third and (found or all(share in third for share in burns)):
        names = ", ".join(_name(share) for share in third)
        only = len(third) == len(burns)
        why = f"{names}: {_('only solvents of its list') if only else _('with ten per cent of the other lists')}"
        found.append(WasteCode("F003", why, not only and not tenth))
    return found


def volume_milli(product: ProductFacts, share: SolventShare) -> float:
    """A share by volume, thousandths of a per cent; a share by weight as the largest volume that densities allow."""
    if share.basis == "volume":
        return share.percent_milli
    entry = substance(share)
    own = (entry.density_ug_per_ml if entry is not None else None) or _LIGHTEST_UG_PER_ML
    return min(share.percent_milli * heaviest_ug_per_ml(product) / own, WHOLE_MILLI)


def _name(share: SolventShare) -> str:
    entry = substance(share)
    return entry.name if entry is not None else share.name


def _unused(product: ProductFacts) -> Iterator[WasteCode]:
    """U and P codes, for a product that is one listed chemical and thrown away unused."""
    if product.role in ("paint", "clear", "mixed"):
        return
    for share in product.solvents or ():
        if share.percent_milli >= _PURE_FROM_MILLI:
            for code in _listed(share) or ():
                if code[0] in "UP":
                    yield WasteCode(
                        code, _("unused {share}, pure or as its one active ingredient", share=_name(share))
                    )
