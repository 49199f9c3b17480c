"""The labels of figures in data sheets in English, German, French and Spanish, and finding the text behind a label."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache

from stock.datasheets.figures import unknown
from stock.datasheets.page_lines import SheetLine
from stock.datasheets.section_titles import heading
from stock.named_tuples import NamedTuple

LABELS: dict[str, str] = {
    "flash_point": (
        r"flash[ -]?point|flammpunkt|(?:intervalle (?:de |du )?)?point d'?\s?[ée]clair|punto de inflamaci[óo]n|"
        r"punto de (?:destello|ignici[óo]n instant[áa]nea)"
    ),
    "fire_point": (
        r"fire point|brennpunkt|point de (?:feu|combustion)|punto de (?:combusti[óo]n|incendio|fuego)"
    ),
    "boiling_point": (
        r"(?:initial |normal )?boiling (?:point|range)(?:\s*/\s*(?:boiling )?range|"
        r" (?:or|and)(?: initial)? boiling(?: point)?(?: and boiling range| range)?)?|"
        r"siede(?:punkt|beginn|bereich|temperatur)(?: und siedebereich|\s*/\s*siedebereich|"
        r" oder siedebeginn(?: und siedebereich)?)?|"
        r"(?:point(?:\s*/\s*intervalle)?|temp[ée]rature|intervalle) (?:initiale? )?d'?\s?[ée]bullition"
        r"(?: initial| et intervalle d'[ée]bullition|"
        r" ou point initial d'[ée]bullition(?: et intervalle d'[ée]bullition)?)*|"
        r"(?:punto(?:\s*/\s*intervalo)?|temperatura|intervalo)(?: inicial)? de ebullici[óo]n"
        r"(?: inicial| e intervalo de ebullici[óo]n|"
        r" o punto inicial de ebullici[óo]n(?: e intervalo de ebullici[óo]n)?)*"
    ),
    "vapour_density": (
        r"(?:relative )?vapou?r density|(?:relative )?dampfdichte|densit[ée](?: relative)? de (?:la )?vapeur|"
        r"densidad(?: relativa)? de(?:l)? vapor"
    ),
    "bulk_density": r"bulk density|sch[üu]ttdichte|densit[ée] apparente|densidad aparente",
    "density": (
        r"density(?: and\s?/\s?or relative density|\s*/\s*relative density)?|"
        r"dichte(?: und\s?/\s?oder relative dichte)?|"
        r"densit[ée](?: et\s?/\s?ou densit[ée] relative)?|masse volumique|"
        r"densidad(?: y\s?/\s?o densidad relativa)?"
    ),
    "relative_density": (
        r"relative density|specific gravity|sp\.? gr\.?|relative dichte|spezifisches gewicht|"
        r"densit[ée] relative|"
        r"gravit[ée] sp[ée]cifique|densidad relativa|gravedad espec[íi]fica|peso espec[íi]fico"
    ),
    "ph": r"ph(?:[ -]?(?:value|wert|valeur|valor))?(?![a-z])|valeur (?:du )?ph|valor (?:de )?ph",
    "voc": (
        r"voc(?:[ -](?:content|value|gehalt|wert)(?:e)?)?(?: \(eu\))?(?![a-z])|"
        r"volatile organic compounds?(?: \(voc\))?(?: content)?|"
        r"fl[üu]chtige organische verbindungen(?: \(voc\))?|(?:teneur en )?cov(?![a-z])|"
        r"compos[ée]s organiques volatils(?: \(cov\))?|(?:contenido (?:de|en) )?cov(?![a-z])|"
        r"compuestos org[áa]nicos vol[áa]tiles(?: \(cov\))?"
    ),
    "water": (r"water content|wasser(?:gehalt|anteil)|teneur en eau|contenido (?:de|en) agua"),
    "solids": (
        r"(?:solids?(?: content)?|non[ -]?volatiles?(?: content| matter)?)(?: by weight)?|"
        r"festk[öo]rper(?:gehalt|anteil)?|"
        r"(?:extrait sec|teneur en (?:mati[èe]res? )?(?:solides?|s[èe]ches?))|"
        r"(?:contenido (?:de|en) s[óo]lidos|s[óo]lidos)"
    ),
    "signal_word": r"signal ?word|signalwort|mention d'avertissement|palabra de advertencia",
    "gloves": (
        r"(?:material of gloves|glove material|hand protection|protective gloves|gloves)|handschutz|"
        r"handschuhmaterial|"
        r"protection des mains|mat[ée]riau des gants|protecci[óo]n de (?:las )?manos|material de los guantes"
    ),
    "eye_protection": (
        r"eye(?:\s*/\s*face)? protection|augen-?\s?(?:\s*/\s*gesichts)?schutz|protection (?:des yeux|oculaire)"
        r"(?:\s*/\s*du visage)?|protecci[óo]n (?:de los ojos|ocular)(?:\s*/\s*la cara)?"
    ),
    "breathing_protection": (
        r"respiratory protection|breathing (?:equipment|protection)|atemschutz|protection respiratoire|"
        r"protecci[óo]n (?:respiratoria|de las v[íi]as respiratorias)"
    ),
    "incompatible": (
        r"incompatible materials|materials to avoid|substances to avoid|incompatib(?:le|ility)(?: with)?|"
        r"unvertr[äa]gliche (?:materialien|stoffe)|zu vermeidende stoffe|mati[èe]res (?:incompatibles|"
        r"[àa] [ée]viter)|"
        r"materiales (?:incompatibles|que deben evitarse)|materias que deben evitarse"
    ),
    "un_number": (
        r"un(?:\s?/\s?(?:id|na))?[ -]?(?:no\.?|number|nr\.?|nummer|id)(?: (?:or|oder) id[ -]?(?:number|nummer))?|"
        r"num[ée]ro (?:onu|un)(?: ou num[ée]ro d'identification)?|"
        r"n[úu]mero (?:onu|un)(?: o n[úu]mero id(?:entificaci[óo]n)?)?|no\.? onu|onu"
    ),
    "shipping_name": (
        r"(?:un )?proper shipping name|ordnungsgem[äa][sß]+e un-versandbezeichnung|"
        r"(?:nom|d[ée]signation) (?:officielle?|d'exp[ée]dition).{0,40}(?:onu|un)|"
        r"designaci[óo]n oficial de transporte.{0,25}"
    ),
    "transport_class": (
        r"transport hazard class(?:\(es\)|es)?|(?:hazard )?class(?![a-z])|transportgefahrenklassen?|"
        r"(?:gefahr)?klasse|"
        r"classe\(?s?\)? de danger(?:s)? pour le transport|classe(?![a-z])|"
        r"clase\(?s?\)? de peligro para el transporte|clase(?![a-z])"
    ),
    "packing_group": (
        r"packing group|packaging group|verpackungsgruppe|groupe d'emballage|grupo de embalaje(?:/envasado)?"
    ),
    "name": (
        r"(?:product|trade|commercial) ?name(?: of (?:the )?product)?|product (?:identifier|identity)|"
        r"name of (?:the )?product|"
        r"produktname|handelsname|produktidentifikator|produktbezeichnung|bezeichnung des produkts|"
        r"(?:nom (?:du produit|commercial(?: du produit)?)|identificateur de produit|"
        r"d[ée]signation commerciale)|"
        r"(?:product|produkt|produit|producto)(?=\s*:)|"
        r"nombre (?:del producto|comercial)|identificador del producto|denominaci[óo]n comercial"
    ),
    "maker": (
        r"manufactur(?:er|ed by)(?:\s*/\s*(?:supplier|distributor))?|hersteller(?:\s*/\s*lieferant)?|"
        r"fabricante(?:\s*/\s*proveedor)?|fabricado por|fabri(?:cant|qu[ée] par)(?:\s*/\s*fournisseur)?"
    ),
    "supplier": (
        r"supplier|company(?: name)?|details of the supplier.{0,40}|lieferant|firma|raison sociale|raz[óo]n social|"
        r"einzelheiten zum lieferanten.{0,45}|"
        r"fournisseur|soci[ée]t[ée]|renseignements concernant le fournisseur.{0,45}|proveedor|empresa|"
        r"compa[ñn][íi]a|"
        r"datos del proveedor.{0,45}"
    ),
    "pot_life": (
        r"pot[ -]?life|working (?:life|time)|topfzeit|verarbeitungszeit|(?:dur[ée]e|temps) de vie en pot|"
        r"vie en pot|"
        r"dur[ée]e (?:pratique )?d'utilisation(?: du m[ée]lange)?|vida (?:[úu]til )?(?:de la mezcla|"
        r"en (?:el )?bote)|tiempo de vida de la mezcla"
    ),
    "shelf_life": (
        r"shelf[ -]?life(?: \(?(?:unopened|sealed|opened)\)?)?|storage (?:life|stability)|"
        r"lagerstabilit[äa]t|haltbarkeit|"
        r"lagerf[äa]higkeit|lagerzeit|dur[ée]e (?:de (?:conservation|stockage)|de vie)|conservation|"
        r"vida [úu]til|caducidad|"
        r"tiempo de almacenamiento"
    ),
    "opened_life": (
        r"(?:shelf[ -]?life|use|storage)?,? ?(?:once|after|when) open(?:ed|ing)|nach (?:dem )?[öo]ffnen|"
        r"nach anbruch|"
        r"apr[èe]s ouverture|una vez abierto|despu[ée]s de abierto|tras la apertura"
    ),
    "touch_dry": (
        r"touch[ -]?dry|dry to (?:the )?touch|tack[ -]?free|grifffest|staubtrocken|ber[üu]hrtrocken|"
        r"klebfrei|sec au toucher|"
        r"hors poussi[èe]re|seco al tacto|dust[ -]?(?:dry|free)"
    ),
    "recoat": (
        r"re-?coat(?:able|ing)?(?: (?:after|time|interval|window))?|overcoat(?:able|ing)?(?: (?:after|"
        r"time))?|flash[ -]?off(?: time)?|"
        r"[üu]berlackierbar(?: nach)?|[üu]berarbeitbar(?: nach)?|abl[üu]ft(?:zeit|en)|"
        r"recouvrable(?: apr[èe]s)?|"
        r"temps (?:entre couches|de d[ée]ssolvatation)|surcouchage|repintable?(?: (?:tras|en|a las))?|"
        r"repintado|tiempo entre (?:capas|manos)|evaporaci[óo]n entre (?:capas|manos)"
    ),
    "through_dry": (
        r"(?:through|hard|fully?|completely)[ -]?(?:dry|dried|cured?)(?: (?:after|time))?|durchgetrocknet|"
        r"durchh[äa]rtung|"
        r"durchtrocknung|montagefest|sec (?:[àa] c(?:oe|œ)ur|dur|complet)|seco (?:total|duro)|"
        r"secado (?:total|completo)"
    ),
    "drying": (
        r"dry(?:ing)?(?: times?)?|trocken(?:zeit(?:en)?)|trocknung(?:szeit)?|(?:temps de )?s[ée]chage|"
        r"(?:tiempo de )?secado"
    ),
    "mixing_ratio": (
        r"mix(?:ing)?[ -]?ratio(?: by (?:volume|weight))?|mischungsverh[äa]ltnis|(?:rapport|ratio|"
        r"proportions?) de m[ée]lange|"
        r"(?:relaci[óo]n|proporci[óo]n) de mezcla"
    ),
    "reduction": (
        r"reduction(?: (?:rate|ratio|range))?|thinning(?: (?:rate|ratio))?|dilution(?: (?:rate|ratio))?|"
        r"reduce(?: with)?|thin with|"
        r"verd[üu]nnung(?:sverh[äa]ltnis|szugabe)?|verd[üu]nnen(?: mit)?|taux de dilution|dilution|"
        r"diluer(?: avec)?|"
        r"diluci[óo]n|diluir(?: con)?"
    ),
    "reducer": (
        r"reducer|thinner|recommended (?:reducer|thinner)|verd[üu]nner|verd[üu]nnungsmittel|diluant|diluyente|"
        r"r[ée]ducteur|reductor"
    ),
    "pressure": (
        r"(?:spray(?:ing)?|air|working|atomi[sz]ing|operating)(?: air)? ?pressure|pressure(?: range)?|"
        r"(?:spritz|arbeits|luft)druck|"
        r"druck|pression(?: (?:de (?:pulv[ée]risation|travail)|d'air))?|presi[óo]n(?: (?:de (?:trabajo|"
        r"pulverizaci[óo]n|aire)))?"
    ),
    "needle": (
        r"needle(?:s)?(?: size)?|nozzle(?:s)?(?: size)?|tip(?: size)?|nadel(?:gr[öo][sß]+e)?|"
        r"d[üu]se(?:ngr[öo][sß]+e|n)?|aiguille|buse|aguja|"
        r"boquilla|pico de fluido"
    ),
}
"""The labels by field; some are here only so that their lines are not taken for the value of the label before."""
_OTHERS = (
    r"melting|schmelz|point de fusion|punto de fusi[óo]n|auto-?ignition|z[üu]ndtemp|selbstentz[üu]nd|"
    r"temp[ée]rature d'auto|"
    r"temperatura de (?:auto|ignici[óo]n|descomposici[óo]n)|decomposition|zersetzung|d[ée]composition|"
    r"evaporation|verdunstung|"
    r"taux d'[ée]vap|tasa de evap|flammab|entz[üu]ndbar|entz[üu]ndlich|inflammabilit|inflamabilidad|"
    r"lower explosi|upper explosi|explosi|"
    r"(?:untere|obere) explosion|limite|l[íi]mite|vapou?r pressure|dampfdruck|pression de vapeur|"
    r"presi[óo]n de vapor|solub|l[öo]slich|"
    r"water solub|wasserl[öo]s|miscib|partition|verteilungs|coefficient|coeficiente|viscosity|viskosit|"
    r"viscosit|viscosidad|appearance|"
    r"aussehen|aspect|physical state|aggregatzustand|[ée]tat physique|estado f[íi]sico|colou?r|farbe|"
    r"couleur|odou?r|geruch|olor|"
    r"particle|partikel|particules|oxidi[sz]ing|oxidierend|comburant|propriedades|propiedades|refractive|"
    r"brechungs|molecular|molmasse|"
    r"form|phone|tel|telefon|t[ée]l[ée]phone|fax|e-?mail|address|adresse|direcci[óo]n|emergency|notruf|"
    r"use of|verwendung|utilisation|"
    r"uso|storage temperature|lagertemperatur|coverage|ergiebigkeit|rendement|rendimiento|colou?rs"
)
START = r"(?:(?:\(?[a-z]\)|\d{1,2}(?:\.\d{1,2}){1,3}\.?|\(?\d{1,2}[.)]|[-•·*▪●○◦■□►>])\s*)*"
_START = re.compile(START, re.IGNORECASE)
_MATCHERS = {key: re.compile(label, re.IGNORECASE) for key, label in LABELS.items()}
_OTHER = re.compile(_OTHERS, re.IGNORECASE)
_SUBTITLE = re.compile(r"(?:[·•*]\s*)?1?\d(?:\.\d)+\.?\s+[^\W\d_a-zà-öø-ÿ][^\W\d]{3,}")
_LIKE_A_LABEL = re.compile(
    rf"{START}(?!method|methode|m[ée]thode|m[ée]todo|remark|bemerkung|note)[^\W\d][^:]{{2,60}}:(?:\s|$)",
    re.IGNORECASE,
)
_PART = (
    r"(?:(?:boiling )?range|siedebereich|(?:et |e |y )?(?:intervall?[eo]|rango)|d'[ée]bullition|"
    r"de ebullici[óo]n|inicial|initial|oder|or|ou|"
    r"relative density|relative dichte|densit[ée] relative|densidad relativa|point|punto|content|\(.{1,20}\))"
)
"""Words of a label that may be in its second line."""
_GOES_ON = re.compile(rf"(?:{_PART}\s*)+:", re.IGNORECASE)
_ONLY_PARTS = re.compile(rf"(?:{_PART}\s*)*", re.IGNORECASE)
NEAR = 6
"""Cells that begin within so many points, or letters, of each other begin at the same place."""
FARTHEST = 3
"""The value of a label may continue for so many lines below it."""


class Labelled(NamedTuple):
    """A label with the text behind it.

    Attributes:
        line: the line that holds the value, else the one that holds the label.
        at: the number of the label's line in the lines given.
        label: the label as printed.
        text: all text that follows it, up to the next label.
        after: the text beneath, up to the next label.
        lone: whether the label begins its line and the text beside it is its value. That is not so if the value is
            in a cell below which other labels begin, as in a second column.
        below: whether the text is below the label's line.
        x0: where the label's cell begins.
    """

    line: SheetLine
    at: int
    label: str
    text: str
    after: str
    lone: bool
    below: bool
    x0: float = 0


@lru_cache(maxsize=4_096)
def label_of(text: str) -> tuple[str, int] | None:
    """The field whose label a text begins with, and where the label ends; the longest label wins."""
    best: tuple[str, int] | None = None
    begun = _begun(text)
    for key, matcher in _MATCHERS.items():
        found = matcher.match(text, begun)
        if found is None or (best is not None and found.end() <= best[1]):
            continue
        if re.match(r"['\w]", text[found.end() :]):  # "densityx" and "manufacturer's code" are other words
            continue
        best = key, found.end()
    return best


def _begun(text: str) -> int:
    """Where the words of a text begin, after a number or a list mark."""
    found = _START.match(text)
    assert found is not None  # the pattern may match nothing
    return found.end()


def _other(text: str) -> bool:
    """Whether a text begins with a label of a field that isn't read."""
    return _OTHER.match(text, _begun(text)) is not None


@lru_cache(maxsize=4_096)
def begins_another(text: str) -> bool:
    """Whether a line's text begins with a label of any kind."""
    return (
        label_of(text) is not None
        or _other(text)
        or _LIKE_A_LABEL.match(text) is not None
        or _SUBTITLE.match(text) is not None
    )


def found_labels(lines: Sequence[SheetLine], wanted: Iterable[str]) -> Iterator[tuple[str, Labelled]]:
    """Every wanted label in some lines with the text behind it, in order."""
    names = set(wanted)
    columns = _columns(lines)
    for at, line in enumerate(lines):
        for which, cell in enumerate(line.cells):
            found = label_of(cell.text)
            if found is None or found[0] not in names:
                continue
            yield found[0], _behind(lines, at, which, found[1], columns)


def _columns(lines: Sequence[SheetLine]) -> Counter[tuple[int, int]]:
    """How many labels and headings begin to the right of other words, by page and place."""
    return Counter(
        (line.page, round(cell.x0 / NEAR))
        for line in lines
        for cell in line.cells[1:]
        if label_of(cell.text) is not None or heading(cell.text) is not None
    )


def _beside(line: SheetLine, which: int, columns: Counter[tuple[int, int]]) -> bool:
    """Whether the cell right of a label stands where other labels begin."""
    if which + 1 >= len(line.cells):
        return False
    place = round(line.cells[which + 1].x0 / NEAR)
    return sum(columns[line.page, near] for near in range(place - 1, place + 2)) >= 2


def _behind(
    lines: Sequence[SheetLine], at: int, which: int, end: int, columns: Counter[tuple[int, int]]
) -> Labelled:
    line = lines[at]
    cell = line.cells[which]
    parts = [cell.text[end:].strip()]
    for other in line.cells[which + 1 :]:
        known = label_of(other.text) is not None or _other(other.text)
        if known or (_unmarked(" ".join(parts)) and begins_another(other.text)):
            break
        parts.append(other.text)
    text = _unmarked(" ".join(parts))
    holder = line
    below = [lines[at + step] for step in range(1, FARTHEST + 1) if at + step < len(lines)]
    rest: list[str] = []
    for next_line in below:
        goes_on = not _says(text) and _GOES_ON.match(next_line.text) is not None
        if begins_another(next_line.text) and not goes_on:
            break
        if _says(text) and len(line.cells) > which + 1 and _next_row(next_line, cell.x0):
            break
        if not _says(text):
            text = f"{text} {next_line.text}".strip()
            holder = next_line
        else:
            rest.append(next_line.text)
    own = which == 0 and (parts[0] != "" or not _beside(line, which, columns))
    return Labelled(holder, at, cell.text[:end], text, " ".join(rest), own, holder is not line, cell.x0)


def _next_row(line: SheetLine, x0: float) -> bool:
    """Whether a line is another row of a table whose labels begin at this place."""
    return len(line.cells) > 1 and abs(line.cells[0].x0 - x0) < NEAR


def _says(text: str) -> bool:
    """Whether a text says anything besides a label's note in brackets."""
    bare = re.sub(r"\([^)]*\)|\[[^\]]*\]", "", text).strip()
    if _ONLY_PARTS.fullmatch(bare):
        return False
    return bool(re.search(r"\w", bare)) or unknown(text) is not None


def _unmarked(text: str) -> str:
    return re.sub(r"^\s*[:=]+\s*", "", text).strip()


def goes_on_below(lines: Sequence[SheetLine], found: Labelled) -> bool:
    """Whether the line below may belong to a text: it begins with neither a label nor a list mark."""
    if re.search(r"[:,;\-]$", found.text):
        return True
    at = lines.index(found.line) + 1
    following = lines[at].text if at < len(lines) else ""
    if at < len(lines) and not found.below and len(found.line.cells) > 1 and _next_row(lines[at], found.x0):
        return False
    return (
        bool(following)
        and (label_of(following) or ("", 0))[1]
        in (0, len(following))  # a label alone in the line may be a word of the text
        and not re.match(rf"{START}[^:]{{2,60}}:|[·•\-*\d]", following)
    )
