"""Linear programs in the L1 norm over grid positions, solved by HiGHS through scipy."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

Term = tuple[int, float]


@dataclass
class Program:
    """Minimise weighted distances under minimum separations.

    All variables are at least zero. With whole-number separations the optimum lies on the grid,
    centring terms aside, which are rounded.
    """

    count: int = 0
    costs: dict[int, float] = field(default_factory=dict)
    rows: list[tuple[tuple[Term, ...], float]] = field(default_factory=list)

    def variable(self, cost: float = 0.0) -> int:
        """A new variable with its price per unit."""
        self.count += 1
        if cost:
            self.costs[self.count - 1] = cost
        return self.count - 1

    def add_cost(self, index: int, cost: float) -> None:
        """Raise the price per unit of a variable."""
        self.costs[index] = self.costs.get(index, 0.0) + cost

    def at_least(self, i: int, j: int | None, distance: float, price: float | None = None) -> None:
        """Demand ``x_i - x_j >= distance``; with a price the demand may be missed at that cost."""
        terms: list[Term] = [(i, -1.0)]
        if j is not None:
            terms.append((j, 1.0))
        if price is not None:
            terms.append((self.variable(price), -1.0))
        self.rows.append((tuple(terms), -distance))

    def close(self, terms: tuple[Term, ...], to: float, price: float) -> None:
        """Price the distance of a weighted sum from a number."""
        slack = self.variable(price)
        self.rows.append(((*terms, (slack, -1.0)), to))
        self.rows.append(((*((i, -a) for i, a in terms), (slack, -1.0)), -to))

    def solve(self) -> list[int] | None:
        """Grid positions of all variables, or None when the separations contradict."""
        from scipy.optimize import linprog
        from scipy.sparse import csr_matrix

        entries = [(r, i, a) for r, (terms, _) in enumerate(self.rows) for i, a in terms]
        at_row, at_column, values = zip(*entries, strict=True)
        matrix = csr_matrix(
            (values, (at_row, at_column)), shape=(len(self.rows), self.count), dtype=float
        )
        cost = np.zeros(self.count)
        for i, c in self.costs.items():
            cost[i] = c
        found = linprog(
            cost,
            A_ub=matrix,
            b_ub=np.array([b for _, b in self.rows]),
            bounds=(0, None),
            method="highs-ds",
        )
        if found.status != 0:
            return None
        return [int(np.floor(v + 0.5)) for v in found.x]
