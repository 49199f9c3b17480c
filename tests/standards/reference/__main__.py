"""Write the reference libraries' figures for every substance of the table.

Run it where `chemicals` 1.5.2, `chemical-safety` 1.1.6 and `hspipy` 1.1.8 are installed, which no extra of this project
does: `python -m tests.standards.reference`. What a library doesn't tabulate is left empty. The other files of this
folder were copied by hand on 27 November 2026: annex-vi.csv from a public copy of Regulation (EC) 1272/2008, annex VI,
table 3 with its 22nd adaptation, hazardous-air-pollutants.csv from the US agency's own list of 112(b). So was
annex-vi-groups.csv a day later, of substances that an entry covers without their number: of 2-ethylhexanoic acid's
salts and of lead compounds from an audit of the table with its 23rd adaptation in a public repository, the other
statements of lead compounds from a laboratory's report in another. That audit has zinc chromate's cancer as H350i; it
is H350, the wider one, from memory here.
"""

import csv
import warnings
from collections.abc import Callable, Iterable
from importlib.resources import files
from importlib.util import find_spec
from math import exp, log
from pathlib import Path
from typing import Any

TOP = Path(__file__).parents[3]
HEADS = (
    "cas", "library_name", "mw", "tb_k", "tb_source", "flash_k_iec", "flash_k_nfpa", "flash_k_wikidata",
    "flash_k_serat", "lfl_iec", "lfl_nfpa", "ufl_iec", "ufl_nfpa", "twa_ppm", "stel_ppm", "ceiling_ppm", "skin",
    "density_20c", "density_source", "antoine_a", "antoine_b", "antoine_c", "antoine_source", "density_crc",
    "density_common", "tm_k", "tb_yaws_k",
)  # fmt: skip
ROOM_K = 293.15


def main() -> None:
    import chemicals

    warnings.simplefilter("ignore")
    table = (TOP / "stock" / "substances.csv").read_text(encoding="utf-8").splitlines()
    with (Path(__file__).parent / "chemicals-1.5.2.csv").open("w", newline="", encoding="utf-8") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(HEADS)
        for row in csv.DictReader(table):
            out.writerow(figures(row["cas"], chemicals))
    lists(csv.DictReader(table))
    volumes(csv.DictReader(table))


def volumes(rows: Iterable[dict[str, str]]) -> None:
    """Millilitres a mole at 25 °C, as `hspipy` copies Hansen's table; its package is not imported, which needs more."""
    spec = find_spec("hspipy")
    assert spec is not None and spec.origin is not None
    text = (Path(spec.origin).parent / "db.csv").read_text(encoding="utf-8")
    known: dict[str, str] = {}
    for row in csv.DictReader(text.splitlines()):
        known.setdefault(row["CAS"].strip(), row["Mole_vol"].replace(",", "."))
    with (Path(__file__).parent / "hspipy-1.1.8.csv").open("w", newline="", encoding="utf-8") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(("cas", "ml_per_mol"))
        out.writerows((row["cas"], known[row["cas"]]) for row in rows if row["cas"] in known)


def lists(rows: Iterable[dict[str, str]]) -> None:
    """Waste codes and peroxide formers, as `chemical-safety` lists them; its D list has names, found by compound."""

    def read(name: str) -> list[dict[str, str]]:
        file = files("chemical_safety") / "chemical" / "lists" / f"{name}.csv"
        return list(csv.DictReader(file.read_text(encoding="utf-8").splitlines()))

    pure = [*read("EPA_U_List"), *read("EPA_P_List")]
    numbers = {row["cid"]: row["CAS"] for row in pure}
    leached = {numbers[row["cid"]]: row["code"] for row in read("EPA_D_List") if row["cid"] in numbers}
    formers = {row["CAS"]: row["PFC Class"] for row in read("UMN_peroxide_formers")}
    with (Path(__file__).parent / "chemical-safety-1.1.6.csv").open(
        "w", newline="", encoding="utf-8"
    ) as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(("cas", "pure", "leached", "peroxide"))
        for cas in (row["cas"] for row in rows):
            codes = " ".join(sorted({row["code"] for row in pure if row["CAS"] == cas}))
            out.writerow((cas, codes, leached.get(cas), formers.get(cas)))


def figures(cas: str, library: Any) -> list[Any]:
    """The row of one substance, in the order of HEADS."""
    safety = library.safety
    found = tried(library.search_chemical, cas)
    boils, boils_by = boiling(cas, library)
    return [
        cas, found.common_name if found else "", found.MW if found else None, boils, boils_by,
        *by_method(cas, safety.T_flash, safety.T_flash_methods, ("IEC", "NFPA", "WIKI", "Serat")),
        *by_method(cas, safety.LFL, safety.LFL_methods, ("IEC", "NFPA"), CASRN=cas),
        *by_method(cas, safety.UFL, safety.UFL_methods, ("IEC", "NFPA"), CASRN=cas),
        ppm(tried(safety.TWA, cas)), ppm(tried(safety.STEL, cas)), ppm(tried(safety.Ceiling, cas)),
        tried(safety.Skin, cas), *density(cas, found.MW if found else None, library),
        *antoine(cas, boils, library), *plain_density(cas, found.MW if found else None, library),
        tried(library.Tm, cas), tried(library.Tb, cas, method="YAWS"),
    ]  # fmt: skip


def tried(ask: Callable[..., Any], *args: Any, **named: Any) -> Any:
    """An answer of the library, or None where it has none."""
    try:
        return ask(*args, **named)
    except Exception:  # it raises whatever its tables raise
        return None


def by_method(cas: str, ask: Any, methods: Any, wanted: tuple[str, ...], **named: Any) -> list[Any]:
    """The figure by the first method of each name."""
    place = () if named else (cas,)
    known = {each: tried(ask, *place, method=each, **named) for each in tried(methods, *place, **named) or ()}
    return [next((value for name, value in known.items() if word in name), None) for word in wanted]


def boiling(cas: str, library: Any) -> tuple[Any, str]:
    """The boiling point in kelvin: by the CRC Handbook, else by another table."""
    methods = tried(library.Tb_methods, cas) or []
    for wanted in (
        lambda name: "CRC" in name,
        lambda name: name in ("WEBBOOK", "COMMON_CHEMISTRY", "WIKIDATA"),
    ):
        for name in filter(wanted, methods):
            value = tried(library.Tb, cas, method=name)
            return value, name if value else ""
    return None, ""


def ppm(limit: Any) -> Any:
    """A limit, where it is one of vapour."""
    return limit[0] if isinstance(limit, tuple) and limit[1] == "ppm" else None


def density(cas: str, molar: float | None, library: Any) -> tuple[Any, str]:
    """Grams a millilitre at 20 °C and its source."""
    tables = library.volume
    dippr, ppds = tables.rho_data_Perry_8E_105_l, tables.rho_data_VDI_PPDS_2
    if molar and cas in dippr.index:
        one = dippr.loc[cas]
        if one["Tmin"] <= ROOM_K <= one["Tmax"]:
            exponent = 1 + (1 - ROOM_K / one["C3"]) ** one["C4"]
            return round(one["C1"] / one["C2"] ** exponent * molar / 1e6, 5), "Perry 8E, DIPPR 105"
    if molar and cas in ppds.index and ppds.loc[cas]["Tc"] > ROOM_K:
        one = ppds.loc[cas]
        tau = 1 - ROOM_K / one["Tc"]
        terms = zip("ABCD", (0.35, 2 / 3, 1, 4 / 3), strict=True)
        whole = one["rhoc"] + sum(one[name] * tau**power for name, power in terms)
        return round(whole / 1000, 5), "VDI Heat Atlas, PPDS 2"
    return "", ""


def plain_density(cas: str, molar: float | None, library: Any) -> tuple[Any, Any]:
    """Grams a millilitre by the CRC Handbook's tables of inorganic compounds, and by CAS Common Chemistry."""
    tables = library.volume
    crc = next(
        (
            table.loc[cas]["Vm"]
            for table in (tables.rho_data_CRC_inorg_s_const, tables.rho_data_CRC_inorg_l_const)
            if cas in table.index
        ),
        None,
    )
    common = library.miscdata.common_chemistry_data
    number = int(cas.replace("-", ""))
    volume = None
    if number in common.index:
        known = [common.loc[number][name] for name in ("Vml", "Vms")]
        volume = next((each for each in known if each == each and each), None)
    return tuple(round(molar / each / 1e6, 4) if molar and each else "" for each in (crc, volume))  # type: ignore[return-value]


def antoine(cas: str, boils: float | None, library: Any) -> tuple[Any, Any, Any, str]:
    """Constants for log10 of pascals, only where they make one atmosphere within 4 % at the boiling point."""
    tables = library.vapor_pressure
    for name, table, base in (
        ("Poling", tables.Psat_data_AntoinePoling, 10.0),
        ("Landolt-Boernstein", tables.Psat_data_Landolt_Antoine, exp(1)),
    ):
        if cas not in table.index:
            continue
        a, b, c = (table.loc[cas][column] for column in "ABC")
        if not boils or abs(base ** (a - b / (boils + c)) / 101_325 - 1) < 0.04:
            scale = log(10, base)
            return round(a / scale, 5), round(b / scale, 3), round(c, 3), name
    return "", "", "", ""


if __name__ == "__main__":
    main()
