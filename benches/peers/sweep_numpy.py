"""The sweep of crates/acoustics beside the same sums in vectorised numpy: a trumpet, 2,000 frequencies, as many pieces, the same
loss factors. Arrays over the frequencies, a Python loop over the pieces.

    python3 benches/peers/sweep_numpy.py PATH_TO_BENCH_BINARY
    (cargo bench -p acoustics --no-run prints the path; without it numpy alone is timed)

Bessel: scipy.special.jve for every piece of another radius (pieces of one radius share theirs, as in the crate). Fast: the same
four terms of the series. Best of several runs.
"""
import os, re, subprocess, sys, time
from pathlib import Path
import numpy as np
from scipy.special import jve

RHO, C, ETA, GAMMA, PR = 1.20413, 343.236, 1.8134e-5, 1.4, 0.7085
hz = np.arange(1.0, 2001.0)
omega = 2 * np.pi * hz


def pieces(path, wanted=500, ratio=1.06):
    d = np.loadtxt(path, delimiter=",", skiprows=1) * 1e-3
    def cut(kl):
        out = []
        for (x0, d0), (x1, d1) in zip(d, d[1:]):
            if x1 <= x0:
                continue
            n = max(1, int(np.ceil(abs(np.log(d1 / d0)) / np.log(ratio))))
            r = d0 / 2 * (d1 / d0) ** (np.arange(n + 1) / n)
            x = x0 + (r - d0 / 2) / (d1 / 2 - d0 / 2) * (x1 - x0) if n > 1 else np.array([x0, x1])
            r[-1] = d1 / 2
            for a, b, ra, rb in zip(x, x[1:], r, r[1:]):
                m = max(1, int(np.ceil((b - a) * 2 * np.pi * 2000 / C / kl)))
                t = np.linspace(0, 1, m + 1)
                out += [((b - a) / m, ra + (rb - ra) * p, ra + (rb - ra) * q) for p, q in zip(t, t[1:])]
        return out
    for i in range(4000):
        found = cut(0.25 - i * 5e-5)
        if len(found) >= wanted:
            return found


def end(a):
    k = (omega / C * a) ** 2
    r = (1 + 0.8 * k) / (1 + 1.3 * k + 0.266 * k**2 + 0.0263 * k**3)
    l = 0.6133 * (1 + 0.0599 * k) / (1 + 0.238 * k - 0.0153 * k**2 + 0.0015 * k**3)
    r = -r * np.exp(-2j * np.sqrt(k) * l)
    return RHO * C / (np.pi * a * a) * (1 + r) / (1 - r)


def exact(a):
    kv = np.sqrt(-1j * omega * RHO / ETA) * a
    f = lambda x: 2 * jve(1, x) / (x * jve(0, x))
    return 1 / (1 - f(kv)), 1 + (GAMMA - 1) * f(kv * np.sqrt(PR))


def fast(a):
    y = np.exp(1j * np.pi / 4) / (np.sqrt(omega * RHO / ETA) * a)
    f1, f2, f3 = -2j, 1.0, -0.25j  # F = f1 y + f2 y^2 + f3 y^3
    g = 1 + y * (f1 + y * (f2 + f1 * f1 + y * (f3 + 2 * f1 * f2 + f1**3)))
    t = y / np.sqrt(PR)
    return g, 1 + (GAMMA - 1) * t * (f1 + t * (f2 + t * f3))


def sweep(segments, walls):
    p, u = end(segments[-1][2]), np.ones_like(hz, dtype=complex)
    last = None
    for l, r1, r2 in reversed(segments):
        r = (r1 + r2) / 2
        if r != last:
            g, h = walls(r)
            last = r
        a = 1j * omega * RHO * l / (np.pi * r1 * r2) * g
        b = 1j * omega * l * np.pi * (r1 * r1 + r1 * r2 + r2 * r2) / 3 / (RHO * C * C)
        lean = b * (r2 - r1) / (3 * r)
        b = b * h
        w = a * b
        z = a * (1 + w * (1 / 6 + w * (1 / 120 + w / 5040)))
        y = b * (0.5 + w * (-1 / 24 + w * (1 / 240 - 17 / 40320 * w)))
        u = u + (y + lean) * p
        p = p + z * u
        u = u + (y - lean) * p
    return p / u


def timed(f, runs):
    best = 1e9
    for _ in range(runs):
        t = time.perf_counter(); f(); best = min(best, time.perf_counter() - t)
    return best * 1e3


def main():
    here = Path(__file__).resolve().parents[2]
    segments = pieces(here / "crates/acoustics/tests/data/trumpet.csv")
    z = sweep(segments, exact)
    top = [i for i in range(1, len(z) - 1) if abs(z[i]) > abs(z[i - 1]) and abs(z[i]) >= abs(z[i + 1])]
    print(f"numpy {np.__version__}, {len(segments)} pieces; peaks near {[int(hz[i]) for i in top[:7]]} Hz; load {open('/proc/loadavg').read().split()[:2]}")
    numpy = {"fast": timed(lambda: sweep(segments, fast), 7), "Bessel": timed(lambda: sweep(segments, exact), 3)}
    ours = {}
    if len(sys.argv) > 1:
        text = subprocess.run([sys.argv[1], "--bench"], capture_output=True, text=True, env={**os.environ, "BEST_ONLY": "1"}).stdout
        for name, cores, value in re.findall(r"best of \d+, (fast|Bessel), (all cores|one core): ([\d.]+) ms", text):
            ours[name, cores == "one core"] = float(value)
    for name, ms in numpy.items():
        line = f"{name:7} numpy {ms:8.2f} ms"
        for one in (False, True):
            if (name, one) in ours:
                line += f"; ours on {'one core' if one else 'all cores'} {ours[name, one]:7.3f} ms ({ms / ours[name, one]:.0f} times)"
        print(line)


main()
