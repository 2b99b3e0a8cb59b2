"""Makes geodesics.csv, published.csv and ellipses.csv in this folder.

    python -m venv v && v/bin/pip install geographiclib==2.1 scipy==1.17.1 && v/bin/python make.py

geodesics.csv: distance and azimuth between places by PyPI geographiclib 2.1 (written by C. F. F. Karney), short ones about pads all
over the Earth: across 180 degrees, in the south, near a pole.
published.csv: the test cases that come with that package (geographiclib.test.test_geodesic, made by its author in
higher precision): lat1 lon1 azi1 lat2 lon2 azi2 s12.
ellipses.csv: chance that a centred or shifted normal cloud lies in a circle, by scipy 1.17.1: the sum of the
squares is integrated numerically over the angle-free form below, closed forms not used.
"""

import math
import pathlib

import numpy as np
from geographiclib.geodesic import Geodesic
from geographiclib.test.test_geodesic import GeodesicTest
from scipy import integrate, stats

HERE = pathlib.Path(__file__).parent

PADS = [(52.25, 5.75), (-34.0, 18.5), (0.0, 179.9995), (-43.5, 180.0), (12.0, -179.9999), (78.22, 15.65), (-89.9, 30.0)]
OFFSETS = [(0.0005, 0.0), (0.0, 0.0007), (-0.011, 0.023), (0.07, -0.09), (-0.3, -0.2)]


def geodesics():
    with open(HERE / "geodesics.csv", "w") as out:
        out.write("lat1_deg,lon1_deg,lat2_deg,lon2_deg,distance_m,azimuth_deg\n")
        for lat, lon in PADS:
            for dlat, dlon in OFFSETS:
                lat2 = round(lat + dlat if lat + dlat > -90 else lat - dlat, 7)
                lon2 = round((lon + dlon + 540) % 360 - 180, 7)
                way = Geodesic.WGS84.Inverse(lat, lon, lat2, lon2)
                out.write(f"{lat},{lon},{lat2},{lon2},{way['s12']:.9f},{way['azi1'] % 360:.12f}\n")


def published():
    with open(HERE / "published.csv", "w") as out:
        out.write("lat1_deg,lon1_deg,azimuth_deg,lat2_deg,lon2_deg,azimuth2_deg,distance_m\n")
        for row in GeodesicTest.testcases:
            out.write(",".join(repr(value) for value in row[:7]) + "\n")


def in_circle(mean, sd, radius):
    """P((m1 + s1 Z1)^2 + (m2 + s2 Z2)^2 <= r^2), over the first coordinate."""
    def strip(x):
        half = math.sqrt(max(radius**2 - x**2, 0.0))
        across = stats.norm.cdf((half - mean[1]) / sd[1]) - stats.norm.cdf((-half - mean[1]) / sd[1])
        return stats.norm.pdf((x - mean[0]) / sd[0]) / sd[0] * across
    near = sorted({min(max(mean[0] + k * sd[0], -radius), radius) for k in (-6, -2, 0, 2, 6)})
    value, error = integrate.quad(strip, -radius, radius, points=near, limit=500, epsabs=1e-12, epsrel=1e-12)
    assert error < 1e-9
    return value


def ellipses():
    cases = [((0, 0), (100, 100), 150), ((0, 0), (120, 40), 100), ((0, 0), (120, 40), 250), ((80, -30), (60, 90), 120),
             ((300, 0), (100, 20), 250), ((-150, 200), (30, 30), 250)]
    with open(HERE / "ellipses.csv", "w") as out:
        out.write("mean_east_m,mean_north_m,sd_east_m,sd_north_m,radius_m,chance\n")
        for mean, sd, radius in cases:
            value = in_circle(mean, sd, radius)
            draws = np.random.default_rng(5).normal(mean, sd, (2_000_000, 2))
            assert abs((np.hypot(*draws.T) <= radius).mean() - value) < 0.0015
            out.write(f"{mean[0]},{mean[1]},{sd[0]},{sd[1]},{radius},{value:.9f}\n")


geodesics()
published()
ellipses()
