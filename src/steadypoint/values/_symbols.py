"""Letter symbols: how a name in code, sheet or lesson is set and spoken."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from steadypoint.errors import QuantityError

# Greek letters by their names; LaTeX knows the same names.
GREEK: Final[dict[str, str]] = {
    "alpha": "α",
    "beta": "β",
    "gamma": "γ",
    "delta": "δ",
    "epsilon": "ε",
    "eta": "η",
    "theta": "θ",
    "kappa": "κ",
    "lambda": "λ",
    "mu": "μ",
    "pi": "π",
    "rho": "ρ",
    "sigma": "σ",
    "tau": "τ",
    "phi": "φ",
    "omega": "ω",
    "Delta": "Δ",
    "Theta": "Θ",
    "Sigma": "Σ",
    "Phi": "Φ",
    "Omega": "Ω",
}
_GREEK_NAME: Final = {sign: name for name, sign in GREEK.items()}
# Subscripts that are set otherwise than they are named, with their spoken form.
_SET_AS: Final = {"thev": "TH", "Thev": "TH"}
_SPOKEN: Final = {
    "TH": "Thévenin",
    "sat": "saturation",
    "eq": "equivalent",
    "min": "minimum",
    "max": "maximum",
    "th": "threshold",
}
# Words that stand at nodes and are no symbol with a subscript.
_WORDS: Final = frozenset({"IN", "OUT", "GND", "GROUND", "ground", "in", "out"})
_SUBSCRIPT_DIGITS: Final = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
_BASE_AND_REST: Final = re.compile(
    r"(?P<base>[A-Za-z])(?P<rest>[A-Z]{1,4}[0-9]*|[0-9]+[A-Za-z]?|(?<=[gr])[mieboc]"
    r"|(?<=[VvI])[bceq]{1,3}[0-9]*|(?<=i)[bce])"
)
_NAME: Final = re.compile(r"[A-Za-zΑ-ω][A-Za-z0-9Α-ω_,']*")


@dataclass(frozen=True, slots=True)
class SymbolParts:
    """A letter symbol as it is set: a base letter in italics and an upright subscript.

    Parameters
    ----------
    base : str
        Base letter, Greek letters as themselves; with Δ before it for a change.
    sub : str, default ""
        Subscript, its parts separated by commas (``CE,sat``).

    Examples
    --------
    >>> s = split_symbol("V_CE_sat")
    >>> s.plain, s.html, s.latex
    ('V_CE,sat', '<i>V</i><sub>CE,sat</sub>', 'V_{\\\\mathrm{CE,sat}}')
    """

    base: str
    sub: str = ""

    @property
    def plain(self) -> str:
        """Text for terminals and alternatives: ``V_CE``, ``β``."""
        return f"{self.base}_{self.sub}" if self.sub else self.base

    @property
    def unicode(self) -> str:
        """As `plain`, with lowered figures where the subscript is a number: ``Q₁``."""
        if self.sub.isascii() and self.sub.isdigit():
            return self.base + self.sub.translate(_SUBSCRIPT_DIGITS)
        return self.plain

    @property
    def html(self) -> str:
        """Inline HTML: ``<i>V</i><sub>CE</sub>``."""
        change, letter = self._change_and_letter()
        sub = f"<sub>{_escape(self.sub)}</sub>" if self.sub else ""
        # A word (the name of a node) is upright, a letter is not.
        base = f"<i>{_escape(letter)}</i>" if len(letter) == 1 else _escape(letter)
        return f"{change}{base}{sub}"

    @property
    def mathml(self) -> str:
        """Presentation MathML: ``<msub><mi>V</mi><mtext>CE</mtext></msub>``."""
        change, letter = self._change_and_letter()
        # mi with one letter is italic by itself; a word would be upright.
        core = f"<mi>{_escape(letter)}</mi>"
        if self.sub:
            tag = "mn" if self.sub.isdigit() else "mtext"
            core = f"<msub>{core}<{tag}>{_escape(self.sub)}</{tag}></msub>"
        return f'<mrow><mi mathvariant="normal">{change}</mi>{core}</mrow>' if change else core

    @property
    def latex(self) -> str:
        r"""LaTeX mathematics: ``V_{\mathrm{CE}}``, ``\beta_{1}``."""
        change, letter = self._change_and_letter()
        base = _latex_letters(letter) if len(letter) == 1 else f"\\mathrm{{{letter}}}"
        base = rf"\Delta {base}" if change else base
        if not self.sub:
            return base
        if self.sub.isdigit() or (len(self.sub) == 1 and self.sub in _GREEK_NAME):
            return f"{base}_{{{_latex_letters(self.sub)}}}"
        inner = "".join(
            f"}}{_latex_letters(c)}\\mathrm{{" if c in _GREEK_NAME else c for c in self.sub
        )
        return f"{base}_{{\\mathrm{{{inner}}}}}".replace(r"\mathrm{}", "")

    @property
    def typst(self) -> str:
        """Typst mathematics: ``V_"CE"``, ``beta_1``."""
        change, letter = self._change_and_letter()
        base = letter if len(letter) == 1 else f'"{letter}"'
        base = f"Δ {base}" if change else base
        if not self.sub:
            return base
        return f"{base}_{self.sub}" if self.sub.isdigit() else f'{base}_"{self.sub}"'

    @property
    def spoken(self) -> str:
        """How it is read aloud: ``V C E``, ``beta``, ``R Thévenin``."""
        change, letter = self._change_and_letter()
        words = ["delta"] if change else []
        words.append(_GREEK_NAME.get(letter, letter))
        for part in self.sub.split(",") if self.sub else ():
            words += _spoken_subscript(part)
        return " ".join(words)

    def __str__(self) -> str:
        return self.plain

    def _repr_mimebundle_(self, **_: object) -> dict[str, str]:
        return {
            "text/plain": self.unicode,
            "text/html": self.html,
            "text/latex": f"${self.latex}$",
        }

    def _change_and_letter(self) -> tuple[str, str]:
        if len(self.base) > 1 and self.base.startswith("Δ"):
            return "Δ", self.base[1:]
        return "", self.base


def split_symbol(name: str) -> SymbolParts:
    """Base and subscript of a name.

    Parameters
    ----------
    name : str
        Symbol as in code (``V_CE_sat``, ``beta_1``, ``R_thev``, ``Delta_V_BE``) or designator as on
        a sheet (``RB``, ``VCC``, ``Q1``).

    Returns
    -------
    SymbolParts
        A name without an underscore is split after its first letter when capitals or figures
        follow, or the letters of terminals behind V or I (``Vbe``, ``Ic``); a whole word (``OUT``,
        ``load``) stays undivided.

    Raises
    ------
    QuantityError
        If the text is no name.

    Examples
    --------
    >>> [split_symbol(n).plain for n in ("V_CE", "RB", "VCC", "Q1", "beta", "R_thev")]
    ['V_CE', 'R_B', 'V_CC', 'Q_1', 'β', 'R_TH']
    """
    if not _NAME.fullmatch(name):
        raise QuantityError(
            f"'{name[:40]}' is not a letter symbol. Write, for instance, V_CE, RB or beta."
        )
    for change in ("Delta_", "Delta", "Δ"):
        rest = name.removeprefix(change)
        if rest != name and _NAME.fullmatch(rest):
            inner = split_symbol(rest)
            return SymbolParts(f"Δ{inner.base}", inner.sub)
    base, *subs = name.split("_")
    if subs:
        inner = split_symbol(base)
        first = [inner.sub] if inner.sub else []
        return SymbolParts(inner.base, ",".join([*first, *(_set_as(s) for s in subs if s)]))
    return _undivided(name)


_DESIGNATORS: Final = ("LED", "NTC", "PTC")
"""Designators of several letters that stay together: LED1 is LED with the number 1."""


def _undivided(name: str) -> SymbolParts:
    if name in GREEK:
        return SymbolParts(GREEK[name])
    if name in _WORDS:
        return SymbolParts(name)
    for word, sign in (*GREEK.items(), *((s, s) for s in _GREEK_NAME)):
        rest = name.removeprefix(word)
        # beta1, betaF, β1: a Greek letter with a number or a capital behind it.
        if rest != name and re.fullmatch(r"[0-9]+|[A-Z][0-9]*", rest):
            return SymbolParts(sign, rest)
    for word in _DESIGNATORS:
        rest = name.removeprefix(word)
        if rest != name and re.fullmatch(r"[0-9]*", rest):
            return SymbolParts(word, rest)
    match = _BASE_AND_REST.fullmatch(name)
    return SymbolParts(match["base"], match["rest"]) if match else SymbolParts(name)


def _set_as(sub: str) -> str:
    return _SET_AS.get(sub, GREEK.get(sub, sub))


def _spoken_subscript(part: str) -> list[str]:
    if part in _SPOKEN:
        return [_SPOKEN[part]]
    if part in _GREEK_NAME:
        return [_GREEK_NAME[part]]
    if part.islower() and len(part) > 2:
        return [part]
    return re.findall(r"[0-9]+|.", part)


def _latex_letters(text: str) -> str:
    return "".join(f"\\{_GREEK_NAME[c]}" if c in _GREEK_NAME else c for c in text)


def _escape(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
