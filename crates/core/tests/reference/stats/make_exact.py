"""Makes exact.csv: the least-squares solutions of NIST StRD's Wampler3 to Wampler5 and Filip in exact rational arithmetic.

Run in this folder with Python alone. Nothing is rounded before the last step, where each number is printed to 15 digits as the
certified values are. The data are from memory of NIST StRD; the solutions worked out here are, to all 15 digits, the
certified values as they are remembered (CERTIFIED below), which proves the data: no wrong digit would leave them standing.

filip.csv        the 82 pairs of Filip, typed in from memory of NIST StRD
exact.csv        coefficients, their standard errors and the residual standard deviation, in the last row of each data set
"""

from decimal import Decimal, getcontext
from fractions import Fraction

getcontext().prec = 60
# Wampler's values are the polynomial 1 + x + ... + x^5 at 0 to 20 plus these, times 1, 100 and 10000.
DELTA = [759, -2048, 2048, -2048, 2523, -2048, 2048, -2048, 1838, -2048, 2048,
         -2048, 1838, -2048, 2048, -2048, 2523, -2048, 2048, -2048, 759]
# From memory of NIST StRD: the first coefficient, its standard error, and the residual standard deviation.
CERTIFIED = {
    "Wampler3": ("1.00000000000000", "2152.32624678170", "2360.14502379268"),
    "Wampler4": ("1.00000000000000", "215232.624678170", "236014.502379268"),
    "Wampler5": ("1.00000000000000", "21523262.4678170", "23601450.2379268"),
    "Filip": ("-1467.48961422980", "298.084530995537", "0.00334801051324544"),
}


def decimal(number):
    return Decimal(number.numerator) / Decimal(number.denominator)


def least_squares(design, values):
    """Coefficients, standard errors and residual standard deviation, by the normal equations, which cost nothing here."""
    count, width = len(design), len(design[0])
    rows = [[sum(row[a] * row[b] for row in design) for b in range(width)]
            + [Fraction(int(a == b)) for b in range(width)]
            + [sum(row[a] * y for row, y in zip(design, values))] for a in range(width)]
    for column in range(width):
        pivot = rows[column][column]
        rows[column] = [cell / pivot for cell in rows[column]]
        for other in range(width):
            if other != column:
                factor = rows[other][column]
                rows[other] = [cell - factor * top for cell, top in zip(rows[other], rows[column])]
    beta = [row[-1] for row in rows]
    squares = sum((y - sum(x * b for x, b in zip(row, beta))) ** 2 for row, y in zip(design, values))
    variance = squares / (count - width)
    errors = [decimal(variance * rows[a][width + a]).sqrt() for a in range(width)]
    return [decimal(b) for b in beta], errors, decimal(variance).sqrt()


def powers(x, degree):
    return [Fraction(x) ** power for power in range(degree + 1)]


sets = {}
for name, size in [("Wampler3", 1), ("Wampler4", 100), ("Wampler5", 10000)]:
    design = [powers(x, 5) for x in range(21)]
    sets[name] = (design, [sum(row) + size * delta for row, delta in zip(design, DELTA)])
with open("filip.csv", encoding="utf-8") as pairs:
    rows = [line.strip().split(",") for line in pairs][1:]
sets["Filip"] = ([powers(x, 10) for _, x in rows], [Fraction(y) for y, _ in rows])

with open("exact.csv", "w", encoding="utf-8") as out:
    out.write("data,coefficient,value,standard_error\n")
    for name, (design, values) in sets.items():
        beta, errors, deviation = least_squares(design, values)
        found = tuple(f"{number:.15g}" if number != 1 else "1.00000000000000" for number in (beta[0], errors[0], deviation))
        assert found == CERTIFIED[name], (name, found)
        for power, (value, error) in enumerate(zip(beta, errors)):
            out.write(f"{name},{power},{value:.15g},{error:.15g}\n")
        out.write(f"{name},deviation,{deviation:.15g},\n")
