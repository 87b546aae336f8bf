"""Hazard statements and classes in words, read as their codes.

Regulation (EC) No 1272/2008, Annex I (classes) and III (statements); 29 CFR 1910.1200, Appendix C words the same
statements a little differently. Patterns over small letters without accents, the fuller statement first.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from safety.datasheet.statements_de import GERMAN
from safety.datasheet.text import fold
from safety.datasheet.ways_in import by_the_way_in

_VAP = r"vapou?rs?"
_ACUTELY: tuple[tuple[str, str], ...] = (
    *by_the_way_in(
        ("fatal", "toxic", "harmful"), ("if swallowed", "in contact with skin", "if inhaled"), " (?:or|and) "
    ),
    *by_the_way_in(
        ("mortal(?:es)?", "toxic[oa]s?", "nociv[oa]s?"),
        (
            "(?:en caso de |por )?(?:ingestion|ingerir|si se ingiere)",
            "(?:(?:en|por) )?contacto con la piel",
            "(?:en caso de |por |si se )?(?:inhalacion|inhala|inhalarse)",
        ),
        " (?:o|y) ",
    ),
)
_STATEMENTS: tuple[tuple[str, str], ...] = tuple(
    (code, pattern)
    for code, *patterns in (
        ("H224", rf"extremely flammable liquid(?: and {_VAP})?", r"liquidos? y (?:los )?vapor(?:es)? (?:extremadamente|sumamente) inflamables?"),
        ("H225", rf"highly flammable liquid(?: and {_VAP})?", r"liquidos? y (?:los )?vapor(?:es)? (?:muy|altamente|facilmente) inflamables?"),
        ("H222", r"extremely flammable aerosol", r"aerosol extremadamente inflamable"),
        ("H220", r"extremely flammable gas", r"gas extremadamente inflamable"),
        ("H223", r"flammable aerosol(?!s)", r"aerosol inflamable"),
        ("H226", rf"flammable liquid and {_VAP}", r"liquidos? y (?:los )?vapor(?:es)? inflamables?"),
        ("H227", r"combustible liquid(?!s)", r"liquido combustible"),
        ("H228", r"flammable solid(?!s)", r"solido inflamable"),
        ("H229", r"pressuri[sz]ed container[ :;.,-]*may burst if heated", r"recipiente a presion"),
        ("H280", r"contains gas under pressure", r"contiene gas a presion(?:; peligro de explosion en caso de calentamiento)?"),
        ("H240", r"heating may cause an explosion", r"peligro de explosion en caso de calentamiento"),
        ("H241", r"heating may cause a fire or explosion", r"peligro de incendio o explosion en caso de calentamiento"),
        ("H242", r"heating may cause a fire", r"peligro de incendio en caso de calentamiento"),
        ("H221", r"flammable gas(?!es)", r"gas inflamable"),
        ("H231", r"may react explosively even in the absence of air at elevated", r"puede explotar incluso en ausencia de aire, a presion"),
        ("H230", r"may react explosively even in the absence of air", r"puede explotar incluso en ausencia de aire"),
        ("H232", r"may ignite spontaneously if exposed to air", r"puede inflamarse espontaneamente en contacto con el aire"),
        ("H252", r"self-heating in large quantities", r"se calienta espontaneamente en grandes cantidades"),
        ("H251", r"self-heating[:;] may catch fire", r"se calienta espontaneamente"),
        ("H260", r"in contact with water releases flammable gases,? which may ignite", r"en contacto con el agua desprende gases inflamables que pueden inflamarse"),
        ("H261", r"in contact with water releases flammable gas(?:es)?", r"en contacto con el agua desprende gases inflamables"),
        ("H281", r"contains refrigerated gas", r"contiene gas refrigerado"),
        ("H250", r"catches fire spontaneously if exposed to air", r"se inflama espontaneamente"),
        ("H270", r"may cause or intensify fire; oxidi[sz]er", r"puede (?:provocar|causar|ocasionar) o agravar un incendio; comburente"),
        ("H271", r"may cause fire or explosion; strong oxidi[sz]er", r"puede (?:provocar|causar|ocasionar) un incendio o una explosion; muy comburente"),
        ("H272", r"may intensify fire; oxidi[sz]er", r"puede agravar un incendio; comburente"),
        ("H290", r"may be corrosive to metals", r"puede ser corrosiv[oa] para los metales"),
        ("H304", r"may be fatal if swallowed and enters airways", r"puede ser mortal en caso de ingestion y (?:de )?penetracion en las vias respiratorias"),
        ("H305", r"may be harmful if swallowed and enters airways"),
        ("H303", r"may be harmful if swallowed"),
        ("H313", r"may be harmful in contact with skin"),
        ("H333", r"may be harmful if inhaled"),
        ("H314", r"causes severe skin burns(?: and (?:serious )?eye damage)?", r"(?:provoca|causa|ocasiona) quemaduras graves en la piel"),
        ("H315+H319", r"causes skin and serious eye irritation", r"(?:provoca|causa|ocasiona) irritacion cutanea y (?:irritacion )?ocular grave"),
        ("H315+H320", r"causes skin and eye irritation"),
        ("H316", r"causes mild skin irritation", r"(?:provoca|causa|ocasiona) una leve irritacion cutanea"),
        ("H315", r"causes skin irritation", r"(?:provoca|causa|ocasiona) irritacion cutanea"),
        ("H317", r"may cause an? allergic(?:al)? skin reaction|may cause (?:skin sensiti[sz]ation|sensiti[sz]ation by skin contact)", r"puede (?:provocar|causar|ocasionar) una reaccion alergica en la piel|puede (?:provocar|causar|ocasionar) una reaccion cutanea alergica"),
        ("H318", r"causes serious eye damage", r"(?:provoca|causa|ocasiona) lesiones oculares graves"),
        ("H319", r"causes serious eye irritation", r"(?:provoca|causa|ocasiona) irritacion ocular grave"),
        ("H320", r"causes eye irritation", r"(?:provoca|causa|ocasiona) irritacion ocular(?! grave)"),
        ("H334", r"may cause allergy or asthma symptoms", r"puede (?:provocar|causar|ocasionar) sintomas de alergia o asma"),
        ("H335", r"may cause respiratory irritation", r"puede irritar las vias respiratorias"),
        ("H336", r"may cause drowsiness (?:or|and) dizziness", r"puede (?:provocar|causar|ocasionar) somnolencia (?:o|y) (?:vertigo|mareos?)"),
        ("H341", r"suspected of causing genetic defects", r"se sospecha que (?:puede )?(?:provocar?|causar?|ocasionar?) defectos geneticos|susceptible de (?:provocar|causar|ocasionar) defectos geneticos"),
        ("H340", r"may cause genetic defects", r"puede (?:provocar|causar|ocasionar) defectos geneticos"),
        ("H351", r"suspected of causing cancer", r"se sospecha que (?:puede )?(?:provocar?|causar?|ocasionar?) cancer|susceptible de (?:provocar|causar|ocasionar) cancer"),
        ("H350i", r"may cause cancer by inhalation", r"puede (?:provocar|causar|ocasionar) cancer por inhalacion"),
        ("H350", r"may cause cancer", r"puede (?:provocar|causar|ocasionar) cancer"),
        ("H361fd", r"suspected of damaging fertility[.;,]? (?:and )?suspected of damaging the unborn child"),
        ("H361", r"suspected of damaging fertility or the unborn child", r"se sospecha que (?:puede )?(?:perjudicar?|danar?) (?:a )?la fertilidad o (?:que )?(?:puede )?(?:danar? )?(?:a)?(?:l|el) feto"),
        ("H361d", r"suspected of damaging the unborn child", r"se sospecha que (?:puede )?(?:danar?|perjudicar?) (?:al|el) feto"),
        ("H361f", r"suspected of damaging fertility", r"se sospecha que (?:puede )?(?:perjudicar?|danar?) (?:a )?la fertilidad"),
        ("H360FD", r"may damage fertility[.;,]? (?:and )?may damage the unborn child"),
        ("H360", r"may damage fertility or the unborn child", r"puede (?:perjudicar|danar) (?:a )?la fertilidad o (?:danar )?(?:al|el) feto"),
        ("H360D", r"may damage the unborn child", r"puede (?:danar|perjudicar) (?:al|el) feto"),
        ("H360F", r"may damage fertility", r"puede (?:perjudicar|danar) (?:a )?la fertilidad"),
        ("H362", r"may cause harm to breast-?fed children", r"puede ser nocivo para los ninos alimentados con leche materna|puede perjudicar a los ninos alimentados"),
        ("H372", r"causes damage to [^.;]{3,120}?(?:through|by|after) prolonged or repeated", r"(?:provoca|causa|ocasiona) danos en los organos[^.;]{0,80}?tras exposiciones prolongadas"),
        ("H373", r"may cause damage to [^.;]{3,120}?(?:through|by|after) prolonged or repeated", r"puede (?:provocar|causar|ocasionar) danos en los organos[^.;]{0,80}?tras exposiciones prolongadas"),
        ("H370", r"causes damage to organs", r"(?:provoca|causa|ocasiona) danos en los organos"),
        ("H371", r"may cause damage to organs", r"puede (?:provocar|causar|ocasionar) danos en los organos"),
        ("H413", r"may cause long lasting harmful effects to aquatic life", r"puede ser nocivo para los organismos acuaticos(?:,? con efectos nocivos duraderos)?"),
        ("H410", r"very toxic to aquatic life with long lasting effects", r"muy toxico para los organismos acuaticos,? con efectos nocivos duraderos"),
        ("H411", r"toxic to aquatic life with long lasting effects", r"toxico para los organismos acuaticos,? con efectos nocivos duraderos"),
        ("H412", r"harmful to aquatic life with long lasting effects", r"nocivo para los organismos acuaticos,? con efectos nocivos duraderos"),
        ("H400", r"very toxic to aquatic life", r"muy toxico para los organismos acuaticos"),
        ("H401", r"toxic to aquatic life"),
        ("H402", r"harmful to aquatic life"),
        ("EUH066", r"repeated exposure may cause skin dryness or cracking", r"la exposicion repetida puede (?:provocar|causar|ocasionar) sequedad"),
        ("H420", r"harms public health and the environment by destroying ozone", r"causa danos a la salud publica y el medio ambiente al destruir el ozono"),
        ("EUH014", r"reacts violently with water", r"reacciona violentamente con el agua"),
        ("EUH018", r"in use may form flammable/explosive", r"al usarlo,? pueden formarse mezclas"),
        ("EUH029", r"contact with water liberates toxic gas", r"en contacto con agua libera gases toxicos"),
        ("EUH031", r"contact with acids liberates toxic gas", r"en contacto con acidos libera gases toxicos"),
        ("EUH032", r"contact with acids liberates very toxic gas", r"en contacto con acidos libera gases muy toxicos"),
        ("EUH044", r"risk of explosion if heated under confinement", r"riesgo de explosion al calentarlo"),
        ("EUH070", r"toxic by eye contact", r"toxico en contacto con los ojos"),
        ("EUH201", r"contains lead\. should not be used", r"contiene plomo\. no utilizar"),
        ("EUH201A", r"warning! contains lead", r"atencion! contiene plomo"),
        ("EUH202", r"cyanoacrylate\. danger", r"cianoacrilato\. peligro"),
        ("EUH203", r"contains chromium ?\(vi\)", r"contiene cromo ?\(vi\)"),
        ("EUH206", r"warning! do not use together with other products", r"atencion! no utilizar junto con otros productos"),
        ("EUH207", r"warning! contains cadmium", r"atencion! contiene cadmio"),
        ("EUH209", r"can become highly flammable in use", r"puede inflamarse facilmente al usarlo"),
        ("EUH209A", r"can become flammable in use", r"puede inflamarse al usarlo"),
        ("EUH211", r"warning! hazardous respirable droplets may be formed", r"atencion! al rociar pueden formarse gotas respirables"),
        ("EUH212", r"warning! hazardous respirable dust may be formed", r"atencion! al utilizarse,? puede formarse polvo respirable"),
        ("EUH380", r"may cause endocrine disruption in humans", r"puede (?:provocar|causar|ocasionar) alteracion endocrina en los seres humanos"),
        ("EUH381", r"suspected of causing endocrine disruption in humans", r"se sospecha que (?:provoca|causa) alteracion endocrina en los seres humanos"),
        ("EUH430", r"may cause endocrine disruption in the environment", r"puede (?:provocar|causar|ocasionar) alteracion endocrina en el medio ambiente"),
        ("EUH431", r"suspected of causing endocrine disruption in the environment", r"se sospecha que (?:provoca|causa) alteracion endocrina en el medio ambiente"),
        ("EUH441", r"strongly accumulates in the environment and living organisms", r"acumulacion elevada en el medio ambiente y en los organismos vivos"),
        ("EUH440", r"accumulates in the environment and living organisms", r"se acumula en el medio ambiente y en los organismos vivos"),
        ("EUH451", r"can cause very long-lasting and diffuse contamination of water", r"puede ser causa de una contaminacion difusa y muy duradera"),
        ("EUH450", r"can cause long-lasting and diffuse contamination of water", r"puede ser causa de una contaminacion difusa y duradera"),
        ("EUH019", r"may form explosive peroxides", r"puede formar peroxidos explosivos"),
        ("EUH071", r"corrosive to the respiratory tract", r"corrosivo para las vias respiratorias"),
        ("EUH204", r"contains isocyanates\. may produce an allergic reaction", r"contiene isocianatos\. puede (?:provocar|causar|ocasionar) una reaccion alergica"),
        ("EUH205", r"contains epoxy constituents\. may produce an allergic reaction", r"contiene componentes epoxidicos\. puede (?:provocar|causar|ocasionar) una reaccion alergica"),
        ("EUH208", r"contains [^.;:]{3,150}\. may produce an allergic reaction", r"contiene [^.;:]{3,150}\. puede (?:provocar|causar|ocasionar) una reaccion alergica(?! (?:en|cutanea))"),
    )
    for pattern in patterns
)  # fmt: skip
_COMPILED = [(code, re.compile(rf"(?<![a-z])(?:{pattern})")) for code, pattern in (*_STATEMENTS, *_ACUTELY, *GERMAN)]


def statement_codes(text: str) -> list[str]:
    """The codes of the hazard statements in a text, whether the code stands beside or not."""
    found, _ = _told(text)
    return list(dict.fromkeys(code for _, code in sorted(found)))


#: How a statement begins, in three languages.
_BEGUN = re.compile(
    r"(?:^|[.;:#])\s*((?:may (?:cause|be|damage)|causes|suspected of|toxic|harmful|fatal|corrosive"
    r"|puede (?:provocar|causar|ser|danar|perjudicar)|provoca|se sospecha|nocivo|toxico|mortal"
    r"|verursacht|kann|giftig|gesundheitsschadlich|lebensgefahr|schadigt|schadlich)\b[^.;:#]{3,120})"
)
#: What goes on behind a statement that was read, and names a harm of its own.
_GOES_ON = re.compile(
    r"#([^.;:#]*\b(?:irritation|damage|burns?|reaction|cancer|dizziness|irritacion|danos|lesiones|quemaduras|vertigo"
    r"|\w*reizung(?:en)?|\w*schad(?:en|igung)|veratzung(?:en)?|krebs)\b[^.;:#]*)"
)


def unread_statements(text: str) -> list[str]:
    """What begins as a hazard statement does, and is none that is known: in small letters without accents."""
    _, rest = _told(text)
    return [found[1].strip(" ,") for pattern in (_BEGUN, _GOES_ON) for found in pattern.finditer(rest)]


def _told(text: str) -> tuple[list[tuple[int, str]], str]:
    """The codes of a text with their places, and the text with what was read struck out."""
    low = fold(text)
    found: list[tuple[int, str]] = []
    for code, pattern in _COMPILED:
        for place in list(pattern.finditer(low)):
            found += [(place.start(), one) for one in code.split("+")]
            low = low[: place.start()] + "#" * (place.end() - place.start()) + low[place.end() :]
    return found, low


_CAT = r"(?:\s*\((?!category|cat\.)[^()0-9]{2,40}\))?[\s,;:()–-]*(?:category|cat\.?|categoria|kategorie|kat\.?)?[\s,:]*"
#: Category 3 after one exposure is one of two statements: the words behind it tell which.
_ONE_OF_TWO = "H335 or H336"
_ROUTE = r"[^.;0-9]{0,40}?"
_CLASSES: tuple[tuple[str, dict[str, str]], ...] = (
    (r"flam\. ?liq\.|flammable liquids?|liquidos? inflamables?|entzundbare flussigkeiten?", {"1": "H224", "2": "H225", "3": "H226", "4": "H227"}),
    (r"flammable aerosols?|aerosols?(?=[,\s]*(?:category|categoria|kategorie|[123]))|aerosoles(?: inflamables)?", {"1": "H222", "2": "H223", "3": "H229"}),
    (r"asp\. ?tox\.|aspiration (?:hazard|toxicity)|peligro por aspiracion|aspirationsgefahr", {"1": "H304", "2": "H305"}),
    (r"skin corrosion/(?:skin )?irritation", {"1": "H314", "2": "H315", "3": "H316"}),
    (r"skin corr\.|skin corrosion(?!/)|corrosion cutanea|atzwirkung auf die haut", {"1": "H314"}),
    (r"skin irrit\.|(?<!/)skin irritation|irritacion cutanea|reizwirkung auf die haut", {"2": "H315", "3": "H316"}),
    (r"eye dam\.|serious eye damage(?!/)|lesiones oculares graves(?!/)|schwere augenschadigung(?!/)", {"1": "H318"}),
    (r"serious eye damage/(?:serious )?eye irritation", {"1": "H318", "2a": "H319", "2": "H319", "2b": "H320"}),
    (r"eye irrit\.|(?<!/)(?:serious )?eye irritation|irritacion ocular", {"2a": "H319", "2": "H319", "2b": "H320"}),
    (r"skin sens\.|skin sensiti[sz](?:ation|er)|sensiti[sz]ation,? ?[-–(]? ?skin\)?|sensibilizacion cutanea|sensibilisierung der haut", {"1": "H317"}),
    (r"resp\. sens\.|sensiti[sz]ation,? ?[-–(]? ?respiratory\)?|respiratory sensiti[sz](?:ation|er)|sensibilizacion respiratoria", {"1": "H334"}),
    (r"muta\.|germ cell mutagenicity|mutagenicidad en celulas germinales", {"1": "H340", "2": "H341"}),
    (r"carc\.|carcinogenicity|carcinogenicidad|karzinogenitat", {"1": "H350", "2": "H351"}),
    (r"repr\.|reproductive toxicity|toxicidad para la reproduccion|reproduktionstoxizitat", {"1": "H360", "2": "H361"}),
    (r"stot re|stot,? (?:- )?repeated exposure|specific target organ(?: systemic)? toxicity[,\s(–-]*(?:following )?repeated exposure\)?", {"1": "H372", "2": "H373"}),
    (r"stot se|stot,? (?:- )?single exposure|specific target organ(?: systemic)? toxicity[,\s(–-]*(?:following )?single exposure\)?", {"1": "H370", "2": "H371", "3": _ONE_OF_TWO}),
    (r"aquatic acute|acute aquatic(?: toxicity)?|hazardous to the aquatic environment[,\s(–-]*acute(?: hazard)?\)?", {"1": "H400", "2": "H401", "3": "H402"}),
    (r"aquatic chronic|chronic aquatic(?: toxicity)?|hazardous to the aquatic environment[,\s(–-]*(?:chronic|long-term)(?: hazard)?\)?", {"1": "H410", "2": "H411", "3": "H412", "4": "H413"}),
    (rf"acute tox(?:\.|icity){_ROUTE}oral[^.;0-9]{{0,6}}?", {"1": "H300", "2": "H300", "3": "H301", "4": "H302"}),
    (rf"acute tox(?:\.|icity){_ROUTE}dermal[^.;0-9]{{0,6}}?", {"1": "H310", "2": "H310", "3": "H311", "4": "H312"}),
    (rf"acute tox(?:\.|icity){_ROUTE}inhal[a-z]*[^.;0-9]{{0,30}}?", {"1": "H330", "2": "H330", "3": "H331", "4": "H332"}),
)  # fmt: skip
#: The points of abbreviations are left out as often as not.
_CLASS = [
    (re.compile(rf"(?:{pattern.replace(chr(92) + '.', chr(92) + '.?')}){_CAT}(?P<cat>[1-4](?:a|b|c)?)(?![\d%])"), codes)
    for pattern, codes in _CLASSES
]
#: Acute toxicity with its routes behind the category: "Acute Tox. 3 (oral, dermal)".
_ACUTE = re.compile(
    rf"(?:acute tox(?:\.?|icity)|toxicidad aguda|akute toxizitat){_CAT}(?P<cat>[1-4])(?![\d%])(?P<routes>(?:[\s,;()/&+:–-]|and|or|y|und|oder)*(?:(?:oral|dermal|cutan\w*|inhal\w*)(?:[\s,;()/&+–-]|and|or|y|und|oder)*)+)"
)
_ROUTES = {"oral": "H30", "derm": "H31", "cuta": "H31", "inha": "H33"}


#: A category, whatever class it is of; and the class abbreviated, with its category at once.
_CATEGORY = re.compile(
    r"(?<![a-z])(?:category|cat\.?|categoria|kategorie|kat\.?|(?:acute|flam|skin|eye|resp|aquatic|asp|met|ox|self|water|press|unst|expl)\.? ?(?:tox|liq|gas|sol|aerosol|corr|irrit|dam|sens|acute|chronic|react|heat)\.?|muta\.|carc\.|repr\.|lact\.|stot [rs]e)[\s:,(]*(?P<cat>[1-4](?:a|b|c)?)(?![\d%])"
)


def class_codes(text: str) -> Iterator[str]:
    """The codes that classes with a category stand for, where class and category leave no choice."""
    return (code for _, code in _read(fold(text)))


def unread_classes(text: str) -> Iterator[str]:
    """Each category whose class is not known here, or leaves a choice, with the words before it."""
    low = fold(text)
    read, begins = {place for place, _ in _read(low)}, 0
    for found in _CATEGORY.finditer(low):
        if found.start("cat") not in read:
            yield low[max(begins, found.start() - _BEFORE) : found.end()].strip(" ,;.")
        begins = found.end()


#: Letters before a category that a person needs to find the class by.
_BEFORE = 60


def _read(low: str) -> Iterator[tuple[int, str]]:
    """Where a category stands, and the code it stands for."""
    for pattern, codes in _CLASS:
        for found in pattern.finditer(low):
            category = found["cat"]
            code = codes.get(category) or codes.get(category[0])
            if code == _ONE_OF_TWO:
                behind = low[found.end() : found.end() + 45]
                code = "H336" if "narco" in behind else "H335" if "respir" in behind else None
            if code:
                yield found.start("cat"), code
    for found in _ACUTE.finditer(low):
        level = {"1": "0", "2": "0", "3": "1", "4": "2"}[found["cat"]]
        for route in re.findall(r"oral|derm|cuta|inha", found["routes"]):
            yield found.start("cat"), _ROUTES[route] + level
