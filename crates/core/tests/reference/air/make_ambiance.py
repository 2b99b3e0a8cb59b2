"""Makes ambiance.csv: the standard atmosphere by the general-purpose PyPI package `ambiance`.

Run with ambiance 1.3.1 (pip install ambiance==1.3.1 numpy) in this folder. The package takes geometric heights.
"""

import numpy as np
from ambiance import Atmosphere

heights_m = np.array(
    [-4000, -2000, -500, 0, 100, 300, 500, 1000, 1500, 2000, 3000, 4000, 5000, 7000, 9000, 11000, 11019,
     12000, 15000, 18000, 20000, 20063, 22000, 25000, 30000, 32000, 35000, 40000, 45000, 47000],
    dtype=float,
)
air = Atmosphere(heights_m)
with open("ambiance.csv", "w", encoding="utf-8") as out:
    out.write("geometric_m,geopotential_m,temperature_k,pressure_pa,density_kg_per_m3,speed_of_sound_m_per_s,viscosity_pa_s\n")
    for row in zip(heights_m, air.H, air.temperature, air.pressure, air.density, air.speed_of_sound,
                   air.dynamic_viscosity):
        out.write(",".join(f"{value:.12g}" for value in row) + "\n")
