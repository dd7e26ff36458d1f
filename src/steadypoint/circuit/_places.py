"""Places of a connection: rails, ground, free nodes and terminals."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from steadypoint.circuit._grammar import Fault, Word
from steadypoint.circuit._listed import listed
from steadypoint.circuit._model import GROUND, Kind
from steadypoint.circuit._nodes import Joints
from steadypoint.circuit._trade import TRANSISTOR_TERMINALS, is_name
from steadypoint.circuit._words import Draft, check_name
from steadypoint.errors import did_you_mean

GROUND_WORDS = ("ground", "gnd")


class Places:
    """Resolves the words of a place to a point, and names the nodes at the end.

    Parameters
    ----------
    drafts : mapping of str to Draft
        All parts of the sheet.
    joints : Joints
        Receives every point.

    Attributes
    ----------
    line : int
        Line that is being read.
    mentions : dict
        First mention of each point: line and words.
    """

    def __init__(self, drafts: Mapping[str, Draft], joints: Joints) -> None:
        self._drafts = drafts
        self._joints = joints
        self._free: dict[str, None] = {}
        self.line = 0
        self.mentions: dict[str, tuple[int, Sequence[Word]]] = {}
        joints.add(GROUND)
        for draft in drafts.values():
            for point in _points(draft):
                joints.add(point)

    def point(self, words: Sequence[Word], said: str) -> str:
        """Point that a place names; ``said`` is the word before it.

        Raises
        ------
        Fault
            If the words name no place.
        """
        point = self._resolve(_undotted(words), words, said)
        self.mentions.setdefault(point, (self.line, words))
        self._joints.add(point)
        return point

    def join(self, one: str, other: str, words: Sequence[Word]) -> None:
        """Make two points one node, unless two supplies would meet in it."""
        if self._joints.find(one) == self._joints.find(other):
            if one == other:
                raise Fault("Both places are the same, so nothing is joined. Leave it out.", words)
            return
        self._joints.join(one, other)
        fixed = [GROUND, *(n for n, d in self._drafts.items() if d.kind is Kind.SUPPLY)]
        met: dict[str, str] = {}
        for name in fixed:
            root = self._joints.find(name)
            if root in met:
                raise Fault(
                    f"This joins {_called(met[root])} and {_called(name)}, which short-circuits "
                    "a supply. Put a part between them.",
                    words,
                )
            met[root] = name

    def ends(self, draft: Draft) -> tuple[str, str]:
        """Points of a chained part in the direction of the chain."""
        first, second = _points(draft)
        return (second, first) if draft.reversed else (first, second)

    def node_names(self) -> dict[str, str]:
        """Name of each node by the representative of its group."""
        drafts = self._drafts.values()
        rails = [d.name.text for d in drafts if d.kind is Kind.SUPPLY]
        transistors = [p for d in drafts if d.kind.is_transistor for p in _points(d)]
        others = [
            p
            for d in drafts
            if not d.kind.is_transistor and d.kind is not Kind.SUPPLY
            for p in _points(d)
        ]
        ranked: Iterable[str] = (GROUND, *rails, *self._free, *transistors, *others)
        return dict(self._joints.names(ranked))

    def _resolve(self, words: Sequence[Word], written: Sequence[Word], said: str) -> str:
        first = words[0]
        if len(words) == 1:
            return self._single(first, written)
        draft = self._drafts.get(first.text)
        if draft is not None and draft.kind is not Kind.SUPPLY:
            if len(words) > 2:
                raise self._too_many(words[2:], said)
            return f"{first.text}.{_terminal(draft, words[1], written)}"
        if draft is not None or first.lower in GROUND_WORDS:
            raise self._too_many(words[1:], said)
        raise self._stranger(words, written, said)

    def _single(self, word: Word, written: Sequence[Word]) -> str:
        if word.lower in GROUND_WORDS:
            return GROUND
        draft = self._drafts.get(word.text)
        if draft is None:
            if not is_name(word.text):
                _refuse_node(word)
            self._free[word.text] = None
            return word.text
        if draft.kind is Kind.SUPPLY:
            return word.text
        ends = [f"'{word.text} {terminal}'" for terminal in draft.kind.terminals]
        raise Fault(
            f"{word.text} is {draft.kind.spoken}; say which of its terminals: {listed(ends)}.",
            written,
        )

    def _too_many(self, extra: Sequence[Word], said: str) -> Fault:
        """Words that follow a complete place."""
        word = extra[0]
        if word.text == "=":
            return Fault("'=' cannot stand in a place. Write a new line.", [word])
        if said == "from":
            near = did_you_mean(word.text, ["through", "to"])
            if near:
                return Fault(f"'{word.text}' is not known here.{near}", [word])
            return Fault(f"Write 'through' before '{word.text}', if it is a part.", extra)
        return Fault(
            f"'{word.text}' cannot stand after the last place. Write a new line for it.", extra
        )

    def _stranger(self, words: Sequence[Word], written: Sequence[Word], said: str) -> Fault:
        """A first word that is no part, with more words behind it."""
        first, second = words[0], words[1]
        terminals = {t for d in self._drafts.values() for t in d.kind.terminals}
        terminals |= {*TRANSISTOR_TERMINALS, "anode", "cathode", "start", "end"}
        if second.lower in terminals or did_you_mean(second.text, terminals):
            known = [n for n, d in self._drafts.items() if d.kind is not Kind.SUPPLY]
            hint = did_you_mean(first.text, known)
            if not hint and second.lower in TRANSISTOR_TERMINALS:
                kind = "npn" if second.lower in Kind.NPN.terminals else "n-channel JFET"
                hint = f" Declare it in a line of its own: {first.text} = {kind}."
            return Fault(f"The sheet has no part '{first.text}'.{hint}", written[:1])
        check_name(first, "a node")
        return self._too_many(words[1:], said)


def _undotted(words: Sequence[Word]) -> Sequence[Word]:
    """``Q1.collector`` as two words."""
    word = words[0]
    name, dot, terminal = word.text.partition(".")
    if not (dot and name and terminal):
        return words
    split = word.column + len(name)
    return (Word(name, word.column, split), Word(terminal, split + 1, word.end), *words[1:])


def _terminal(draft: Draft, word: Word, written: Sequence[Word]) -> str:
    if word.lower in draft.kind.terminals:
        return word.lower
    name, known = draft.name.text, draft.kind.terminals
    if word.lower in TRANSISTOR_TERMINALS and draft.kind.is_transistor:
        raise Fault(
            f"{name} is {draft.kind.spoken} and has no {word.lower}. "
            f"Its terminals are {listed(known, 'and')}.",
            [word],
        )
    short = [t for t in known if t.startswith(word.lower)]
    near = f" Did you mean '{short[0]}'?" if len(short) == 1 else did_you_mean(word.text, known)
    near = near or f" Its terminals are {listed(known, 'and')}."
    raise Fault(f"{name} has no '{word.text}'.{near}", [word])


def _refuse_node(word: Word) -> None:
    if word.text == "0":
        raise Fault("The reference node is called 'ground'.", [word])
    if word.lower in ("from", "through", "to", "title", "temperature", "place"):
        raise Fault(f"'{word.text}' is a word of the sheet and cannot name a node.", [word])
    raise Fault(
        f"'{word.text}' cannot name a node. Use a letter, then letters, digits or '_'.", [word]
    )


def _points(draft: Draft) -> list[str]:
    name = draft.name.text
    if draft.kind is Kind.SUPPLY:
        return [name]
    return [f"{name}.{terminal}" for terminal in draft.kind.terminals]


def _called(name: str) -> str:
    return name if name != GROUND else "ground"
