"""The figures of a substance, each with its unit and its source; an unknown figure says so."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from stock.cautions.own_substances import of_row, own_substances, row_about
from stock.cautions.peroxides import LISTS
from stock.cautions.substances import NO_FIGURE, Substance, substance, substances_by_name
from stock.errors import NotFound
from stock.grammar import in_full
from stock.hazard_statements import statements
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.remedies import Do, Remedy
from stock.substance_table import cas_number, is_cas, row_of, rows_by_name
from stock.text import folded, plain

UNKNOWN = _("not known")
"""The text of a figure that counts as the worse case."""
TITLES = {
    "IEC/NFPA": _("the worse of IEC 60079-20-1:2010 and NFPA 497:2008"),
    "IEC": _("IEC 60079-20-1:2010"),
    "DIPPR": _("the DIPPR database"),
    "Hansen": _("Hansen's table of solvents"),
    "CRC": _("CRC Handbook"),
    "Yaws": _("Yaws' collection"),
    "COMMON_CHEMISTRY": _("CAS Common Chemistry"),
    "WIKIDATA": _("Wikidata"),
    "WEBBOOK": _("NIST WebBook"),
    "Perry 8E": _("Perry's Handbook, 8th edition"),
    "CoolProp/thermo": _("CoolProp and thermo"),
    "Ontario": _("Ontario's limits, as in chemicals 1.5.2"),
    "OSHA/NIOSH/ACGIH": _("the lowest of OSHA, NIOSH and ACGIH"),
    "annex VI": _("Regulation (EC) 1272/2008, annex VI"),
    "112(b)": _("Clean Air Act, 112(b)"),
    "not in 112(b)": _("not in the Clean Air Act, 112(b)"),
    "not in 51.100(s)": _("not among the exceptions of 40 CFR 51.100(s)"),
    "boiling point": _("Directive 2004/42/EC: 250 °C or below"),
}
"""The full titles of sources by the short names of the table."""
MOST_LISTED = 8
LITRES_A_MOLE = 24.45
"""Molar volume of a gas at 25 °C and one atmosphere, with which codes convert mg/m³ to parts in a million."""


class Figure(NamedTuple):
    """One figure: its key for scripts, its label, its value, the value as text, and its source."""

    key: str
    label: str
    value: Any
    text: str
    source: str


def find(name: str, *, own: Mapping[str, Substance] | None = None) -> Substance:
    """Find a substance by any of its names or its CAS number, with the studio's own record of it.

    Args:
        name: one of its names.
        own: the studio's own substances; read from the books when None.
    Raises:
        NotFound: neither the table nor the studio has it; the remedy lists similar names.
        BadInput: a CAS number with a wrong last digit.
    """
    if is_cas(name):
        cas_number(name)
    wanted = folded(name)
    own = own_substances() if own is None else own
    found = own.get(wanted) or substance(name)
    if found is None:
        raise NotFound(
            _("no substance is called {name!r}", name=plain(name, 40)), remedy=_instead_of(wanted, own)
        )
    return found


def _instead_of(wanted: str, own: Mapping[str, Substance]) -> Remedy | str:
    """The remedy for an unknown name: substances whose name contains the text, or else is similar to it."""
    names = {name: row["name"] for name, row in rows_by_name().items()}
    names |= {name: one.name for name, one in own.items()}
    containing = {full_name for name, full_name in names.items() if wanted and wanted in name}
    if containing:
        close = sorted(
            containing, key=lambda full_name: (wanted not in folded(full_name), len(full_name), full_name)
        )
        more = _(" and {close} more", close=len(close) - MOST_LISTED) if len(close) > MOST_LISTED else ""
        return _("Names that hold it: {close}{more}", close=", ".join(close[:MOST_LISTED]), more=more)
    from difflib import get_close_matches  # only for a name that nothing has

    near = [] if is_cas(wanted) else get_close_matches(wanted, names, n=6, cutoff=0.75)
    if near:
        return _("Written nearly so: {near}", near=", ".join(dict.fromkeys(names[name] for name in near)))
    return Remedy(_("Add it by its sheet with "), Do("substance add", "NAME"))


def everything(own: Mapping[str, Substance] | None = None) -> list[Substance]:
    """Every substance of the table and of the studio once, in the order of their names."""
    by_cas = {one.cas: one for one in substances_by_name().values()}
    by_cas |= {one.cas: one for one in (own_substances() if own is None else own).values()}
    return sorted(by_cas.values(), key=lambda one: folded(one.name))


def unknown_in_words(listed: Sequence[Figure]) -> str:
    """The labels of the figures that are not known; empty where all are."""
    return ", ".join(each.label for each in listed if each.text == UNKNOWN)


def other_names(one: Substance) -> list[str]:
    """Its German, French and short names in the table."""
    row = row_of(one.cas)
    if row is None:
        return []
    names = (row["german"], row["french"], *row["aliases"].split(";"))
    return [name for name in dict.fromkeys(names) if name]


def own_record_in_words(one: Substance) -> str:
    """The figures of the studio's own record that don't count because the table has worse ones, in words."""
    row = row_about(one)
    if row is None:
        return ""
    noted = {each.key: each.text for each in (*_fire(of_row(row)), *_air(of_row(row)))}
    milder = [
        f"{each.label} {noted[each.key]}"
        for each in (*_fire(one), *_air(one))
        if noted.get(each.key, UNKNOWN) not in (UNKNOWN, each.text)
    ]
    return (
        _("noted as {name}: {milder}; the worse counts", name=row.name, milder=", ".join(milder))
        if milder
        else ""
    )


def other_names_in_words(one: Substance) -> str:
    """Its other names between semicolons, the first ones if there are many; empty if it has none."""
    names = other_names(one)
    more = _(" and {names} more", names=len(names) - MOST_LISTED) if len(names) > MOST_LISTED else ""
    return "; ".join(names[:MOST_LISTED]) + more


def figures(one: Substance) -> list[Figure]:
    """Its figures in the order of a sheet."""
    return [*_fire(one), *_air(one), *_law(one)]


def _figure(one: Substance, key: str, label: str, value: Any, *, unit: str, source: str) -> Figure:
    text = UNKNOWN if value is None else f"{in_full(value, 6)} {unit}"
    named_source = one.source_of(source) or _("its formula") * (key == "molar_mass_g_per_mol")
    return Figure(key, label, value, text, "" if value is None else _in_full(named_source))


def _in_full(source: str) -> str:
    head, comma, rest = source.partition(", ")
    return f"{TITLES.get(head, head)}{comma}{rest}"


def _fire(one: Substance) -> Iterable[Figure]:
    why = one.no_flash_point or "doesn't burn" * (not one.burns)
    flash = _figure(
        one, "flash_point_c", _("flash point"), _thousandth(one.flash_point_mc), unit="°C", source="flash"
    )
    yield flash._replace(text=_no_flash_point(one, why)) if why else flash
    yield _figure(
        one,
        "boiling_point_c",
        _("boiling point"),
        _thousandth(one.boiling_point_mc),
        unit="°C",
        source="boils",
    )
    grams = None if one.density_ug_per_ml is None else one.density_ug_per_ml / 1_000_000
    density = _figure(one, "density_g_per_ml", "density", grams, unit=_("g/ml at 20 °C"), source="density")
    yield density._replace(text=NO_FIGURE[one.no_density]) if one.no_density and grams is None else density
    yield _figure(
        one, "molar_mass_g_per_mol", _("molar mass"), _thousandth(one.molar_mg), unit="g/mol", source="molar"
    )
    if one.can_flash or one.lower_milli is not None:
        lower = _thousandth(one.lower_milli)
        yield _figure(
            one, "lower_limit_percent", _("lower limit"), lower, unit=_("% of the air"), source="limits"
        )
    if one.upper_milli is not None:
        upper = _thousandth(one.upper_milli)
        yield _figure(
            one, "upper_limit_percent", _("upper limit"), upper, unit=_("% of the air"), source="limits"
        )


def _no_flash_point(one: Substance, why: str) -> str:
    """Why it has no flash point; if it has flammable limits, that its vapour can burn."""
    if why == "doesn't burn" and one.lower_milli is not None:
        return _("none; its vapour can burn between the limits below")
    return NO_FIGURE[why]


def _air(one: Substance) -> Iterable[Figure]:
    for key, label, ppm, source in (
        ("exposure_ppm", _("8-hour limit"), one.exposure_ppm, "exposure"),
        ("short_term_ppm", _("15 min limit"), one.short_term_ppm, "short"),
        ("ceiling_ppm", _("ceiling limit"), one.ceiling_ppm, "short"),
    ):
        figure = _figure(one, key, label, ppm, unit="ppm", source=source)
        yield figure._replace(text=_of_dust(ppm, one.molar_mg)) if ppm and _is_dust(one) else figure


def _is_dust(one: Substance) -> bool:
    return one.no_flash_point == "solid" and one.molar_mg is not None


def _of_dust(ppm: float, molar_mg: int | None) -> str:
    """The limit of a solid in mg/m³ of dust, as codes print it; the table has parts in a million, as for a vapour."""
    assert molar_mg is not None
    mg_per_m3 = ppm * molar_mg / 1_000 / LITRES_A_MOLE
    return _("{mg_per_m3} mg/m³ of dust", mg_per_m3=in_full(mg_per_m3, 1 if mg_per_m3 >= 1 else 3))


def _law(one: Substance) -> Iterable[Figure]:
    texts = statements()
    statement_texts = [
        f"{code} {texts[code].text}" if code in texts else code for code in one.h_statements or ()
    ]
    yield _listed("h_statements", _("hazards"), one.h_statements, "; ".join(statement_texts))._replace(
        source=_in_full(one.source_of("h"))
    )
    yield _listed("us_waste", _("US waste"), one.us_waste, " ".join(one.us_waste or ()))._replace(
        source=_in_full(one.source_of("waste"))
    )
    for key, label, word in (("us_voc", _("VOC, US"), one.us_voc), ("eu_voc", _("VOC, EU"), one.eu_voc)):
        text = {"": UNKNOWN, "no": "none", "voc": "VOC"}.get(word, word)
        yield Figure(key, label, word or None, text, _in_full(one.source_of(key)))
    hap = UNKNOWN if one.hap is None else "listed" if one.hap else _("not listed")
    yield Figure("hap", _("air pollutant"), one.hap, hap, _in_full(one.source_of("hap")))
    yield _peroxides(one)


def _listed(key: str, label: str, words: Sequence[str] | None, text: str) -> Figure:
    if words is None:
        return Figure(key, label, None, UNKNOWN, "")
    return Figure(key, label, list(words), text or "none", "")


def _peroxides(one: Substance) -> Figure:
    value = one.peroxide_list.split("; ") if one.peroxide_list else []
    named = (entry.partition(" ") for entry in value)
    lists = ", ".join(f"{LISTS[name]} {grade}".strip() for name, _, grade in named)
    texts: Mapping[str, str] = {
        "listed": _("forms them, by a list"),
        "memory": _("forms them, by a list from memory"),
        "watched": _("on no list; watched as an ether of a glycol"),
        "no": _("on no list"),
    }
    return Figure("peroxide_lists", _("peroxides"), value, texts.get(one.peroxide, UNKNOWN), lists)


def _thousandth(figure: int | None) -> float | None:
    return None if figure is None else figure / 1_000
