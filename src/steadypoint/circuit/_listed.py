"""Words in a row, as one writes them in a sentence."""

from __future__ import annotations

from collections.abc import Iterable


def listed(words: Iterable[str], last: str = "or") -> str:
    """Words in a row with a word before the last.

    Examples
    --------
    >>> listed(["collector", "base", "emitter"])
    'collector, base or emitter'
    """
    words = list(words)
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"
