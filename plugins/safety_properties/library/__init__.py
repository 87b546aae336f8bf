"""Any substance by its CAS number, from the tables of the open package ``chemicals`` where that is installed.

Nothing of it is imported: its tables are text, and are read as text, a row at a time. What it holds are handbook data
on the user's own machine; none of it is copied here. A name is never looked for, only a number: names there lead to
other substances. Nobody has checked the values, and each says so.
"""

from safety_properties.library.look_up import substance

__all__ = ["substance"]
