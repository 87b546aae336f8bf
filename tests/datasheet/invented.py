"""Invented data sheets, drawn in many layouts: no such maker and no such product.

One product is written down once (``Product``) and drawn by ``pdf`` in any ``Layout``: whatever the layout, the same has
to be read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from io import BytesIO
from random import Random
from typing import Any

from reportlab.lib.pagesizes import A4
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

Pairs = tuple[tuple[str, str], ...]
NOTE = "This sheet is invented for testing. There is no such maker and no such product."


@dataclass(frozen=True)
class PartLine:
    name: str
    cas: str
    share: str
    ec: str = "-"
    classes: str = ""
    #: What has to be read.
    low: float = 0.0
    high: float = 100.0


@dataclass(frozen=True)
class Product:
    language: str
    name: str
    headings: tuple[str, ...]  # of the sixteen sections
    identity: Pairs
    hazards: Pairs
    columns: tuple[str, ...]  # over name, CAS, EC, share, classes
    parts: tuple[PartLine, ...]
    physical: Pairs
    filler: tuple[str, ...]
    exposure: Pairs = ()
    transport: Pairs = ()
    other: tuple[str, ...] = (NOTE,)
    expect: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Layout:
    name: str
    size: tuple[float, float] = A4
    font: float = 9.0
    leading: float = 1.3
    value_at: float = 190.0
    colon: bool = False
    ruled: bool = False
    boxed: bool = False
    order: tuple[int, ...] = (0, 1, 2, 3, 4)  # of the columns of section 3
    widths: tuple[float, ...] = (130, 70, 70, 70, 150)
    pad: float = 4.0
    header: bool = True
    contents: bool = False
    numbers: str = "SECTION {n}: {title}"
    two_pairs: bool = False
    gap: float = 5.0  # below a row of pairs
    head_again: bool = True
    centred: bool = False
    subsections: bool = False
    side_by_side: bool = False  # two columns of text on a page


class _Pen:
    def __init__(self, layout: Layout, title: str) -> None:
        self.layout, self.title = layout, title
        self.buffer = BytesIO()
        self.canvas = Canvas(self.buffer, pagesize=layout.size, pageCompression=1, invariant=1)
        self.page = 0
        self.wide, self.high = layout.size
        self.shift = self.wide / 2
        if layout.side_by_side:
            self.wide /= 2
        self.y = 0.0
        self.new_page()

    def new_page(self) -> None:
        if self.layout.side_by_side and self.page and not self.shift:
            self.shift, self.y = self.wide, self.high - 66
            return
        self.shift = 0.0
        if self.page:
            self.canvas.showPage()
        self.page += 1
        self.y = self.high - 40
        if self.layout.header:
            self.text(45, self.y, self.title, 8)
            self.text(self.wide - 110, self.y, f"Page {self.page}", 8)
            self.y -= 26

    def text(self, x: float, y: float, words: str, size: float | None = None, bold: bool = False) -> None:
        self.canvas.setFont("Helvetica-Bold" if bold else "Helvetica", size or self.layout.font)
        self.canvas.drawString(x + self.shift, y, words)

    def room(self, lines: int) -> None:
        if self.y - lines * self.step < 45:
            self.new_page()

    @property
    def step(self) -> float:
        return self.layout.font * self.layout.leading

    def wrapped(self, words: str, width: float) -> list[str]:
        lines: list[str] = []
        for word in words.split(" "):
            if lines and stringWidth(f"{lines[-1]} {word}", "Helvetica", self.layout.font) <= width:
                lines[-1] += f" {word}"
            else:
                while stringWidth(word, "Helvetica", self.layout.font) > width and "-" in word[:-1]:
                    cut = max(
                        i
                        for i in range(1, len(word))
                        if word[i - 1] == "-"
                        and (i == word.index("-") + 1 or stringWidth(word[:i], "Helvetica", self.layout.font) <= width)
                    )
                    lines.append(word[:cut])
                    word = word[cut:]
                lines.append(word)
        return lines

    def line(self) -> None:
        self.canvas.setLineWidth(0.5)
        self.canvas.line(
            self.shift + 45, self.y + self.step - 2.5, self.shift + self.wide - 45, self.y + self.step - 2.5
        )

    def done(self) -> bytes:
        self.canvas.save()
        return self.buffer.getvalue()


def pdf(product: Product, layout: Layout) -> bytes:
    return pdf_of([product], layout)


def pdf_of(products: Sequence[Product], layout: Layout) -> bytes:
    pen = _Pen(layout, products[0].name)
    for product in products:
        if pen.page > 1 or pen.y < pen.high - 100:
            pen.title = product.name
            pen.new_page()
        _draw(pen, product, layout)
    return pen.done()


def _draw(pen: _Pen, product: Product, layout: Layout) -> None:
    titles = {"en": "SAFETY DATA SHEET", "es": "FICHA DE DATOS DE SEGURIDAD", "de": "SICHERHEITSDATENBLATT"}
    pen.text(45, pen.y, titles[product.language], 14, bold=True)
    pen.y -= 24
    if layout.contents:
        for n, title in enumerate(product.headings, 1):
            pen.text(60, pen.y, layout.numbers.format(n=n, title=title) + " ..... " + str(1 + n // 4))
            pen.y -= pen.step
        pen.new_page()
    bodies: dict[int, Any] = {
        1: product.identity,
        2: product.hazards,
        8: product.exposure,
        9: product.physical,
        14: product.transport,
    }
    for n, title in enumerate(product.headings, 1):
        pen.room(4)
        pen.y -= 6
        for line in pen.wrapped(layout.numbers.format(n=n, title=title), pen.wide - 90):
            pen.text(45, pen.y, line, layout.font + 1, bold=True)
            pen.y -= pen.step * 1.2
        pen.y -= 4
        if n == 3:
            _table(pen, product, layout)
        elif bodies.get(n):
            _pairs(pen, bodies[n], layout, n)
        else:
            for words in product.other if n == 16 else product.filler:
                lines = pen.wrapped(words, pen.wide - 90)
                for line in lines:
                    pen.room(1)
                    pen.text(45, pen.y, line)
                    pen.y -= pen.step
                pen.y -= 3


def _pairs(pen: _Pen, pairs: Pairs, layout: Layout, section: int) -> None:
    rows = (
        [pairs[i : i + 2] for i in range(0, len(pairs), 2)]
        if layout.two_pairs and section == 9
        else [(one,) for one in pairs]
    )
    half = (pen.wide - 90) / 2
    for number, row in enumerate(rows):
        columns = []
        for at, (label, value) in enumerate(row):
            left = 45 + at * half
            value_left = left + (half * 0.52 if len(rows[0]) > 1 else layout.value_at - 45)
            room = left + half - value_left - 6 if len(rows[0]) > 1 else pen.wide - 50 - value_left
            shown = f"{label}:" if layout.colon and label else label
            if layout.subsections and label and section in (9,):
                shown = f"({chr(97 + number % 26)}) {shown}" if number % 3 else f"9.1.{number + 1} {shown}"
            columns.append(
                (
                    left,
                    value_left,
                    pen.wrapped(shown, value_left - left - 6),
                    [line for part in value.split("\n") for line in pen.wrapped(part, room)],
                )
            )
        lines = max(max(len(labels), len(values)) for _, _, labels, values in columns)
        pen.room(min(lines, 6))
        if layout.ruled:
            pen.line()
        for at in range(lines):
            pen.room(1)
            for left, value_left, labels, values in columns:
                if at < len(labels):
                    pen.text(left, pen.y, labels[at])
                if at < len(values):
                    pen.text(value_left, pen.y, values[at])
            pen.y -= pen.step
        pen.y -= layout.gap


def _table(pen: _Pen, product: Product, layout: Layout) -> None:
    lefts = [45.0]
    for width in layout.widths:
        lefts.append(lefts[-1] + width)

    def row(cells: Sequence[str], bold: bool = False) -> None:
        wrapped = [
            pen.wrapped(cells[column], layout.widths[at] - layout.pad) if cells[column] else []
            for at, column in enumerate(layout.order)
        ]
        lines = max(map(len, wrapped))
        pen.room(lines)
        if layout.ruled:
            pen.line()
        for at in range(lines):
            for number, cell in enumerate(wrapped):
                if at < len(cell):
                    shift = (
                        (layout.widths[number] - stringWidth(cell[at], "Helvetica", layout.font)) / 2
                        if layout.centred and layout.order[number] == 3
                        else 0
                    )
                    pen.text(lefts[number] + shift, pen.y, cell[at], bold=False)
            pen.y -= pen.step
        pen.y -= layout.gap

    row(product.columns, bold=True)
    page = pen.page
    for part in product.parts:
        if pen.y < 90:
            pen.new_page()
        if pen.page != page and layout.head_again:
            row(product.columns)
            page = pen.page
        row((part.name, part.cas, part.ec, part.share, part.classes))
    if layout.ruled:
        pen.line()


EN = (
    "Identification of the substance/mixture and of the company/undertaking",
    "Hazards identification",
    "Composition/information on ingredients",
    "First aid measures",
    "Firefighting measures",
    "Accidental release measures",
    "Handling and storage",
    "Exposure controls/personal protection",
    "Physical and chemical properties",
    "Stability and reactivity",
    "Toxicological information",
    "Ecological information",
    "Disposal considerations",
    "Transport information",
    "Regulatory information",
    "Other information",
)
US = (
    "Identification",
    "Hazard(s) identification",
    "Composition/information on ingredients",
    "First-aid measures",
    "Fire-fighting measures",
    "Accidental release measures",
    "Handling and storage",
    "Exposure controls/personal protection",
    "Physical and chemical properties",
    "Stability and reactivity",
    "Toxicological information",
    "Ecological information",
    "Disposal considerations",
    "Transport information",
    "Regulatory information",
    "Other information",
)
ES = (
    "Identificación de la sustancia o la mezcla y de la sociedad o la empresa",
    "Identificación de los peligros",
    "Composición/información sobre los componentes",
    "Primeros auxilios",
    "Medidas de lucha contra incendios",
    "Medidas en caso de vertido accidental",
    "Manipulación y almacenamiento",
    "Controles de exposición/protección individual",
    "Propiedades físicas y químicas",
    "Estabilidad y reactividad",
    "Información toxicológica",
    "Información ecológica",
    "Consideraciones relativas a la eliminación",
    "Información relativa al transporte",
    "Información reglamentaria",
    "Otra información",
)
DE = (
    "Bezeichnung des Stoffs beziehungsweise des Gemischs und des Unternehmens",
    "Mögliche Gefahren",
    "Zusammensetzung/Angaben zu Bestandteilen",
    "Erste-Hilfe-Maßnahmen",
    "Maßnahmen zur Brandbekämpfung",
    "Maßnahmen bei unbeabsichtigter Freisetzung",
    "Handhabung und Lagerung",
    "Begrenzung und Überwachung der Exposition/Persönliche Schutzausrüstungen",
    "Physikalische und chemische Eigenschaften",
    "Stabilität und Reaktivität",
    "Toxikologische Angaben",
    "Umweltbezogene Angaben",
    "Hinweise zur Entsorgung",
    "Angaben zum Transport",
    "Rechtsvorschriften",
    "Sonstige Angaben",
)

PANEL = Product(
    "en",
    "Ottermoor PW 3 Panel Wipe",
    EN,
    (
        ("Product identifier", "Ottermoor PW 3 Panel Wipe"),
        ("Product code", "PW3-1, PW3-5"),
        ("Recommended use", "Degreasing of panels before painting"),
        ("Supplier", "Ottermoor Finishes Ltd, 4 Weir Lane, Ottermoor"),
        ("Emergency telephone", "01632 960 700 (24 h)"),
        ("Revision date", "2025-06-14"),
        ("Supersedes date", "2023-01-02"),
        ("Print date", "2025-07-01"),
    ),
    (
        (
            "Classification",
            "Flam. Liq. 2, H225; Asp. Tox. 1, H304; Skin Irrit. 2, H315; Eye Irrit. 2, H319; STOT SE 3, H336; Aquatic Chronic 2, H411",
        ),
        ("Signal word", "Danger"),
        (
            "Hazard statements",
            "H225 Highly flammable liquid and vapour.\nH304 May be fatal if swallowed and enters airways.\nH315 Causes skin irritation.\nH319 Causes serious eye irritation.\nH336 May cause drowsiness or dizziness.\nH411 Toxic to aquatic life with long lasting effects.",
        ),
        (
            "Precautionary statements",
            "P210 Keep away from heat. P301+P310 IF SWALLOWED: call a poison centre. P331 Do NOT induce vomiting.",
        ),
    ),
    ("Chemical name", "CAS No.", "EC No.", "Conc. [% w/w]", "Classification"),
    (
        PartLine(
            "heptane, isomers",
            "142-82-5",
            "≥ 50 - < 70",
            "205-563-8",
            "Flam. Liq. 2 H225, Asp. Tox. 1 H304, Skin Irrit. 2 H315, STOT SE 3 H336, Aquatic Acute 1 H400",
            50,
            70,
        ),
        PartLine(
            "propan-2-ol",
            "67-63-0",
            "20 - 30",
            "200-661-7",
            "Flam. Liq. 2 H225, Eye Irrit. 2 H319, STOT SE 3 H336 (C ≥ 20 %)",
            20,
            30,
        ),
        PartLine(
            "acetone",
            "67-64-1",
            "<= 10",
            "200-662-2",
            "Flam. Liq. 2 H225, Eye Irrit. 2 H319, STOT SE 3 H336, EUH066",
            0,
            10,
        ),
        PartLine(
            "n-hexane",
            "110-54-3",
            "< 0.5",
            "203-777-6",
            "Flam. Liq. 2 H225, Repr. 2 H361f, STOT RE 2 H373: C ≥ 5 %",
            0,
            0.5,
        ),
    ),
    (
        ("Physical state", "liquid"),
        ("Colour", "colourless"),
        ("Melting point/freezing point", "not determined"),
        ("Boiling point or initial boiling point and boiling range", "78 - 99 °C"),
        ("Flammability", "highly flammable"),
        ("Lower and upper explosion limit", "1.0 - 12.0 % (V)"),
        ("Flash point", "-8 °C (closed cup, ISO 13736)"),
        ("Auto-ignition temperature", "> 200 °C"),
        ("pH", "not applicable"),
        ("Kinematic viscosity", "0.7 mm²/s at 40 °C"),
        ("Vapour pressure", "60 hPa at 20 °C"),
        ("Density and/or relative density", "0.716 g/cm³ at 20 °C"),
        ("Relative vapour density", "3.1 (air = 1)"),
        ("VOC content", "716 g/l (100 %)"),
        ("Evaporation rate", "not determined"),
    ),
    (
        "Keep away from heat. Take off wet clothing at once and wash with water and soap. See a doctor when complaints go on.",
        "Keep out of drains. Collect with sand.",
    ),
    (
        ("Hand protection", "Nitrile rubber, 0.4 mm, breakthrough > 30 min (EN ISO 374)"),
        ("Respiratory protection", "Filter AX"),
    ),
    (("UN number", "UN 1993"), ("Packing group", "II")),
    (
        "Full text of the statements of section 3: H361f Suspected of damaging fertility. H373 May cause damage to organs. H400 Very toxic to aquatic life.",
        NOTE,
    ),
    {
        "flash_point": -8.0,
        "boiling_point": 78.0,
        "density": 0.716,
        "voc": 716.0,
        "sds_revised": "2025-06-14",
        "hazards": ["H225", "H304", "H315", "H319", "H336", "H411"],
    },
)

THINNER = Product(
    "en",
    "Cragfoot 77 Enamel Thinner",
    US,
    (
        ("Product name", "Cragfoot 77 Enamel Thinner"),
        ("Other means of identification", "CF77"),
        ("Recommended use", "Thinner for enamel"),
        ("Manufacturer", "Cragfoot Paint Works Inc., 9 Quay St, Cragfoot, OR 97000"),
        ("Emergency phone", "1-800-555-0142"),
        ("Revision date", "04/23/2025"),
    ),
    (
        (
            "Classification",
            "Flammable liquids, Category 3; Skin irritation, Category 2; Specific target organ toxicity, single exposure, Category 3 (narcotic effects); Aspiration hazard, Category 1",
        ),
        ("Signal word", "DANGER"),
        (
            "Hazard statements",
            "Flammable liquid and vapor. Causes skin irritation. May cause drowsiness or dizziness. May be fatal if swallowed and enters airways.",
        ),
        ("Precautionary statements", "Keep away from heat, sparks and open flames. Wear protective gloves."),
    ),
    ("Ingredient", "CAS #", "EC #", "Weight %", "Hazard"),
    (
        PartLine("Stoddard solvent", "8052-41-3", "45 - 70*", "232-489-3", "", 45, 70),
        PartLine("Xylene (mixed isomers)", "1330-20-7", "15 - 40*", "215-535-7", "", 15, 40),
        PartLine("Ethylbenzene", "100-41-4", "1 - 5*", "202-849-4", "", 1, 5),
        PartLine("1,2,4-Trimethyl-benzene", "95-63-6", "0.5 - 1.5*", "202-436-9", "", 0.5, 1.5),
    ),
    (
        ("Appearance", "Clear liquid"),
        ("Odor", "Solvent"),
        ("Odor threshold", "Not available"),
        ("pH", "Not applicable"),
        ("Initial boiling point and boiling range", "280 °F (138 °C) - 390 °F (199 °C)"),
        ("Flash point", "84 °F (29 °C) Tag closed cup"),
        ("Evaporation rate", "0.3 (n-butyl acetate = 1)"),
        ("Lower explosive limit", "0.9 %"),
        ("Upper explosive limit", "7.0 %"),
        ("Vapor pressure", "5 mmHg at 68 °F"),
        ("Vapor density", "4.5 (air = 1)"),
        ("Specific gravity", "0.80 at 77 °F"),
        ("Density", "6.68 lb/gal"),
        ("VOC content", "6.68 lb/gal (800 g/L)"),
        ("Percent volatile", "100 %"),
    ),
    PANEL.filler,
    (("Gloves", "Nitrile 15 mil"),),
    (("UN number", "UN1263"), ("Packing group", "III")),
    (
        "SARA 313: xylene 1330-20-7. This product is regulated under 29 CFR 1910.1200. It contains traces of benzene (71-43-2).",
        NOTE,
    ),
    {
        "flash_point": 29.0,
        "boiling_point": 138.0,
        "density": 0.80,
        "voc": 800.0,
        "sds_revised": "2025-04-23",
        "hazards": ["H226", "H304", "H315", "H336"],
    },
)

LACK = Product(
    "de",
    "Moorgrund Nitroverdünnung NV 5",
    DE,
    (
        ("Handelsname", "Moorgrund Nitroverdünnung NV 5"),
        ("Artikelnummer", "40 211"),
        ("Verwendung des Stoffes/des Gemisches", "Verdünnung"),
        ("Hersteller/Lieferant", "Moorgrund Lackchemie GmbH, Torfweg 3, 00000 Moorgrund"),
        ("Notrufnummer", "030 23125 400"),
        ("Überarbeitet am", "03.02.2026"),
        ("Druckdatum", "17.02.2026"),
        ("Ersetzt Fassung vom", "11.11.2024"),
    ),
    (
        ("Einstufung", "Flam. Liq. 2 H225; Eye Irrit. 2 H319; Repr. 2 H361d; STOT SE 3 H336; STOT RE 2 H373"),
        ("Signalwort", "Gefahr"),
        (
            "Gefahrenhinweise",
            "H225 Flüssigkeit und Dampf leicht entzündbar.\nH319 Verursacht schwere Augenreizung.\nH336 Kann Schläfrigkeit und Benommenheit verursachen.\nH361d Kann vermutlich das Kind im Mutterleib schädigen.\nH373 Kann die Organe schädigen bei längerer oder wiederholter Exposition.\nEUH066 Wiederholter Kontakt kann zu spröder oder rissiger Haut führen.",
        ),
        ("Sicherheitshinweise", "P210 Von Hitze fernhalten. P260 Dampf nicht einatmen."),
    ),
    ("Stoffname", "CAS-Nr.", "EG-Nr.", "Gew.-%", "Einstufung (EG) 1272/2008"),
    (
        PartLine(
            "Toluol",
            "108-88-3",
            "25 – < 50",
            "203-625-9",
            "Flam. Liq. 2, H225; Repr. 2, H361d; Asp. Tox. 1, H304; STOT RE 2, H373",
            25,
            50,
        ),
        PartLine(
            "Ethylacetat",
            "141-78-6",
            "25 – < 50",
            "205-500-4",
            "Flam. Liq. 2, H225; Eye Irrit. 2, H319; STOT SE 3, H336; EUH066",
            25,
            50,
        ),
        PartLine(
            "Aceton",
            "67-64-1",
            "10 – < 12,5",
            "200-662-2",
            "Flam. Liq. 2, H225; Eye Irrit. 2, H319; STOT SE 3, H336",
            10,
            12.5,
        ),
        PartLine(
            "Butan-1-ol",
            "71-36-3",
            "2,5 – < 3",
            "200-751-6",
            "Flam. Liq. 3, H226; Acute Tox. 4, H302; Eye Dam. 1, H318: C ≥ 3 %",
            2.5,
            3,
        ),
        PartLine("2-Butanonoxim", "96-29-7", "< 0,1", "202-496-6", "Carc. 1B, H350", 0, 0.1),
    ),
    (
        ("Aggregatzustand", "flüssig"),
        ("Farbe", "farblos"),
        ("Schmelzpunkt/Gefrierpunkt", "nicht bestimmt"),
        ("Siedepunkt oder Siedebeginn und Siedebereich", "ab 56 °C"),
        ("Entzündbarkeit", "leicht entzündbar"),
        ("Untere Explosionsgrenze", "1,2 Vol.-%"),
        ("Obere Explosionsgrenze", "13,0 Vol.-%"),
        ("Flammpunkt", "–6 °C (DIN 51755)"),
        ("Zündtemperatur", "460 °C"),
        ("pH-Wert", "nicht anwendbar"),
        ("Kinematische Viskosität bei 40 °C", "0,6 mm²/s"),
        ("Dampfdruck bei 20 °C", "97,5 hPa"),
        ("Dichte bei 20 °C", "0,871 g/cm³"),
        ("Relative Dampfdichte", "3,1"),
        ("VOC (EU)", "871,0 g/l"),
        ("Lösemittelgehalt", "100 %"),
    ),
    ("Von Hitze fernhalten. Benetzte Kleidung sofort ausziehen. Mit viel Wasser waschen.",),
    (("Handschutz", "Laminat, Durchbruchzeit > 480 min"),),
    (("UN-Nummer", "UN 1263"), ("Verpackungsgruppe", "II")),
    (
        "Wortlaut der Sätze aus Abschnitt 3: H226, H302, H304, H318, H350.",
        "Dieses Blatt ist erfunden. Hersteller und Produkt gibt es nicht.",
    ),
    {
        "flash_point": -6.0,
        "boiling_point": 56.0,
        "density": 0.871,
        "voc": 871.0,
        "sds_revised": "2026-02-03",
        "hazards": ["H225", "H319", "H336", "H361d", "H373", "EUH066"],
    },
)

COLA = Product(
    "es",
    "Alisal K-2 Adhesivo de contacto",
    ES,
    (
        ("Nombre del producto", "Alisal K-2 Adhesivo de contacto"),
        ("Código", "K2/05"),
        ("Usos pertinentes", "Adhesivo de contacto"),
        ("Proveedor", "Colas Alisal, S.L., Camino del Soto 4, 00000 Alisal"),
        ("Teléfono de emergencia", "900 555 321 (24 h)"),
        ("Fecha de revisión", "08/03/2025"),
        ("Fecha de impresión", "21/03/2025"),
        ("Sustituye a la versión de", "30/11/2021"),
    ),
    (
        (
            "Clasificación",
            "Flam. Liq. 2: H225; Skin Irrit. 2: H315; Eye Irrit. 2: H319; STOT SE 3: H336; Aquatic Chronic 2: H411",
        ),
        ("Palabra de advertencia", "PELIGRO"),
        (
            "Indicaciones de peligro",
            "H225: Líquido y vapores muy inflamables.\nH315: Provoca irritación cutánea.\nH319: Provoca irritación ocular grave.\nH336: Puede provocar somnolencia o vértigo.\nH411: Tóxico para los organismos acuáticos, con efectos nocivos duraderos.",
        ),
        ("Información suplementaria", "EUH208: Contiene colofonia. Puede provocar una reacción alérgica."),
        ("Consejos de prudencia", "P210: Mantener alejado del calor. P261: Evitar respirar los vapores."),
    ),
    ("Componente", "N.º CAS", "N.º CE", "% en peso", "Clasificación (CLP)"),
    (
        PartLine(
            "Acetato de etilo",
            "141-78-6",
            "25 - 50",
            "205-500-4",
            "Flam. Liq. 2: H225; Eye Irrit. 2: H319; STOT SE 3: H336",
            25,
            50,
        ),
        PartLine(
            "Ciclohexano",
            "110-82-7",
            "20 < 25",
            "203-806-2",
            "Flam. Liq. 2: H225; Asp. Tox. 1: H304; Skin Irrit. 2: H315; STOT SE 3: H336; Aquatic Acute 1: H400",
            20,
            25,
        ),
        PartLine(
            "Butanona",
            "78-93-3",
            "10 a 20",
            "201-159-0",
            "Flam. Liq. 2: H225; Eye Irrit. 2: H319; STOT SE 3: H336",
            10,
            20,
        ),
        PartLine("Colofonia", "8050-09-7", "máx. 0,9", "232-475-7", "Skin Sens. 1: H317", 0, 0.9),
    ),
    (
        ("Estado físico", "Líquido viscoso"),
        ("Color", "Ámbar"),
        ("Punto de fusión/congelación", "No determinado"),
        ("Punto inicial de ebullición e intervalo de ebullición", "77 - 81 ºC"),
        ("Inflamabilidad", "Muy inflamable"),
        ("Límite inferior de explosividad", "1,2 % vol."),
        ("Límite superior de explosividad", "11,5 % vol."),
        ("Punto de inflamación", "-9 ºC (copa cerrada)"),
        ("Temperatura de auto-inflamación", "260 ºC"),
        ("Viscosidad dinámica", "2.400 mPa·s"),
        ("Presión de vapor", "11,7 kPa (20 ºC)"),
        ("Densidad relativa", "0,862 (20 ºC)"),
        ("Densidad de vapor", "> 1"),
        ("COV (Directiva 2010/75/UE)", "690 g/l"),
        ("Solubilidad en agua", "Parcial"),
    ),
    ("Quitar la ropa mojada. Lavar con agua y jabón. Llamar a un médico si siguen las molestias.",),
    (("Guantes", "Laminado, > 480 min"),),
    (("Número ONU", "UN 1133"), ("Grupo de embalaje", "II")),
    ("Textos de la sección 3: H304, H317, H400.", "Ficha inventada. No existen ni el fabricante ni el producto."),
    {
        "flash_point": -9.0,
        "boiling_point": 77.0,
        "density": 0.862,
        "voc": 690.0,
        "sds_revised": "2025-03-08",
        "hazards": ["H225", "H315", "H319", "H336", "H411", "EUH208"],
    },
)

PRODUCTS = (PANEL, THINNER, LACK, COLA)

LAYOUTS = (
    Layout("plain"),
    Layout("colons", colon=True, value_at=230),
    Layout("ruled", ruled=True, leading=1.2, gap=7),
    Layout("small pages", size=(420, 420), widths=(90, 62, 62, 58, 62), value_at=170, font=8),
    Layout("narrow columns", widths=(80, 52, 62, 55, 200), ruled=True, font=8, gap=6),
    Layout("share first", order=(3, 1, 0, 2, 4), widths=(70, 70, 130, 70, 150)),
    Layout("contents", contents=True, numbers="{n}. {title}"),
    Layout("two pairs", two_pairs=True, colon=True, font=8),
    Layout("short labels", value_at=120, numbers="Section {n} - {title}"),
    Layout("centred", centred=True, numbers="{n} {title}", ruled=True),
    Layout("no header", header=False, gap=2, leading=1.15, font=10),
    Layout("dense", gap=0, leading=1.2),
    Layout("lettered", subsections=True, colon=True),
    Layout("side by side", size=(842, 595), side_by_side=True, widths=(80, 58, 62, 60, 90), value_at=150, font=7.5),
)


def layout(name: str, **changes: Any) -> Layout:
    return replace(next(one for one in LAYOUTS if one.name == name), **changes)


def any_layout(draw: Random) -> Layout:
    """A layout nobody thought of."""
    widths = [
        draw.choice(choices)
        for choices in ((70, 100, 130, 160), (52, 58, 66, 75), (58, 66, 75), (48, 58, 70, 85), (70, 110, 150, 200))
    ]
    order = draw.choice(
        ((0, 1, 2, 3, 4), (0, 1, 3, 2, 4), (3, 1, 0, 2, 4), (1, 0, 3, 2, 4), (0, 3, 1, 2, 4), (1, 2, 0, 3, 4))
    )
    wide, high = draw.choice(((595, 842), (612, 792), (500, 500), (842, 595)))
    return Layout(
        "any",
        size=(max(wide, sum(widths) + 100), high),
        font=draw.choice((7, 8, 9, 10)),
        leading=draw.choice((1.12, 1.2, 1.3)),
        value_at=draw.choice((140, 170, 200, 240)),
        colon=draw.random() < 0.4,
        ruled=draw.random() < 0.5,
        order=order,
        widths=tuple(widths[column] for column in order),
        pad=draw.choice((3, 5, 8)),
        header=draw.random() < 0.7,
        contents=draw.random() < 0.15,
        numbers=draw.choice(
            ("SECTION {n}: {title}", "{n}. {title}", "Section {n} - {title}", "{n} {title}", "{title}")
        ),
        two_pairs=draw.random() < 0.25,
        gap=draw.choice((0, 2, 4, 6)),
        head_again=draw.random() < 0.5,
        centred=draw.random() < 0.3,
        subsections=draw.random() < 0.2,
    )
