"""The register of fenced blocks. A module that defines a block registers it on import."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, TypeAlias

from steadypoint.lesson._options import Fence
from steadypoint.lesson._tree import Block

if TYPE_CHECKING:
    from steadypoint.lesson._weave import Weaver

Reader: TypeAlias = "Callable[[Fence, Weaver], Sequence[Block]]"


@dataclass(frozen=True, slots=True)
class BlockKind:
    """A fenced block that lessons understand.

    Parameters
    ----------
    name : str
        The words after the fence.
    summary : str
        What it brings, in one sentence; the documentation prints it.
    options : mapping of str to str
        Each option with its meaning.
    body : str
        ``none``, ``text`` or ``sheet``.
    read : callable
        Makes document nodes of a fence.
    """

    name: str
    summary: str
    options: dict[str, str]
    body: str
    read: Reader


_KINDS: Final[dict[str, BlockKind]] = {}
BLOCKS: Final[Mapping[str, BlockKind]] = MappingProxyType(_KINDS)
"""Every registered block by its name."""


def register(
    name: str, summary: str, options: dict[str, str], body: str = "none"
) -> Callable[[Reader], Reader]:
    """Register the function below as the reader of a block."""

    def keep(read: Reader) -> Reader:
        _KINDS[name] = BlockKind(name, summary, options, body, read)
        return read

    return keep
