"""What one inverse gives for many combinations, held against solving each of them alone."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from random_circuits import random_circuit, random_large_circuit

from steadypoint.errors import NoSolutionError
from steadypoint.solve._exact import search
from steadypoint.solve._exact_states import flipped
from steadypoint.solve._linear import cutoff_V_CE, cutoff_voltages
from steadypoint.solve._network import network
from steadypoint.solve._screen import plausible, plausible_near
from steadypoint.solve._tableau import junctions_of, tableau


def _proved(seed):
    rng = np.random.default_rng(seed)
    circuit = random_large_circuit(rng) if seed % 2 else random_circuit(rng, most_transistors=5)
    net = network(circuit)
    tab = tableau(net, junctions_of(net))
    try:
        return tab, search(tab, (), iter(()), only=True).piece
    except NoSolutionError:
        pytest.skip("the drawn circuit has no point")


@pytest.mark.parametrize("seed", range(30))
def test_swaps_by_exchange_are_those_of_solving_each_combination(seed):
    tab, piece = _proved(seed)
    near = [flipped(tab, piece.state, w) for d in (1, 2) for w in combinations(tab.free, d)]
    assert set(plausible_near(tab, piece.state)) == set(plausible(tab, near))


@pytest.mark.parametrize("seed", range(30, 60))
def test_ends_of_load_lines_from_one_inverse_are_those_solved_alone(seed):
    tab, piece = _proved(seed)
    alone = [cutoff_V_CE(tab, piece, (), k) for k in range(len(tab.network.bipolars))]
    assert cutoff_voltages(tab, piece, ()) == pytest.approx(alone, rel=1e-7, abs=1e-7)
