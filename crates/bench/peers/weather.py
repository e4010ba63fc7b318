"""Sums of heat and evapotranspiration against NumPy: 1,000 stations over 30 years, the same readings by the same rule.

Run by `make bench`. The sums of both must agree before any time is printed. The peer takes each station as one vector of
days; it looks for no gaps and keeps no day by day record, which the program here does.
"""

import datetime
import json
import os
import subprocess

import numpy as np
from compare import ROOT, best

STATIONS, FIRST, YEARS = 1000, 1991, 30
LOWER, UPPER = 10.0, 30.0


def days():
    first, last = datetime.date(FIRST, 1, 1), datetime.date(FIRST + YEARS - 1, 12, 31)
    return np.array([(first + datetime.timedelta(days=at)).timetuple().tm_yday for at in range((last - first).days + 1)])


def drawn(number):
    return ((number * np.uint64(2654435761)) % np.uint64(1 << 32)).astype(float) / (2**32 - 1)


def latitude(station):
    return 25.0 + 24.0 * station / STATIONS


def readings(station, of_year):
    number = np.uint64(station * 20000) + np.arange(len(of_year), dtype=np.uint64)
    season = np.sin(2 * np.pi * (of_year - 110.0) / 365.25)
    middle = 32.0 - 0.5 * latitude(station) + 12.0 * season + 10.0 * (drawn(np.uint64(2) * number) - 0.5)
    reach = 4.0 + 14.0 * drawn(np.uint64(2) * number + np.uint64(1))
    return middle - reach / 2, middle + reach / 2


def above(low, high, threshold):
    """Mean degrees of a sine above a threshold (Baskerville and Emin 1969)."""
    middle, reach = (low + high) / 2, (high - low) / 2
    angle = np.arcsin(np.clip((threshold - middle) / reach, -1.0, 1.0))
    part = ((middle - threshold) * (np.pi / 2 - angle) + reach * np.cos(angle)) / np.pi
    return np.where(low >= threshold, middle - threshold, np.where(high <= threshold, 0.0, part))


def sine(series):
    return sum((above(low, high, LOWER) - above(low, high, UPPER)).sum() for low, high in series)


def average(series):
    clipped = lambda degrees: np.clip(degrees, LOWER, UPPER) - LOWER
    return sum(((clipped(low) + clipped(high)) / 2).sum() for low, high in series)


def saturation(degrees):
    return 0.6108 * np.exp(17.27 * degrees / (degrees + 237.3))


def water(series, of_year):
    """FAO-56, equation 6, light by equation 50."""
    turn = 2 * np.pi * of_year / 365
    near, declination = 1 + 0.033 * np.cos(turn), 0.409 * np.sin(turn - 1.39)
    pressure = 101.3 * ((293 - 0.0065 * 300) / 293) ** 5.26
    gamma, wind, total = 0.665e-3 * pressure, 2.0, 0.0
    for station, (low, high) in enumerate(series):
        north = np.radians(latitude(station))
        sunset = np.arccos(np.clip(-np.tan(north) * np.tan(declination), -1, 1))
        arc = sunset * np.sin(north) * np.sin(declination) + np.cos(north) * np.cos(declination) * np.sin(sunset)
        outside = 24 * 60 / np.pi * 0.0820 * near * arc
        clear = (0.75 + 2e-5 * 300) * outside
        solar = np.minimum(0.16 * np.sqrt(high - low) * outside, clear)
        middle = (low + high) / 2
        full = (saturation(low) + saturation(high)) / 2
        vapour = 0.6 * full
        power = ((high + 273.16) ** 4 + (low + 273.16) ** 4) / 2
        sent = 4.903e-9 * power * (0.34 - 0.14 * np.sqrt(vapour)) * (1.35 * solar / clear - 0.35)
        slope = 4098 * saturation(middle) / (middle + 237.3) ** 2
        by_light = 0.408 * slope * (0.77 * solar - sent)
        by_wind = gamma * 900 / (middle + 273) * wind * (full - vapour)
        total += ((by_light + by_wind) / (slope + gamma * (1 + 0.34 * wind))).sum()
    return total


def main():
    command = os.path.join(ROOT, "target", "release", "examples", "weather_speed")
    own = json.loads(subprocess.run([command], check=True, capture_output=True, text=True).stdout)
    of_year = days()
    series = [readings(station, of_year) for station in range(STATIONS)]
    works = [
        ("degree-days by single sine, horizontal cutoff", "sine", lambda: sine(series)),
        ("degree-days by the average of clipped extremes", "average", lambda: average(series)),
        ("reference evapotranspiration (FAO-56 Penman-Monteith)", "water", lambda: water(series, of_year)),
    ]
    if own["days"] != len(of_year):
        raise SystemExit(f"the two do not do the same work: {own['days']} and {len(of_year)} days")
    print("\nNumPy %s; %d stations, %d days each\n" % (np.__version__, STATIONS, len(of_year)))
    print("| what | here | peer | |\n| --- | --- | --- | --- |")
    for what, name, work in works:
        result = work()
        if abs(own[name] / result - 1) > 1e-9:
            raise SystemExit(f"the two do not do the same work: {name} is {own[name]} and {result}")
        peer = best(work)
        print("| %s | %.0f ms | %.0f ms | %.2f × |" % (what, own[name + "_s"] * 1e3, peer * 1e3, own[name + "_s"] / peer))


if __name__ == "__main__":
    main()
