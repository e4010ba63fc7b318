"""Counts against their peers in Python: a surface with the ground to treat, and walks between stop lines.

Run by `make bench`. scikit-learn has no Gaussian process with negative binomial counts: the peer is its regression of the
logarithm of the counts and a half, with the same kernel, on the same counts and squares, its spread and range by the
evidence. It is the lighter work (no Newton steps). The walks are drawn all at once by NumPy, each to its greatest length.
"""

import json
import math
import os
import subprocess
import warnings

import numpy as np
import scipy
import sklearn
from compare import ROOT, best
from scipy import stats
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import ConstantKernel, Matern, WhiteKernel

WALKS = 10_000


def surface(counts, edge):
    places, logs = counts[:, :2], np.log(counts[:, 2] + 0.5)
    kernel = ConstantKernel(0.64) * Matern(length_scale=13.0, nu=1.5) + WhiteKernel(0.3)
    process = GaussianProcessRegressor(kernel=kernel, normalize_y=True).fit(places, logs)
    x, y = np.meshgrid(np.arange(edge / 2, 30, edge), np.arange(edge / 2, 25, edge))
    mean, spread = process.predict(np.column_stack([x.ravel(), y.ravel()]), return_std=True)
    chance = stats.norm.sf((math.log(4.0) - mean) / spread)
    order = np.argsort(-chance)
    stays = chance.sum() - np.cumsum(chance[order])
    return order[: int((stays > 0.1 * chance.sum()).sum()) + 1]


def walks(draws):
    m0, m1, k, least, most = 2.0, 4.0, 1.0, 5, 100
    per_pest = math.log(m1 * (m0 + k) / (m0 * (m1 + k)))
    slope = k * math.log((m1 + k) / (m0 + k)) / per_pest
    reach = math.log(0.9 / 0.1) / per_pest
    totals = np.cumsum(draws.negative_binomial(k, k / (k + 4.0), (WALKS, most)), axis=1)
    off = totals - slope * np.arange(1, most + 1)
    off[:, : least - 1] = 0.0
    ended = np.abs(off) >= reach
    at = np.where(ended.any(axis=1), ended.argmax(axis=1), most - 1)
    return (off[np.arange(WALKS), at] >= 0).mean()


def main():
    warnings.filterwarnings("ignore")
    command = os.path.join(ROOT, "target", "release", "examples", "count_speed")
    own = json.loads(subprocess.run([command], check=True, capture_output=True, text=True).stdout)
    counts = np.array(own["counts"])
    edge = math.sqrt(30 * 25 / 1000)
    peer_surface = best(lambda: surface(counts, edge))
    draws = np.random.default_rng(7)
    peer_walks = best(lambda: walks(draws))
    share = np.mean([walks(draws) for _ in range(10)])
    for name in ("walks_treat", "reckoned_treat"):
        if abs(own[name] - share) > 0.01:
            raise SystemExit(f"the two do not do the same work: {own[name]} and {share}")
    print("\nNumPy %s, SciPy %s, scikit-learn %s\n" % (np.__version__, scipy.__version__, sklearn.__version__))
    print("| what | here | peer | |\n| --- | --- | --- | --- |")
    rows = [
        ("surface of 60 counts, 1,000 squares, ground to treat (goal: 50 ms)", own["surface_s"], peer_surface),
        ("10,000 walks between stop lines (goal: 1 s)", own["walks_s"], peer_walks),
        ("the same reckoned without lot", own["reckoned_s"], peer_walks),
    ]
    for what, here, peer in rows:
        print("| %s | %.2f ms | %.2f ms | %.2f × |" % (what, here * 1e3, peer * 1e3, here / peer))
    treated = len(surface(counts, edge)) / own["squares"]
    print("\nTreated share of the turf: %.0f %% here, %.0f %% by the peer." % (own["treated_share"] * 100, treated * 100))


if __name__ == "__main__":
    main()
