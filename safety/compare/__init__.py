"""What if: the same job with other keys in its files, side by side, and the least change that helps."""

from safety.compare.changes import Alternative, Change, read_alternatives
from safety.compare.outcome import Outcome, compare, ranked
from safety.compare.tries import Proposal, Target, propose

__all__ = [
    "Alternative",
    "Change",
    "Outcome",
    "Proposal",
    "Target",
    "compare",
    "propose",
    "ranked",
    "read_alternatives",
]
