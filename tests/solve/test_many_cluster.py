"""Bulk points over a Dask cluster of this machine; needs the extra ``cluster``."""

from __future__ import annotations

import numpy as np
import pytest
from circuits import divider
from test_many import _drawn

from steadypoint.solve import solve_many


def test_a_dask_cluster_gives_the_same_bits():
    distributed = pytest.importorskip("distributed")
    alone = solve_many(divider(), _drawn, 4000, seed=3, chunk=900)
    with (
        distributed.LocalCluster(
            n_workers=1, threads_per_worker=2, processes=False, dashboard_address=None
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        spread = solve_many(
            divider(), _drawn, 4000, seed=3, chunk=900, executor=client.get_executor()
        )
    for name, column in alone.nodes.items():
        assert np.array_equal(column, spread.nodes[name])
