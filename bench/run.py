#!/usr/bin/env python3
"""Speed, each task beside its peer in the same run: python3 bench/run.py [--rows N]

Tasks are named by what a user does. The machine is noisy, so every task and its peer alternate, and the ratio of
their medians is what counts. Sets up its own peers (pandas, scipy) in bench/.venv from bench/requirements.txt, and
builds the program. Nothing here is a test: no time fails a build.
"""

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent
PROGRAM = ROOT / "target" / "release" / "silkfall"
PYTHON = HERE / ".venv" / "bin" / "python"

# A day at 100 a second: mostly a logger lying about, with a drop from a 12 m tower every half hour (invented).
# Time, height in steps of 0.1 m and temperature, or time and height in whole feet: as small loggers write them.
MAKE = """
import sys
import numpy as np
path, rows, feet = sys.argv[1], int(sys.argv[2]), sys.argv[3] == "feet"
rng = np.random.default_rng(20260503)
step, chunk = 0.3048 if feet else 0.1, 360_000
with open(path, "w") as file:
    file.write("time (s),height (ft)\\n" if feet else "time (s),height (m),temperature (C)\\n")
    for first in range(0, rows, chunk):
        n = np.arange(first, min(first + chunk, rows))
        phase = (n / 100.0) % 1800.0
        height = np.interp(phase, [0, 600, 640, 660, 663.2, 1800], [0, 0, 12, 12, 0, 0])
        steps = np.round((height + rng.normal(0, 0.06, n.size)) / step)
        if feet:
            cells = zip((n / 100.0).tolist(), steps.astype(int).tolist())
            file.write("\\n".join(f"{t:.2f},{h}" for t, h in cells) + "\\n")
            continue
        cells = zip((n / 100.0).tolist(), (steps * step).tolist(), (19.0 + 0.5 * np.sin(n / 3e5)).tolist())
        file.write("\\n".join(f"{t:.3f},{h:.1f},{c:.2f}" for t, h, c in cells) + "\\n")
"""


def timed(command, **options):
    """Wall seconds of one run; its output is thrown away, its failure is not."""
    begin = time.perf_counter()
    done = subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, **options)
    seconds = time.perf_counter() - begin
    if done.returncode not in (0, 1):
        sys.exit(f"{command} ended with {done.returncode}: {done.stderr.decode()[-500:]}")
    return seconds


def alternate(ours, peer, runs):
    """Medians of both, run by turns."""
    pairs = [(timed(ours), timed(peer)) for _ in range(runs)]
    return tuple(statistics.median(column) for column in zip(*pairs))


def peak_mib(command):
    """Largest resident memory of one run, MiB, asked of a process that runs nothing else."""
    ask = (
        "import resource,subprocess,sys;"
        "subprocess.run(sys.argv[1:],stdout=subprocess.DEVNULL);"
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)"
    )
    done = subprocess.run([sys.executable, "-c", ask, *command], capture_output=True, text=True, check=True)
    return int(done.stdout) / 1024


def report(task, ours, peer, peer_name, allowed=None):
    ratio = ours / peer
    bound = f", at most {allowed:g} wanted" if allowed else ""
    print(f"{task}: {ours:.3f} s; {peer_name}: {peer:.3f} s; ratio {ratio:.3f}{bound}", flush=True)
    return ratio


def set_up():
    if not PYTHON.exists():
        subprocess.run([sys.executable, "-m", "venv", HERE / ".venv"], check=True)
        subprocess.run([PYTHON, "-m", "pip", "install", "--quiet", "-r", HERE / "requirements.txt"], check=True)
    subprocess.run(["cargo", "build", "--release", "--quiet", "--locked"], cwd=ROOT, check=True)


def landings():
    """100,000 landings: the quick scheme, a general integrator of order 5 at 1e-6, classical Runge-Kutta in numpy.

    Ratios are of seconds of processor: ours run on all cores, numpy on one, and others use the machine too.
    """
    built = {**os.environ, "CARGO_TARGET_DIR": str(ROOT / "target" / "bench")}
    subprocess.run(
        ["cargo", "build", "--release", "--quiet", "--locked"], cwd=HERE / "landing", env=built, check=True
    )
    program = ROOT / "target" / "bench" / "release" / "bench-landing"
    with tempfile.TemporaryDirectory() as folder:
        ours = subprocess.run([program, folder], capture_output=True, text=True, check=True).stdout
        peer = subprocess.run(
            [PYTHON, HERE / "landing" / "peer.py", folder], capture_output=True, text=True, check=True
        ).stdout
    rows = {name: [float(n) for n in rest] for name, *rest in (line.split() for line in ours.splitlines())}
    step_s, *rows["numpy"] = [float(n) for n in peer.split()]
    quick_s = rows["quick"][1]
    for name, (clock_s, processor_s, most_m, worst_m) in rows.items():
        print(
            f"100,000 landings, {name}: {clock_s:.2f} s by the clock, {processor_s:.2f} s of processor; "
            f"99.9 % within {most_m:.3f} m, all within {worst_m:.3f} m",
            flush=True,
        )
    report("landings", quick_s, rows["general"][1], "order 5 at 1e-6", 1 / 3)
    report("landings", quick_s, rows["numpy"][1], f"numpy, steps of {step_s:g} s", 1 / 20)


def main():
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("--rows", type=int, default=8_640_000)
    arguments.add_argument("--runs", type=int, default=5)
    arguments.add_argument("--tenfold", action="store_true", help="also ten times the rows (needs 2 GB of disk)")
    arguments.add_argument("--only", choices=["files", "landings"], help="one part alone")
    chosen = arguments.parse_args()
    set_up()
    if chosen.only != "landings":
        files(chosen)
    if chosen.only != "files":
        landings()


def files(chosen):
    """Reading, reducing and assessing."""
    with tempfile.TemporaryDirectory() as folder:

        def reduce_of(name, rows, kind):
            path = os.path.join(folder, name)
            subprocess.run([PYTHON, "-c", MAKE, path, str(rows), kind], check=True)
            return path, [PROGRAM, "reduce", path, "--json"]

        bare = [PYTHON, "-c", "import pandas"]
        for kind, columns in [("metres", "time, height, temperature"), ("feet", "time and height in whole feet")]:
            day, reduce = reduce_of(f"{kind}.csv", chosen.rows, kind)
            read_csv = [PYTHON, "-c", f"import time,pandas;pandas.read_csv({day!r})"]
            # What pandas takes to read alone: its own start is taken off.
            rounds = [(timed(reduce), timed(read_csv) - timed(bare)) for _ in range(chosen.runs)]
            ours, peer = (statistics.median(column) for column in zip(*rounds))
            report(f"read and reduce {chosen.rows:,} rows: {columns}", ours, peer, "pandas.read_csv alone", 1.0)
            print("  each: " + ", ".join(f"{a:.2f}/{b:.2f}" for a, b in rounds), flush=True)
            print(f"  memory at most {peak_mib(reduce):.0f} MiB", flush=True)
        if chosen.tenfold:
            one = [PROGRAM, "reduce", os.path.join(folder, "metres.csv"), "--json"]
            _, ten = reduce_of("ten.csv", 10 * chosen.rows, "metres")
            rounds = [(timed(ten), timed(one)) for _ in range(chosen.runs)]
            ours, peer = (statistics.median(column) for column in zip(*rounds))
            report("ten times the rows", ours, peer, "one time", 11.0)
            print("  each: " + ", ".join(f"{a:.2f}/{b:.2f}" for a, b in rounds), flush=True)
            print(f"  memory at most {peak_mib(ten):.0f} MiB", flush=True)
        demo = os.path.join(folder, "demo")
        subprocess.run([PROGRAM, "demo", demo], check=True, stdout=subprocess.DEVNULL)
        assess = [PROGRAM, "assess", demo, "--json"]
        ours, peer = alternate(assess, [PYTHON, "-c", "import scipy.stats"], 4 * chosen.runs)
        report("assess the demo, cold", ours, peer, "python importing scipy.stats", None)
        ours, peer = alternate(assess, [PYTHON, "-c", "import scipy"], 4 * chosen.runs)
        report("assess the demo, cold", ours, peer, "python importing scipy", 0.12)


if __name__ == "__main__":
    main()
