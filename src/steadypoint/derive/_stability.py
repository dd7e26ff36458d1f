"""Stability factors in letters, as textbooks print them, from the working of the circuit itself."""

from __future__ import annotations

from dataclasses import dataclass

from steadypoint.circuit import Circuit, Kind, Part
from steadypoint.derive._algebra import Poly
from steadypoint.derive._begin import begin
from steadypoint.derive._discussion import Closed, split_form
from steadypoint.derive._expr import (
    ONE,
    Expr,
    Number,
    Symbol,
    add,
    divide,
    evaluate,
    multiply,
    negate,
    substitute,
)
from steadypoint.derive._lecture import lecture
from steadypoint.derive._step import Line
from steadypoint.derive._working import Working
from steadypoint.errors import CircuitError, DerivationError
from steadypoint.solve import Region, operating_point, tangent

AGREE = 1e-6
"""Relative difference from the differentiated equations at which a form is refused. [-]"""

SECOND = "beta_2"
"""Symbol of the changed gain in the form for a finite change."""


@dataclass(frozen=True, slots=True)
class StabilityForms:
    r"""Stability factors of an active transistor's collector current in letters.

    Parameters
    ----------
    transistor : str
        The transistor.
    S_ICO, S_VBE, S_beta : Line
        Derivatives of I_C by the leakage I_CO [-], by V_BE [S] and by β [A].
    S_beta_finite : Line or None
        ΔI_C/Δβ for a change of β from β₁ to β₂, exact however large the change is; None where the
        circuit has several transistors. [A]
    """

    transistor: str
    S_ICO: Line
    S_VBE: Line
    S_beta: Line
    S_beta_finite: Line | None


def stability_forms(circuit: Circuit, *, factor: float = 2.0) -> tuple[StabilityForms, ...]:
    r"""Stability factors in letters where the working has a closed form for the base current.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    factor : float, default 2
        What β₂ is of β₁ in the figures of the finite form. [-]

    Returns
    -------
    tuple of StabilityForms
        One for each active bipolar transistor with a closed form; a form that disagrees with the
        differentiated equations of the exact rung is left out.

    Raises
    ------
    SolveError
        If the circuit has no operating point.

    Notes
    -----
    With I_B = U / (a + β c), where a is what I_B alone meets and c what I_C brings into the base's
    loop, the return ratio is T = β c / a and

    .. math::
        S(I_{CO}) = \frac{1 + \beta}{1 + T}, \quad
        S(V_{BE}) = \frac{\beta\,\partial U/\partial V_{BE}}{a + \beta c}, \quad
        S(\beta) = \frac{I_C/\beta}{1 + T}, \quad
        \frac{\Delta I_C}{\Delta\beta} = \frac{I_{C1}}{\beta_1}\,\frac{a}{a + \beta_2 c}

    References
    ----------
    R. L. Boylestad, L. Nashelsky, *Electronic Devices and Circuit Theory*, chapter on DC biasing,
    bias stabilization; J. Millman, C. C. Halkias, *Integrated Electronics*, transistor biasing
    (both from memory).

    Examples
    --------
    >>> from steadypoint.circuit import arrangement
    >>> from steadypoint.derive import to_text
    >>> forms = stability_forms(arrangement("base bias").circuit)
    >>> to_text(forms[0].S_VBE.right)
    '(−β)/R_B'
    """
    if not circuit.transistors or circuit.fets:
        return ()
    point = operating_point(circuit, "exact")
    work = begin(circuit, point, board=False)
    try:
        solved = lecture(work)
    except (DerivationError, CircuitError, ZeroDivisionError):
        return ()
    found = []
    for part in circuit.transistors:
        if point.transistors[part.name].region is not Region.ACTIVE:
            continue
        form = split_form(work, solved, part)
        forms = _forms(work, part, form, factor) if form is not None and form.held else None
        if forms is not None and _agrees(circuit, forms):
            found.append(forms)
    return tuple(found)


def _forms(work: Working, part: Part, form: Closed, factor: float) -> StabilityForms | None:
    names = work.names
    beta, junction = names.beta(part), names.junction(part)
    share, _ = form.right.linear(junction)
    if not share or any(name in (beta, f"{beta}+1") for name in form.right.atoms):
        return None
    whole, held, gain = _whole(work, form, Symbol(beta)), work.write(form.held), Symbol(beta)
    S_ICO = _reduced(add((1, gain), (1, ONE)), held, whole, form)
    S_VBE = _signed(gain, share, whole, work)
    S_beta = _reduced(divide(Symbol(names.current("C", part)), gain), held, whole, form)
    index = names.index[part.name]
    lines = [
        _line(work, f"S_ICO{index}", S_ICO, ""),
        _line(work, f"S_VBE{index}", S_VBE, "S"),
        _line(work, f"S_beta{index}", S_beta, "A"),
    ]
    finite = _finite(work, part, form, factor) if names.single else None
    return StabilityForms(part.name, lines[0], lines[1], lines[2], finite)


def _whole(work: Working, form: Closed, gain: Expr) -> Expr:
    """A + β c, written R_B + (β + 1) R_E where what opposes is all shared."""
    if not form.opposing:
        return work.write(form.held)
    opposing = work.write(form.opposing)
    if not (form.held - form.free).same(form.opposing):
        return add((1, work.write(form.held)), (1, multiply(gain, opposing)))
    above = multiply(add((1, gain), (1, ONE)), opposing)
    return add((1, work.write(form.free)), (1, above)) if form.free else above


def _reduced(start: Expr, held: Expr, whole: Expr, form: Closed) -> Expr:
    """What stands without feedback, divided by one plus the return ratio."""
    return multiply(start, divide(held, whole)) if form.opposing else start


def _signed(gain: Expr, share: Poly, whole: Expr, work: Working) -> Expr:
    """Β times a coefficient over the whole, with its sign in front."""
    if share.mostly_negative:
        return negate(divide(multiply(gain, work.write(-share)), whole))
    return divide(multiply(gain, work.write(share)), whole)


def _line(work: Working, name: str, right: Expr, unit: str) -> Line:
    value = evaluate(right, work.values)
    figures = substitute(right, work.number)
    return Line(Symbol(name), right, figures, Number(value, unit, symbol=name))


def _finite(work: Working, part: Part, form: Closed, factor: float) -> Line:
    names = work.names
    beta, I_C = names.beta(part), names.current("C", part)
    first, second = work.values[beta], factor * work.values[beta]
    values = dict(work.values) | {"beta_1": first, SECOND: second, "I_C1": work.values[I_C]}
    whole = _whole(work, form, Symbol(SECOND))
    start = divide(Symbol("I_C1"), Symbol("beta_1"))
    right = _reduced(start, work.write(form.held), whole, form)
    shown = {"beta_1": Number(first, given=True), SECOND: Number(second)}
    shown["I_C1"] = Number(work.values[I_C], "A", symbol=I_C)

    def number(symbol: str) -> Expr:
        return shown[symbol] if symbol in shown else work.number(symbol)

    value = evaluate(right, values)
    left = divide(Symbol("ΔI_C"), Symbol("Δbeta"))
    return Line(left, right, substitute(right, number), Number(value, "A"))


def _agrees(circuit: Circuit, forms: StabilityForms) -> bool:
    """The forms against the differentiated equations."""
    law, name = tangent(circuit), forms.transistor
    sign = -1.0 if circuit.part(name).kind is Kind.PNP else 1.0
    pairs = ((forms.S_ICO, "I_CBO"), (forms.S_VBE, "V_BE"), (forms.S_beta, "beta"))
    for line, symbol in pairs:
        true = sign * law.by(name, symbol)[f"{name}.I_C"]
        if line.result is None or abs(line.result.value - true) > AGREE * abs(true):
            return False
    return True
