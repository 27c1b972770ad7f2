"""Networks for the tests: like streets, nearly trees, with a few loops."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mainwright.science.hydraulics.link_loss import PowerLaw, hazen_williams_law
from mainwright.science.hydraulics.network import Network, network


@dataclass(frozen=True)
class Street:
    shape: Network
    length: NDArray[np.float64]
    bore: NDArray[np.float64]
    coefficient: NDArray[np.float64]
    demand: NDArray[np.float64]
    head: NDArray[np.float64]
    level: NDArray[np.float64]

    def law(self) -> PowerLaw:
        return hazen_williams_law(length=self.length, bore=self.bore, coefficient=self.coefficient)


def street(*, nodes: int, loops: int, sources: int, seed: int) -> Street:
    rng = np.random.default_rng(seed)
    start: list[int] = []
    end: list[int] = []
    for node in range(1, nodes):
        start.append(node - 1 if rng.random() < 0.7 else int(rng.integers(max(0, node - 30), node)))
        end.append(node)
    for _ in range(loops):
        one, other = sorted(rng.choice(nodes, 2, replace=False).tolist())
        start.append(one)
        end.append(other)
    fixed = [0, *rng.choice(np.arange(1, nodes), sources - 1, replace=False).tolist()]
    links = len(start)
    demand = rng.uniform(0.0, 4e-4, nodes) * (rng.random(nodes) < 0.7)
    head = np.zeros(nodes)
    head[fixed] = rng.uniform(48.0, 55.0, len(fixed))
    bore = rng.choice([0.0514, 0.0736, 0.09, 0.1308], links) * (1.0 + (nodes > 40))
    return Street(
        network(nodes=nodes, start=start, end=end, fixed=fixed), rng.uniform(5.0, 80.0, links), bore, rng.uniform(110.0, 150.0, links), demand, head,
        rng.uniform(0.0, 10.0, nodes),
    )  # fmt: skip
