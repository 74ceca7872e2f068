"""An `ArrayNet` handed to pandapipes, flows and heat together (its bidirectional mode), for timing.

It knows no emitter law and no circulator in its Jacobian, so it is given an easier problem: each emitter's heat flow
and the lift of the circulator, both as the own solver found them.
"""

import time
import warnings

import numpy as np

from epanet_arrays import link_k
from wetside.network.answer import Solution
from wetside.network.core_net import ArrayNet, numbers


class PandapipesNet:
    """A closed net with one circulator behind one boiler (links `pump` and `source` of the net become one element)."""

    def __init__(self, net: ArrayNet, answer: Solution) -> None:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            import pandapipes as pp

            self._pp = pp
            self._pipes = np.zeros(0, dtype=np.intp)
            n = numbers(net)
            p = self.net = pp.create_empty_network(fluid="water")
            apart = {int(n.pump_link[0]), int(n.source_link[0])}
            flow_node, return_node = int(n.head[n.pump_link[0]]), int(n.tail[n.source_link[0]])
            between = int(n.head[n.source_link[0]])
            names = [i for i in range(n.nodes) if i != between]
            made = pp.create_junctions(p, len(names), pn_bar=3.0, tfluid_k=340.0)
            place = np.full(n.nodes, -1)
            place[names] = made
            emitters = set(n.emitter_link.tolist())
            k = link_k(net)
            pipes = np.array([i for i in range(n.tail.size) if i not in apart and i not in emitters])
            self._pipes = pipes
            pp.create_pipes_from_parameters(
                p, place[n.tail[pipes]], place[n.head[pipes]], length_km=np.maximum(n.length[pipes], 0.01) / 1e3,
                inner_diameter_mm=1e3 * n.bore[pipes], k_mm=1e3 * n.roughness[pipes],
                loss_coefficient=k[pipes], u_w_per_m2k=n.loss[pipes] / (np.pi * n.bore[pipes]),
                text_k=n.ambient[pipes] + 273.15,
            )  # fmt: skip
            for i in emitters:
                pp.create_heat_exchanger(
                    p, place[n.tail[i]], place[n.head[i]], qext_w=float(answer.given_w[i]),
                    inner_diameter_mm=1e3 * n.bore[i], loss_coefficient=float(k[i]),
                )  # fmt: skip
            lift = float(answer.pressure_pa[flow_node] - answer.pressure_pa[return_node]) / 1e5
            pp.create_circ_pump_const_pressure(
                p, int(place[return_node]), int(place[flow_node]), p_flow_bar=3.0, plift_bar=lift,
                t_flow_k=float(n.source_c[0]) + 273.15,
            )  # fmt: skip

    def solve(self) -> float:
        begin = time.perf_counter()
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            self._pp.pipeflow(self.net, mode="bidirectional", friction_model="swamee-jain", iter=200)
        return time.perf_counter() - begin

    def difference(self, answer: Solution) -> float:
        """Largest relative difference of flows in tubes that carry at least a hundredth of the median flow."""
        his = np.asarray(self.net.res_pipe.mdot_from_kg_per_s)
        mine = answer.flow_kg_s[self._pipes]
        flows = np.abs(mine) > 0.01 * np.median(np.abs(mine))
        return float(np.max(np.abs(his - mine)[flows] / np.abs(mine)[flows]))
