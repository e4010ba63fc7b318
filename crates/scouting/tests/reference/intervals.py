"""Intervals of means and of k by quadrature with NumPy and SciPy; writes intervals.csv.

The same model as the crate's, reckoned another way: the mean by summing the posterior over a fine grid of its logarithm
and not by beta distributions, counts by scipy.stats.nbinom, and k by scipy.optimize. Run with NumPy and SciPy 1.17.1.
"""

import os

import numpy as np
from scipy import optimize, stats
from scipy.special import betaln, gammaln

LOTS = {
    "turf": [2, 1, 3, 0, 2, 4, 1, 2, 3, 5, 2, 1, 0, 3, 4, 2, 1, 2],
    "clumped": [0, 9, 1, 14],
    "equal": [4, 4, 4, 4],
    "few": [0, 0, 1, 0, 0, 2, 0, 0],
    "fit": [0, 0, 3, 1, 0, 12, 0, 2, 5, 0, 0, 1, 7, 0, 0, 22, 1, 0, 4, 0],
}
LN_K = np.arange(-10, 25) / 4.0
PRIOR = 0.9 * stats.norm.pdf(LN_K, np.log(2 / 3), 1.2) * 0.25
PRIOR[-1] += 0.1


def mean_interval(counts):
    counts = np.array(counts)
    ln_m = np.linspace(np.log(counts.mean()) - 12, np.log(counts.mean()) + 60, 144_001)
    m = np.exp(ln_m)
    posterior = np.zeros_like(m)
    for ln_k, prior in zip(LN_K, PRIOR):
        k = np.exp(ln_k)
        log = sum(stats.nbinom.logpmf(count, k, k / (k + m)) for count in counts)
        # Jeffreys' weight of the mean on the logarithmic scale, scaled so that k has the weight of flat logarithms.
        jeffreys = np.sqrt(m / (1 + m / k))
        inside = np.exp(log) * jeffreys
        inside /= inside.sum()
        posterior += prior * np.exp(log).sum() * inside
    below = (np.cumsum(posterior) - posterior / 2) / posterior.sum()
    return np.exp(np.interp([0.025, 0.975], below, ln_m))


def nothing_found(n):
    k = np.exp(LN_K)
    weight = PRIOR / PRIOR.sum()
    return optimize.brentq(lambda m: (weight * (k / (k + m)) ** (n * k)).sum() - 0.025, 1e-6, 1e3)


def k_interval(counts):
    counts = np.array(counts)
    n, total = len(counts), counts.sum()

    def height(ln_k):
        k = np.exp(ln_k)
        return gammaln(counts + k).sum() - n * gammaln(k) + betaln(total, n * k)

    best = optimize.minimize_scalar(lambda x: -height(x), bounds=(-5, 5), method="bounded", options={"xatol": 1e-12})
    level = -best.fun - stats.t.ppf(0.975, n - 1) ** 2 / 2
    return [np.exp(optimize.brentq(lambda x: height(x) - level, *ends)) for ends in [(-7.5, best.x), (best.x, 7.5)]]


def main():
    path = os.path.join(os.path.dirname(os.path.abspath(__file__)), "intervals.csv")
    with open(path, "w", encoding="utf-8") as file:
        file.write("# By intervals.py: 95 % intervals.\nof,low,high,counts\n")
        for name, counts in LOTS.items():
            low, high = mean_interval(counts)
            file.write(f"mean,{low:.7f},{high:.7f},{' '.join(map(str, counts))}\n")
        file.write(f"mean,0,{nothing_found(5):.7f},0 0 0 0 0\n")
        low, high = k_interval(LOTS["fit"])
        file.write(f"k,{low:.7f},{high:.7f},{' '.join(map(str, LOTS['fit']))}\n")


if __name__ == "__main__":
    main()
