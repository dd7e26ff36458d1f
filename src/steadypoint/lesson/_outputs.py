"""The register of outputs: what a lesson can be built as. A module registers its output."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Final, TypeAlias

from steadypoint.errors import UnknownNameError
from steadypoint.lesson._source import suggestion
from steadypoint.lesson._tree import Document

# The order in which outputs are built and told; others follow in the order of their names.
_ORDER: Final = ("page", "handout", "slides", "student", "script", "figures")
DEFAULT_OUTPUTS: Final = ("page", "handout")
ANSWERS: Final = ("with", "without", "apart")


@dataclass(frozen=True, slots=True)
class BuildOptions:
    """Wishes that hold for all outputs of one build.

    Parameters
    ----------
    answers : str
        ``with`` (below each exercise), ``without``, ``apart`` (together at the end), or empty for
        the way of each output.
    theme : str
        Theme of what is projected, ``projector``, ``light`` or ``dark``.
    """

    answers: str = ""
    theme: str = "projector"


Build: TypeAlias = Callable[[Document, BuildOptions], Mapping[str, bytes]]


@dataclass(frozen=True, slots=True)
class Output:
    """Something that a lesson can be built as.

    Parameters
    ----------
    name : str
        The word for it after ``--to``.
    suffix : str
        What follows the lesson's name in the name of its main file, such as ``-slides.pdf``; of
        several single files the folder, such as ``-figures``.
    help : str
        What it is, in one sentence; the documentation prints it.
    build : callable
        Makes the files of a document: the ending of each name (it may hold one folder, such as
        ``-figures/figure-1.svg``) with its bytes. The same document gives the same bytes.
    """

    name: str
    suffix: str
    help: str
    build: Build


_KINDS: Final[dict[str, Output]] = {}


def register_output(name: str, suffix: str, help: str) -> Callable[[Build], Build]:  # noqa: A002
    """Register the function below as the builder of an output.

    Parameters
    ----------
    name, suffix, help : str
        As in `Output`.

    Returns
    -------
    callable
        A decorator that hands the function back as it is.
    """

    def keep(build: Build) -> Build:
        _KINDS[name] = Output(name, suffix, help, build)
        return build

    return keep


def outputs() -> tuple[Output, ...]:
    """Every output that a lesson can be built as.

    Returns
    -------
    tuple of Output
        In the order in which they are built.

    Examples
    --------
    >>> [output.suffix for output in outputs() if output.name == "page"]
    ['.html']
    """
    return tuple(sorted(_KINDS.values(), key=_place))


def _place(output: Output) -> tuple[int, str]:
    known = output.name in _ORDER
    return (_ORDER.index(output.name) if known else len(_ORDER), output.name)


def chosen_outputs(wanted: str | Iterable[str] | None) -> tuple[Output, ...]:
    """The outputs of some words.

    Parameters
    ----------
    wanted : str or iterable of str or None
        Names, or lists of names with commas; ``all`` stands for every one; None for page and
        handout.

    Raises
    ------
    UnknownNameError
        If a word is none of the outputs.
    """
    lists = [wanted] if isinstance(wanted, str) else list(wanted or DEFAULT_OUTPUTS)
    names = [one.name for one in outputs()]
    words = [w.strip().casefold() for each in lists for w in each.split(",") if w.strip()]
    for word in words:
        if word != "all" and word not in names:
            choice = f" Choose {', '.join([*names, 'all'])}."
            raise UnknownNameError(f"There is no output '{word}'.{suggestion(word, names, choice)}")
    if not words:
        raise UnknownNameError(f"Name an output: {', '.join([*names, 'all'])}.")
    return tuple(one for one in outputs() if one.name in words or "all" in words)
