"""Winds of a sounding at heights above fields of three elevations, by numpy: python make.py > inland.csv

Components towards east and north are interpolated in height above sea level; above the last level numpy.interp holds.
Made with numpy's interp and no part of this program.
"""

import csv
import pathlib

import numpy

data = pathlib.Path(__file__).parents[2] / "data" / "winds" / "inland.csv"
with open(data, newline="") as file:
    rows = [row for row in csv.DictReader(file) if row["wind speed_m/s"].strip()]
height = numpy.array([float(row["geopotential height_m"]) for row in rows])
direction = numpy.radians([float(row["wind direction_degree"]) for row in rows])
speed = numpy.array([float(row["wind speed_m/s"]) for row in rows])
east, north = -speed * numpy.sin(direction), -speed * numpy.cos(direction)
print("elevation_m,height_m,east_m_per_s,north_m_per_s")
for elevation in (300.0, 345.0, 700.0):
    for above in (0.0, 10.0, 52.0, 333.0, 1500.0, 6000.0, 20000.0, 60000.0):
        at = elevation + above
        print(f"{elevation},{above},{numpy.interp(at, height, east):.12f},{numpy.interp(at, height, north):.12f}")
