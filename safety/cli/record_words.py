"""What ``hazstep record`` says of each kind of record and of its fields."""

from __future__ import annotations

#: Kind of record -> the first line of its help, and what is given without an option.
KINDS = {
    "receive": ("A delivery came in.", ("product", "amount")),
    "open": ("A lot was opened.", ("product",)),
    "use": ("Something was used.", ("product", "amount")),
    "return": ("Something went back, to stock or to the supplier.", ("product", "amount")),
    "waste": ("Something went into a waste container. Without --product it is mixed waste.", ("container", "amount")),
    "ship": ("A waste container was collected.", ("container", "amount")),
    "weigh": (
        "A can was weighed. WAY is out before a job, in after it (this records the use), or count for stocktaking.",
        ("way", "product", "amount"),
    ),
}
#: Kind of record -> one that could be written down in the demo shop.
EXAMPLES = {
    "receive": 'acetone "1 L" --lot A-2611 --expires none --basis label --who "Tech 3"',
    "open": 'acetone --lot A-2607 --who "Tech 3"',
    "use": 'acetone "250 mL" --lot A-2607 --basis measured --who "Tech 3" --job boot-replacement',
    "return": 'acetone "100 mL" --lot A-2607 --to stock --basis measured --who "Tech 3"',
    "waste": 'rags-1 "0.4 kg" --from job --basis weighed --who "Tech 3"',
    "ship": 'rags-1 "12 kg" --basis weighed --who "Tech 3" --receiver "Harbour Waste"',
    "weigh": 'out acetone "0.95 kg" --lot A-2607 --who "Tech 3"',
}
#: Field -> what the help says of it, and what is asked at a terminal ("" = never asked).
FIELDS = {
    "product": ("The product.", "Product"),
    "amount": ("The amount.", 'Amount, such as "250 mL" or "1.2 lb"'),
    "container": ("The waste container.", "Waste container"),
    "way": ("Where to or where from: {ways}.", "Which way ({ways})"),
    "lot": ("Lot on the label.", "Lot on the label"),
    "expires": (
        "Date on the label; none where the maker sets no date; or unknown.",
        "Expires (a date, none or unknown)",
    ),
    "basis": (
        "How the amount is known: weighed, measured, guessed or label.",
        "How the amount is known (weighed, measured, guessed or label)",
    ),
    "job": ("The job it was for.", "Job (Enter for none)"),
    "step": ("The step of the job.", "Step (Enter for none)"),
    "operation": ('What it was used for, such as "hand-wipe".', ""),
    "area": ('The area treated, such as "1.5 m^2".', ""),
    "density": ("The density of mixed waste.", ""),
    "solvent": ('Of waste, how much of it is solvent, as measured: "1.4 kg".', ""),
    "tare": ('Of waste, what holds the solvent, weighed empty or dry: "8 kg" of cloth.', ""),
    "fate": ("What becomes of it: recovered, treated, disposed or laundered.", ""),
    "rest": ("stays, where the container stays with what is not taken.", ""),
    "receiver": ("Who takes the waste.", "Who takes it"),
    "manifest": ("Number of the shipping paper.", "Number of the shipping paper (Enter for none)"),
    "who": ("Who did it.", "Who did it"),
    "note": ("Anything worth remembering.", ""),
    "anyway": ("Go on against what speaks against the lot, for this reason. It shows in the log.", ""),
    "when": ("Day, or day and time by the clock on the wall. Left out: now.", ""),
    "key": ("Your own key for this record: the same key counts once.", ""),
}
#: Kinds whose way has a name of its own on the command line.
WAY_OPTION = {"return": "--to", "waste": "--from"}
