"""Writes surface.csv: a surface through counts, by reference libraries alone.

    pip install scipy==1.17.1 scikit-learn==1.9.1 && python surface.py > surface.csv

The mode of the posterior is found by scipy.optimize (trust-ncg on the logarithm of prior times likelihood, the likelihood
from scipy.stats.nbinom). Laplace's posterior there is that of a regression on the values f + g / w with noise 1 / w (g the
slope, w the curvature of the log likelihood), which scikit-learn's GaussianProcessRegressor predicts at other places.
"""
import numpy as np
import scipy
import sklearn
from scipy.optimize import minimize
from scipy.stats import nbinom
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import ConstantKernel, Matern

K, SPREAD, RANGE = 1.5, 0.9, 6.0
counts = [9, 14, 3, 1, 0, 6, 11, 2, 0, 1, 4, 5, 0, 0, 2]
places = np.array([(4.0 * (i % 5) + 0.5 * (i // 5), 5.0 * (i // 5) + 0.3 * (i % 3)) for i in range(15)])
y = np.array(counts, float)
level = np.log(y.mean())
kernel = ConstantKernel(1.0) + ConstantKernel(SPREAD**2) * Matern(length_scale=RANGE, nu=1.5)
prior = kernel(places)
inverse = np.linalg.inv(prior)


def slope(f):
    m = np.exp(f)
    return y - (y + K) * m / (K + m)


def curve(f):
    m = np.exp(f)
    return (y + K) * K * m / (K + m) ** 2


def worth(f):
    m = np.exp(f)
    return -nbinom.logpmf(y, K, K / (K + m)).sum() + (f - level) @ inverse @ (f - level) / 2


found = minimize(
    worth,
    np.full(15, level),
    jac=lambda f: -slope(f) + inverse @ (f - level),
    hess=lambda f: np.diag(curve(f)) + inverse,
    method="trust-exact",
    options={"gtol": 1e-11},
)
f, w = found.x, curve(found.x)
process = GaussianProcessRegressor(kernel, alpha=1 / w, optimizer=None).fit(places, f + slope(f) / w - level)
print(f"# scipy {scipy.__version__}, scikit-learn {sklearn.__version__}; k {K}, spread {SPREAD}, range {RANGE} m")
print("kind,x_m,y_m,count_or_mean,variance")
for (x, z), count in zip(places, counts):
    print(f"count,{float(x)!r},{float(z)!r},{count},")
for at in [(0.0, 0.0), (3.1, 2.2), (8.0, 7.5), (16.0, 10.0), (25.0, -4.0), (60.0, 60.0)]:
    mean, deviation = process.predict([at], return_std=True)
    print(f"at,{at[0]},{at[1]},{mean[0] + level:.10f},{deviation[0] ** 2:.10f}")
