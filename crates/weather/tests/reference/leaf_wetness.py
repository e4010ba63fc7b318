"""Writes leaf_wetness.csv: whether leaves are wet by dew, hour by hour, by a program of its own.

The classification tree and its two scores are those that a page on the estimation of leaf wetness in R prints (B. Chaulagain,
"How to estimate leaf wetness duration using the CART method in R"), after Kim, K. S., et al. 2002, Plant Disease 86: 179-185.
The dew point is that of the Magnus formula with the constants of Alduchov and Eskridge 1996 (from memory), and so of another
formula than the crate's. Hours whose score lies within 0.5 of its limit, or whose depression of the dew point or humidity lies
at theirs, are left out: there the two dew points may differ.
Run: python3 leaf_wetness.py > leaf_wetness.csv
"""

import math


def dew_point(degrees, percent):
    gamma = math.log(percent / 100) + 17.625 * degrees / (243.04 + degrees)
    return 243.04 * gamma / (17.625 - gamma)


def wet_or_dry(degrees, percent, wind):
    """The class, and whether it is near a limit."""
    depression = degrees - dew_point(degrees, percent)
    first = (
        1.6064 * math.sqrt(degrees)
        + 0.0036 * degrees**2
        + 0.1531 * percent
        - 0.4599 * wind * depression
        - 0.0035 * degrees * percent
    )
    second = (
        0.7921 * math.sqrt(degrees)
        + 0.0046 * percent
        - 2.3889 * wind
        - 0.0390 * degrees * wind
        + 1.0613 * wind * depression
    )
    near = abs(depression - 3.7) < 0.1
    if depression >= 3.7:
        return "dry", near
    if wind < 2.5:
        return ("wet" if first > 14.4674 else "dry"), near or abs(first - 14.4674) < 0.5
    near = near or abs(second - 37.0) < 0.5 or abs(percent - 87.8) < 0.1
    return ("wet" if percent >= 87.8 and second > 37.0 else "dry"), near


print("celsius,percent,metres_per_second,leaves")
for degrees in (2, 8, 12, 15, 18, 21, 24, 28, 32):
    for percent in (60, 75, 82, 88, 92, 96, 99):
        for wind in (0.2, 1.0, 2.4, 2.6, 4.0, 8.0):
            leaves, near = wet_or_dry(degrees, percent, wind)
            if not near:
                print(f"{degrees},{percent},{wind},{leaves}")
