"""hazstep: what a job will put in the air and on the skin, and where every gram went.

Nothing heavy is imported here, so that ``hazstep --help`` stays quick.
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:  # a plugin's hooks keep their types
    from pluggy import HookimplMarker

    hookimpl = HookimplMarker("hazstep")

__version__ = "0.1.0"

#: Raised when a hook loses or re-types an argument; a plugin may declare the number it was written for.
HOOKS_VERSION = 2


def __getattr__(name: str) -> Any:
    """Give plugins ``safety.hookimpl`` without importing pluggy for everybody else."""
    if name == "hookimpl":
        from pluggy import HookimplMarker

        return HookimplMarker("hazstep")
    raise AttributeError(f"module 'safety' has no attribute {name!r}")
