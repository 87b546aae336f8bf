"""What substances are and what the rules say: shipped files, the shop's packs and what plugins add, on one day."""

from safety.reference.loaded import Library, Reference, crossed, load, no_library, past, settled
from safety.reference.packs import declared_tables
from safety.reference.rules_files import own_packs, read_pack
from safety.reference.substance_files import cas_is_valid, read_substance

__all__ = [
    "Library",
    "Reference",
    "cas_is_valid",
    "crossed",
    "declared_tables",
    "load",
    "no_library",
    "own_packs",
    "past",
    "read_pack",
    "read_substance",
    "settled",
]
