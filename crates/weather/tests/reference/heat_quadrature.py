"""Writes heat_quadrature.csv: degree-days of a day by numerical integration of the temperature itself.

No formula of Zalom et al. is used: the temperature runs over the day as a sine or a triangle, the rate of development
follows it, and SciPy's adaptive quadrature integrates the rate between the times at which it has a corner, to 1e-12.
Run with SciPy 1.17.1: python heat_quadrature.py > heat_quadrature.csv
"""

import math
import random

from scipy.integrate import quad
from scipy.optimize import brentq

HALF = 0.5


def temperature(shape, low, high, next_low, hour):
    """Degrees at a share of the day; it is highest at the middle."""
    start, end = (low, high) if hour < HALF else (high, next_low)
    way = (hour % HALF) / HALF if hour != 1.0 else 1.0
    if shape == "sine":
        way = (1 - math.cos(math.pi * way)) / 2
    return start + (end - start) * way


def rate(degrees, lower, upper, cutoff):
    if degrees <= lower:
        return 0.0
    if degrees <= upper or cutoff == "none":
        return degrees - lower
    return {"horizontal": upper - lower, "vertical": 0.0, "intermediate": 2 * upper - lower - degrees}[cutoff]


def corners(course, lower, upper):
    found = [0.0, HALF, 1.0]
    for begin, end in ((0.0, HALF), (HALF, 1.0)):
        inside = (begin + 1e-15, end - 1e-15)
        for threshold in (lower, upper):
            ends = [course(at) - threshold for at in inside]
            if ends[0] * ends[1] < 0:
                found.append(brentq(lambda at: course(at) - threshold, *inside, xtol=1e-15))
    return sorted(found)


def degree_days(shape, low, high, next_low, lower, upper, cutoff):
    course = lambda hour: temperature(shape, low, high, next_low, hour)
    places = corners(course, lower, upper)
    parts = [
        quad(lambda at: rate(course(at), lower, upper, cutoff), begin, end, epsabs=1e-12, epsrel=1e-12)[0]
        for begin, end in zip(places, places[1:])
    ]
    return max(sum(parts), 0.0)


def main():
    draws = random.Random(1983)
    print("shape,low,high,next_low,lower,upper,cutoff,single,double")
    for _ in range(60):
        low = round(draws.uniform(-10, 30), 1)
        high = round(low + draws.uniform(0.5, 20), 1)
        next_low = round(low + draws.uniform(-6, 6), 1)
        lower = round(draws.uniform(4, 16), 1)
        upper = round(lower + draws.uniform(8, 20), 1)
        for shape in ("sine", "triangle"):
            for cutoff in ("none", "horizontal", "intermediate", "vertical"):
                given = (lower, upper, cutoff)
                single = degree_days(shape, low, high, low, *given)
                double = degree_days(shape, low, high, min(next_low, high), *given)
                row = (low, high, min(next_low, high), *given, f"{single:.9f}", f"{double:.9f}")
                print(shape, *row, sep=",")


if __name__ == "__main__":
    main()
