"""What stands before a value on a data sheet, in three languages: patterns over folded text (see text.fold).

Wording: Regulation (EC) No 1907/2006, Annex II; 29 CFR 1910.1200, Appendix D. The rest: common practice, no source.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache

#: Key -> patterns. The longest match at the beginning of a cell wins, so that "vapour density" is no "density".
LABELS: dict[str, tuple[str, ...]] = {
    # ---- section 1 and 16
    "name": (
        r"product\s+(?:name|identifier)", r"trade\s*name(?:/designation)?", r"material name", r"commercial name", r"product",
        r"identity(?: \(as used on label(?: and list)?\))?", r"name of (?:the )?(?:product|substance|mixture)", r"product description",
        r"nombre comercial(?: del producto)?", r"nombre del? (?:producto|la mezcla)", r"identificador (?:del )?producto",
        r"identificador sga del producto", r"denominacion(?: comercial| del producto)?", r"producto", r"marca(?: comercial)?",
        r"handelsname", r"produktname", r"produktidentifikator(?:en)?", r"bezeichnung (?:des )?(?:stoff(?:e?s)?|gemisch(?:e?s)?|produkts?)",
        r"handelsbezeichnung", r"produkt", r"artikelbezeichnung",
    ),
    "code": (
        r"product (?:code|number|id|no\.?|identifier)s?(?= ?[:#])", r"product (?:code|number|id|no\.)", r"material (?:number|no\.?)", r"sku",
        r"item (?:number|no\.?|code)", r"(?:article|part|catalog(?:ue)?|stock|reference) (?:number|no\.?|code)", r"code", r"ufi(?: code)?",
        r"other means of identification", r"synonyms?", r"chemical (?:name|family|formula)", r"cas(?:[ -]?(?:no|number|nr)\.?)?(?= ?:)",
        r"codigo(?: del producto| ufi)?", r"otros medios de identificacion", r"sinonimos?", r"referencia", r"nombre quimico",
        r"familia quimica", r"artikel-?(?:nummer|nr\.?)", r"produkt-?(?:code|nummer|nr\.?)", r"rezeptur-?(?:nr\.?|nummer)", r"synonyme?",
        r"chemischer name", r"registrierungsnummer", r"product (?:type|class|category|form|use)", r"tipo de producto", r"produktart",
        r"index (?:no\.?|number)", r"formula", r"product group", r"andere bezeichnungen", r"andere mittel zur identifizierung",
    ),
    "use": (
        r"(?:relevant )?identified uses?(?: of the (?:substance|mixture).*)?", r"(?:recommended |intended |product )?uses?(?: of the product)?(?: advised against)?",
        r"uses advised against", r"restrictions(?: on use)?", r"usos?(?: (?:pertinentes )?(?:identificados|recomendados|previstos|desaconsejados))?.*?",
        r"(?:relevante identifizierte )?verwendung(?:en|szweck)?(?: des stoffe?s.*)?", r"empfohlene verwendung", r"application",
    ),
    "maker": (
        r"manufacturer(?:/supplier)?(?:'s name)?", r"supplier", r"company(?: name)?", r"distributor", r"address", r"made by", r"produced by",
        r"details of the supplier.*", r"supplied by", r"website", r"e-?mail.*?", r"telephone(?: (?:no\.?|number))?(?: for information)?", r"tel\.?",
        r"fax", r"phone", r"information phone", r"fabricante(?:/proveedor)?", r"proveedor", r"empresa", r"direccion", r"telefono", r"datos del proveedor.*",
        r"hersteller(?:/lieferant)?", r"lieferant(?:/hersteller)?", r"firma", r"anschrift", r"telefon", r"einzelheiten zum lieferanten.*",
        r"auskunftgebender bereich", r"prepared by", r"contact", r"responsible (?:person|party)", r"importer", r"strasse", r"elaborado por",
    ),
    "emergency": (
        r"emergency(?: (?:tele)?phone(?: (?:no\.?|numbers?))?| (?:contact|number)s?)?", r"24[- ]?h(?:ou)?rs?\.? (?:emergency|hotline|tel).*?", r"24[- ]?h(?:ou)?rs?\.?(?= ?:)",
        r"in case of emergency", r"chemical emergency", r"transport emergency.*?", r"poison (?:control )?cent(?:er|re)",
        r"telefonos? (?:de|para) (?:emergencias?|urgencias?)", r"emergencias?", r"numero de (?:telefono de )?emergencias?", r"en caso de emergencia",
        r"notruf(?:nummer)?", r"notfall(?:auskunft|nummer|telefon)", r"giftnotruf", r"emergency information",
    ),
    "revised": (
        r"(?:date of (?:the )?(?:last )?)?revision(?: date)?", r"revised(?: on| date)?", r"last (?:revised|revision|updated?|review(?:ed)?)(?: date| on)?", r"date revised",
        r"sds (?:revision )?date", r"date of revision", r"(?:sds )?updated?(?: on)?", r"revision no\.? and date",
        r"(?:fecha de (?:la )?(?:ultima )?)?(?:revision|actualizacion)", r"revisad[oa](?: el)?", r"ultima revision", r"ultima actualizacion",
        r"uberarbeitet(?: am)?", r"uberarbeitungsdatum", r"(?:datum der )?(?:letzten )?uberarbeitung", r"bearbeitungsdatum", r"revisionsdatum", r"revision vom", r"stand(?: vom)?",
        r"geandert am", r"letzte anderung",
    ),
    "issued": (
        r"(?:date of )?(?:issue|issuing)(?: date)?", r"issued(?: on)?", r"date(?: of)? (?:issued|prepared|preparation|compiled|compilation)", r"prepared(?: on)?",
        r"(?:preparation|compilation|creation|effective|sds) date", r"date", r"effective(?: date)?", r"compiled(?: on)?", r"date of (?:this )?(?:sds|msds)",
        r"fecha(?: de (?:la )?(?:emision|elaboracion|edicion|preparacion|publicacion|compilacion|creacion))?", r"edicion", r"emitid[oa](?: el)?", r"elaborad[oa](?: el)?",
        r"ausgabedatum", r"ausgestellt am", r"erstellt am", r"erstellungsdatum", r"erstelldatum", r"datum", r"ausgabe vom",
    ),
    "other date": (
        r"(?:date (?:of )?)?print(?:ed|ing)?(?: (?:date|on))?", r"super[sc]ed(?:es|ing)(?: (?:date|version|issue|the version))?.*?", r"replaces.*?", r"(?:date of )?(?:first|previous|original) (?:issue|version|edition|revision).*?", r"(?:date of )?last (?:issue|version|edition).*?",
        r"date of (?:first|previous|original) (?:issue|version|edition|revision)", r"first issued?.*?", r"previous (?:date|revision).*?", r"date created", r"next (?:review|revision).*?", r"valid (?:until|from)", r"expiry date",
        r"fecha de (?:la )?(?:impresion|primera (?:emision|edicion)|version anterior|edicion anterior|creacion|caducidad)", r"impres[oa](?: el)?", r"anula.*?", r"reemplaza.*?", r"sustituye.*?", r"version anterior.*?",
        r"druckdatum", r"gedruckt(?: am)?", r"ersetzt.*?", r"erstausgabe.*?", r"ersterstellung.*?", r"vorherige (?:version|fassung).*?", r"fassung vom", r"datum der (?:ersten|vorherigen|letzten) (?:ausgabe|fassung|version).*?", r"druck(?:en)?(?: vom)?",
    ),
    "version": (r"version(?:s?nummer)?(?: (?:no|number)\.?)?", r"issue (?:no|number)\.?", r"(?:revision|rev)\.? ?(?:no|number|nr)\.?", r"sds (?:no|number|id|code)\.?", r"msds (?:no|number)\.?", r"version n\.?°?"),
    # ---- section 2
    "signal": (r"signal word", r"palabra de advertencia", r"signalwort"),
    "statements": (
        r"(?:ghs )?hazard statements?(?:\(s\))?", r"indicacion(?:es)? de peligro", r"frases? h", r"gefahrenhinweise?", r"h-?(?:statements?|phrases?|satze|codes?)",
    ),
    "supplemental": (r"supplement(?:al|ary) (?:hazard )?(?:information|statements?)", r"informacion (?:complementaria|suplementaria).*?", r"erganzende (?:gefahren)?(?:hinweise|merkmale|informationen).*?"),
    "precautions": (
        r"(?:ghs )?precautionary statements?", r"consejos? de prudencia", r"sicherheitshinweise", r"prevention", r"response", r"storage", r"disposal",
        r"pravention", r"reaktion", r"lagerung", r"entsorgung", r"prevencion", r"respuesta", r"almacenamiento", r"eliminacion",
    ),
    "contains": (r"contains?", r"contiene", r"enthalt", r"hazard-determining components.*?", r"gefahrbestimmende komponenten.*?", r"componentes peligrosos.*?"),
    "classification": (r"(?:ghs )?classification(?: of the (?:substance|mixture).*)?", r"clasificacion.*?", r"einstufung.*?"),
    # ---- section 9
    "flash": (
        r"flash\s*-?\s*point", r"flash pt\.?", r"punto de (?:inflamacion|destello|chispa)", r"punto flash", r"temperatura de inflamacion", r"flammpunkt", r"flash temperature", r"closed cup flash point", r"open cup flash point", r"flashpoint",
    ),
    "boiling": (
        r"(?:initial )?boiling (?:point|range|temperature|pt\.?)", r"initial boiling point", r"distillation range", r"ibp", r"b\.?p\.?(?= ?[:(])", r"(?:punto|temperatura) (?:inicial )?de ebullicion",
        r"punto de inicio de ebullicion", r"(?:intervalo|rango) de (?:ebullicion|destilacion)", r"siede(?:punkt|beginn|bereich|temperatur)", r"siedepunkt/siedebereich", r"destillationsbereich", r"punto/intervalo de ebullicion", r"punto y (?:rango|intervalo) de ebullicion",
        r"boiling point/boiling range", r"initial boiling point and boiling range",
    ),
    "density": (
        r"(?:relative )?density", r"specific (?:gravity|weight)", r"sp\.? ?gr\.?(?:avity)?", r"(?:weight|wt\.?|lbs?\.?|pounds?) ?(?:per|/) ?(?:us )?gal(?:lon)?\.?", r"gravity", r"product density", r"liquid density",
        r"densidad(?: relativa| aparente del liquido)?", r"peso especifico", r"gravedad especifica", r"(?:relative )?dichte", r"spezifisches gewicht", r"spez\. gewicht", r"relative density and/or density", r"density and/or relative density", r"masa especifica",
    ),
    "voc": (
        r"voc(?!s? exempt)s?", r"v\.o\.c\.?", r"volatile organic (?:compounds?|content)", r"total voc", r"regulatory voc", r"coating voc", r"material voc", r"actual voc", r"max(?:imum)?\.? voc", r"eu voc",
        r"cov", r"c\.o\.v\.?", r"compuestos? organicos? volatil(?:es)?", r"contenido (?:maximo )?(?:de|en) (?:cov|compuestos organicos volatiles)", r"concentracion de cov", r"valor limite de cov.*?",
        r"fluchtige organische (?:verbindungen|bestandteile)", r"fov", r"voc-?(?:gehalt|wert|anteil)", r"eu-?(?:grenzwert|limit).*?",
    ),
    "vocv": (r"vocv", r"voc-?v"),
    "volatile": (
        r"(?:percent|%)\s*volatiles?(?: by (?:volume|weight|wt\.?|vol\.?))?", r"volatiles?(?: content| by (?:volume|weight))?", r"non-?volatiles?(?: matter| content)?", r"solids?(?: content)?(?: by (?:weight|volume))?", r"solvent content", r"contenido (?:de|en) (?:solidos|disolventes)", r"losemittelgehalt.*?", r"festkorper(?:gehalt|anteil)?", r"% volatil.*?", r"organic solvents?", r"organische losemittel", r"disolventes organicos", r"volatilidad", r"solidos", r"percent volatile",
        r"feststoffgehalt", r"wasser", r"water(?= ?:)",
    ),
    "vapour pressure": (r"(?:reid )?vapou?r press(?:ure|\.)", r"v\.?p\.?(?= ?[:(])", r"presion (?:de|del) vapor", r"dampfdruck", r"tension de vapor"),
    "vapour density": (r"(?:relative )?vapou?r density", r"density of (?:the )?vapou?rs?", r"densidad (?:relativa )?(?:de|del) vapor(?:es)?(?: relativa)?", r"(?:relative )?dampfdichte", r"densidad de los vapores"),
    "bulk density": (r"bulk density", r"densidad aparente", r"schuttdichte", r"density of (?:the )?(?:solids?|concentrate|propellant)", r"voc density"),
    "limits": (
        r"(?:lower|upper)(?: and upper)?(?:[ /](?:upper|lower))? (?:explosi(?:ve|on)|flammab(?:le|ility))(?: or (?:explosi(?:ve|on)|flammab(?:le|ility)))? limits?", r"(?:explosi(?:ve|on)|flammab(?:le|ility)) (?:limits?|range)(?: in air)?", r"upper/lower (?:flammability|explosive|explosion).*?limits?", r"[lu][ef]l\b", r"[lu]\.[ef]\.l\.?",
        r"limites? (?:superior|inferior|de)(?: (?:e|y|/) ?(?:superior|inferior))? ?(?:de )?(?:explosi(?:vidad|on)|inflamabilidad).*?", r"limites? de (?:explosi(?:vidad|on)|inflamabilidad)", r"l[is][ei]\b", r"(?:untere|obere)(?: und obere)? explosionsgrenzen?", r"explosionsgrenzen?", r"[uo]eg\b",
        r"(?:lower|upper)(?= ?:)", r"lower (?:and|/) upper explosion limits?",
    ),
    "ignition": (
        r"auto-? ?ignition(?: temp(?:erature|\.)?)?", r"auto-?flammability", r"(?:self-?)?ignition temp(?:erature|\.)", r"temperatura de (?:auto-? ?)?(?:inflamacion espontanea|auto-?inflamacion|autoignicion|ignicion|auto-?encendido)", r"auto-?inflamabilidad", r"autoignicion", r"zundtemperatur", r"selbstentzundung(?:stemperatur)?",
        r"temperatura de auto-?inflamacion", r"selbstentzundlichkeit", r"spontaneous ignition.*?",
    ),
    "viscosity": (r"(?:kinematic |dynamic |apparent )?viscosity(?:, (?:kinematic|dynamic))?", r"viscosidad(?: (?:cinematica|dinamica))?(?:, (?:cinematica|dinamica))?", r"(?:kinematische |dynamische )?viskositat(?:, (?:kinematisch|dynamisch))?", r"auslaufzeit", r"flow time", r"tiempo de (?:flujo|vaciado)", r"viscosity, kinematic"),
    "evaporation": (r"(?:relative )?evaporation (?:rate|number|speed)", r"(?:tasa|velocidad|indice) (?:relativa )?de evaporacion", r"verdunstungs(?:zahl|geschwindigkeit|rate)", r"verdampfungsgeschwindigkeit"),
    "heat": (r"(?:chemical )?heat of combustion", r"calor (?:quimico )?de combustion", r"verbrennungswarme"),
    "aside": (  # known, so that a value ends before them
        r"(?:physical )?(?:state|form)(?: and colou?r)?", r"appearance", r"colou?r", r"odou?r(?: threshold)?", r"ph(?:[- ]?(?:value|wert))?\b", r"melting(?: point)?(?:/freezing point)?.*?", r"freez(?:e|ing) point", r"pour point", r"softening point",
        r"flammability(?: \(solid.*?\))?(?: class)?", r"decomposition temp(?:erature|\.)", r"(?:water )?solubility(?: in water)?", r"solubility", r"miscibility", r"partition coefficient.*?", r"log ?(?:p|k)ow", r"particle characteristics.*?", r"explosi(?:ve|on) properties", r"oxidi[sz]ing properties",
        r"molecular (?:weight|mass)", r"refractive index", r"surface tension", r"conductivity", r"sadt", r"self-accelerating.*?", r"active oxygen", r"flame extension", r"isocyanate content", r"aniline point", r"critical temp.*?", r"relative humidity", r"extinguishing media", r"unusual fire.*?", r"heat value",
        r"estado(?: fisico)?", r"aspecto", r"color", r"olor", r"umbral olfativo", r"punto de (?:fusion|congelacion|fluidez).*?", r"inflamabilidad(?: \(.*?\))?", r"temperatura de descomposicion", r"solubilidad(?: en agua)?", r"miscibilidad", r"coeficiente de reparto.*?", r"caracteristicas de las particulas", r"propiedades (?:explosivas|comburentes)", r"peso molecular", r"numero de carbonos medio",
        r"aggregatzustand", r"form", r"farbe", r"geruch(?:sschwelle)?", r"schmelzpunkt.*?", r"gefrierpunkt", r"stockpunkt", r"entzundbarkeit(?: \(.*?\))?", r"zersetzungstemperatur", r"loslichkeit(?: in wasser)?", r"mischbarkeit", r"verteilungskoeffizient.*?", r"partikeleigenschaften", r"explosive eigenschaften", r"oxidierende eigenschaften", r"molmasse", r"brechungsindex", r"aussehen", r"brandfordernde eigenschaften",
        r"remarks?", r"observaciones", r"bemerkungen?", r"notes?", r"hazard rating", r"peso por galon", r"dust explosion.*?", r"explosivitat",
    ),
    # ---- section 14
    "un": (r"un[- ]?(?:no|number|nr|nummer)\.?(?: or id number)?", r"un-?nummer(?: oder id-nummer)?", r"numero (?:onu|un)(?: o numero id)?", r"n\.?° ?(?:onu|un)", r"(?:un|onu)(?=\s*:)", r"identification(?: number)?", r"un/id(?: no\.?)?", r"id-?number"),
    "packing": (r"packing group", r"packaging group", r"grupo de embalaje", r"grupo de envasado", r"verpackungsgruppe"),
    "shipping": (r"(?:un )?(?:proper )?shipping name", r"designacion oficial.*?", r"ordnungsgemasse un-?versandbezeichnung", r"ordnungsgemase un-?versandbezeichnung", r"name", r"transport hazard class(?:es)?.*?", r"(?:hazard )?class(?:es)?", r"clase.*?", r"klasse.*?", r"transportgefahrenklassen"),
    # ---- section 8
    "gloves": (r"(?:protective )?gloves?", r"hand protection", r"skin protection", r"guantes(?: de proteccion)?", r"proteccion de (?:las )?manos", r"handschutz", r"handschuhe?", r"schutzhandschuhe", r"handschuhmaterial"),
    "protection": (r"respirat(?:ory(?: protection)?|or)", r"eyes?(?:/face)?(?: protection)?", r"body protection", r"proteccion respiratoria", r"ojos", r"proteccion (?:de los ojos|ocular)", r"atemschutz", r"augenschutz", r"korperschutz", r"ventilation", r"engineering.*?"),
}  # fmt: skip

#: Which labels a section may hold.
IN_SECTION: dict[str, tuple[str, ...]] = {
    "identity": ("name", "code", "use", "maker", "emergency", "revised", "issued", "other date", "version"),
    "hazards": ("signal", "statements", "supplemental", "precautions", "contains", "classification"),
    "exposure": ("gloves", "protection"),
    "physical": (
        "flash", "boiling", "density", "voc", "vocv", "volatile", "vapour pressure", "vapour density", "bulk density", "limits",
        "ignition", "viscosity", "evaporation", "heat", "aside",
    ),
    "transport": ("un", "packing", "shipping"),
}  # fmt: skip
IN_SECTION["date"] = ("revised", "issued", "other date", "version")

#: What may follow a label and still be part of it.
_MORE = re.compile(
    r"(?:[\s,;/]*(?:and/or|and|or|y/o|y|e|o|oder|und|bzw\.?|/|-)\s*(?:initial |relative |inicial )?"
    r"(?:boiling|density|relative density|range|boiling range|boiling point|interval[lo]?o? de (?:ebullicion|destilacion)|rango de (?:ebullicion|destilacion)|intervalo de|punto inicial de ebullicion|densidad(?: relativa)?|relative dichte|"
    r"dichte|siede(?:punkt|beginn|bereich)|siedebeginn und siedebereich|upper|lower|rango|intervalo)(?:\s+and\s+(?:boiling )?range)?(?![a-z0-9]))*"
)
_ENDS = re.compile(r"(?![a-z0-9])")
#: The raised figure of a footnote, stuck to a label.
_FOOTNOTE = re.compile(r"(?<=[a-z])\d(?![\w.,])(?!\s*(?:[°%<>]|deg|[cfk]\b))")


@cache
def _patterns(section: str) -> tuple[re.Pattern[str], list[tuple[str, re.Pattern[str]]]]:
    """Any label of a section, and each by itself: compiled when the section is first read."""
    every = [(key, pattern) for key in IN_SECTION[section] for pattern in LABELS[key]]
    whole = re.compile("|".join(f"(?:{pattern})" for _, pattern in every))
    return whole, [(key, re.compile(pattern)) for key, pattern in every]


@lru_cache(8192)
def label(folded: str, section: str, at: int = 0) -> tuple[str, int] | None:
    """The key and the end of the longest label that begins at a place of a folded text."""
    whole, singles = _patterns(section)
    if not whole.match(folded, at):
        return None
    best: tuple[str, int] | None = None
    for key, pattern in singles:
        found = pattern.match(folded, at)
        if not found or not (_ENDS.match(folded, found.end()) or _FOOTNOTE.match(folded, found.end())):
            continue
        more = _MORE.match(folded, found.end())
        end = more.end() if more else found.end()
        if mark := _FOOTNOTE.match(folded, end):
            end = mark.end()
        if end > at and (best is None or end > best[1]):
            best = (key, end)
    return best
