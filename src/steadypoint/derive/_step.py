"""Steps, lines and the derivation: what ``derive`` hands out and every printer reads.

A ``Derivation`` is a sequence of ``Step``. A step has a heading, a sentence (prose: strings mixed
with expressions), lines of mathematics, and perhaps a remark that follows them. A ``Line`` reads

    left  sign  right          in letters            V_TH = V_CC R_2 / (R_1 + R_2)
          =     numbers        figures put in             = 9 V × 39 kΩ / (150 kΩ + 39 kΩ)
          =     result         with unit                  = 1.86 V

where ``numbers`` and ``result`` may be None (a loop equation ends in ``= 0``).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeAlias, overload

from steadypoint.circuit import Circuit
from steadypoint.derive._expr import ZERO, Expr, Number, Symbol

Prose: TypeAlias = tuple[str | Expr, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of mathematics.

    Parameters
    ----------
    left, right : Expr
        The equation in letters.
    numbers : Expr or None
        The right side with figures put in.
    result : Number or None
        Its value with unit, unrounded; the printers round.
    sign : str, default "="
        ``=``, ``≈`` (an approximation went in) or ``→`` (a limit).
    """

    left: Expr
    right: Expr
    numbers: Expr | None = None
    result: Number | None = None
    sign: str = "="

    @property
    def shown_result(self) -> Number | None:
        """The result, or None where it would only repeat what stands there."""
        if self.right == ZERO or self.result in (self.numbers, self.right):
            return None
        return self.result


@dataclass(frozen=True, slots=True)
class Result:
    """What a step finds.

    Parameters
    ----------
    symbol : str
        Name of the symbol.
    value : float
        Its value in the SI unit, unrounded.
    unit : str
        The SI unit without prefix.
    """

    symbol: str
    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class Approximation:
    """A shortcut and what it costs.

    Parameters
    ----------
    name : str
        The shortcut in letters and words, for instance ``I_E ≈ I_C``.
    condition : str
        When it is allowed.
    holds : bool
        Whether the condition is met here.
    met : float
        How far: the larger quantity over the smaller. [-]
    error_I_C, error_V_CE : float
        Error that it alone brings into I_C and V_CE, against the exact working. [%]
    """

    name: str
    condition: str
    holds: bool
    met: float
    error_I_C: float
    error_V_CE: float


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the working.

    Parameters
    ----------
    heading : str
        What the step does, three words or so.
    sentence : tuple of str and Expr
        What the lecturer says before writing.
    lines : tuple of Line
        What stands on the board.
    result : Result or None
        What the step finds.
    reason : str
        The law or definition that allows the step.
    rests_on : tuple of int
        Indices of earlier steps whose results are used.
    approximation : Approximation or None
        The shortcut that this step takes.
    loop : tuple of str
        Names of the parts the step goes round or speaks of, in order.
    remark : tuple of str and Expr
        What the lecturer adds after the lines.
    """

    heading: str
    sentence: Prose = ()
    lines: tuple[Line, ...] = ()
    result: Result | None = None
    reason: str = ""
    rests_on: tuple[int, ...] = ()
    approximation: Approximation | None = None
    loop: tuple[str, ...] = ()
    remark: Prose = ()


@dataclass(frozen=True, slots=True)
class Derivation(Sequence[Step]):
    """The working of a circuit: a sequence of steps that prints itself.

    Parameters
    ----------
    circuit : Circuit
        What was worked.
    rung : str
        ``exact`` or ``board``.
    steps : tuple of Step
        The working.
    values : mapping of str to float
        Every symbol that the working found, SI units.
    fallback : tuple of str
        Why the systematic node equations stand in the place of the loop method; empty when the loop
        method carried.
    carried : mapping of str to float
        The unrounded values, where ``values`` holds the ones rounded as on the board; else empty.
    """

    circuit: Circuit
    rung: str
    steps: tuple[Step, ...]
    values: Mapping[str, float] = field(default_factory=dict)
    fallback: tuple[str, ...] = ()
    carried: Mapping[str, float] = field(default_factory=dict)

    @overload
    def __getitem__(self, index: int) -> Step: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[Step, ...]: ...
    def __getitem__(self, index: int | slice) -> Step | tuple[Step, ...]:
        return self.steps[index]

    def __len__(self) -> int:
        return len(self.steps)

    def __iter__(self) -> Iterator[Step]:
        return iter(self.steps)

    def step(self, heading: str) -> Step:
        """First step with this heading.

        Raises
        ------
        KeyError
            If there is none.
        """
        for step in self.steps:
            if step.heading == heading:
                return step
        raise KeyError(heading)

    def value(self, symbol: str) -> float:
        """Value of a symbol that the working found, SI units."""
        return self.values[symbol]

    def text(self) -> str:
        """The working as plain text."""
        from steadypoint.derive._document import text_document

        return text_document(self)

    def markdown(self) -> str:
        """The working as CommonMark with mathematics between dollar signs."""
        from steadypoint.derive._document import markdown_document

        return markdown_document(self)

    def latex(self) -> str:
        """The working as the body of a LaTeX document (needs ``amsmath``)."""
        from steadypoint.derive._document import latex_document

        return latex_document(self)

    def typst(self) -> str:
        """The working as Typst markup."""
        from steadypoint.derive._document import typst_document

        return typst_document(self)

    def html(self) -> str:
        """The working as an ordered list with MathML."""
        from steadypoint.derive._document import html_document

        return html_document(self)

    def spoken(self) -> str:
        """The working in words, for a screen reader or to be read out."""
        from steadypoint.derive._print_spoken import spoken_document

        return spoken_document(self)

    def sympy(self) -> tuple[Any, ...]:
        """The lines in letters as ``sympy.Eq``; limits (→) are left out.

        Raises
        ------
        DerivationError
            If SymPy is not installed.
        """
        from steadypoint.derive._to_sympy import sympy_equations

        return sympy_equations(self)

    def find(self, wanted: str) -> Derivation:
        """Only the steps that lead to one quantity: ``V_CE``, ``Q1.I_B``, ``V_TH``.

        Raises
        ------
        CircuitError
            If the working finds no such quantity.
        """
        from steadypoint.derive._find import find

        return find(self, wanted)

    def mathml(self) -> tuple[tuple[str, ...], ...]:
        """For each step its lines as block MathML."""
        from steadypoint.derive._print_mathml import to_mathml

        return tuple(tuple(to_mathml(line) for line in step.lines) for step in self.steps)

    def to_dict(self) -> list[dict[str, Any]]:
        """The steps as plain data, values in SI units."""
        from steadypoint.derive._document import plain_data

        return plain_data(self)

    def _repr_mimebundle_(self, **_: object) -> dict[str, str]:
        return {"text/plain": self.text(), "text/html": self.html()}


def symbol_or_none(line: Line) -> str | None:
    """Name of the symbol that a line solves for, if its left side is a single symbol."""
    return line.left.name if isinstance(line.left, Symbol) else None
