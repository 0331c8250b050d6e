"""What crates/acoustics is held against: an independent computation with numpy and scipy, which shares no line with it.

    pip install numpy scipy
    python3 benches/peers/acoustics_reference.py bessel     propagation constants by scipy.special, ten frequencies
    python3 benches/peers/acoustics_reference.py flare      peaks of a flared bore, p' = -Zu, u' = -Yp by scipy.integrate
    python3 benches/peers/acoustics_reference.py bore FILE  peaks of a bore (station_mm,diameter_mm), the same way

The figures that tests/published.rs quotes were printed by it with scipy 1.17.1, numpy 2.4.6.
"""
import sys
import numpy as np
import scipy.special as sp
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar

RHO, C, ETA, GAMMA, PR = 1.2041, 343.23, 1.8134e-5, 1.4, 0.7091  # given to both sides; the gas is tested elsewhere


def zy(f, a):
    """Series impedance and shunt admittance of a metre of tube: Zwikker & Kosten."""
    w = 2 * np.pi * f
    s = np.pi * a * a
    kv = np.sqrt(-1j * w * RHO / ETA)
    F = lambda x: 2 * sp.jve(1, x) / (x * sp.jve(0, x))  # the scaled functions: their scale cancels
    z = 1j * w * RHO / s / (1 - F(kv * a))
    y = 1j * w * s / (RHO * C * C) * (1 + (GAMMA - 1) * F(kv * a * np.sqrt(PR)))
    return z, y


def radiation(f, a):
    """Silva et al. 2009, unflanged: the same fit on both sides would prove nothing of it; the flare's test ends ideally."""
    k = (2 * np.pi * f / C * a) ** 2
    r = (1 + 0.8 * k) / (1 + 1.3 * k + 0.266 * k**2 + 0.0263 * k**3)
    l = 0.6133 * (1 + 0.0599 * k) / (1 + 0.238 * k - 0.0153 * k**2 + 0.0015 * k**3)
    r = -r * np.exp(-2j * np.sqrt(k) * l)
    return RHO * C / (np.pi * a * a) * (1 + r) / (1 - r)


def impedance(f, x, r, end):
    """Integrates from the bell to the mouthpiece, piece by piece of the polygon x, r (m)."""
    p, u = (end, 1.0) if end is not None else (0.0, 1.0)
    v = np.array([p, u], dtype=complex)
    for x0, x1, r0, r1 in reversed(list(zip(x, x[1:], r, r[1:]))):
        if x1 <= x0:
            continue
        def rhs(s, v):  # s runs back from x1
            a = r1 + (r0 - r1) * s / (x1 - x0)
            z, y = zy(f, a)
            return [z * v[1], y * v[0]]
        v = solve_ivp(rhs, (0, x1 - x0), v, rtol=1e-9, atol=1e-12 * abs(v).max(), method="DOP853").y[:, -1]
    return v[0] / v[1]


def peaks(x, r, lo, hi, step, ideal):
    z = lambda f: abs(impedance(f, x, r, None if ideal else radiation(f, r[-1])))
    grid = np.arange(lo, hi, step)
    m = [z(f) for f in grid]
    out = []
    for i in range(1, len(grid) - 1):
        if m[i] > m[i - 1] and m[i] >= m[i + 1]:
            b = minimize_scalar(lambda f: -z(f), bounds=(grid[i - 1], grid[i + 1]), method="bounded", options={"xatol": 1e-5})
            out.append((b.x, -b.fun))
    return out


def main():
    what = sys.argv[1]
    if what == "bessel":
        for f in [20, 50, 100, 150, 233, 466, 700, 1000, 1500, 2000]:
            for a in [0.00185, 0.0058]:
                z, y = zy(f, a)
                g, zc = np.sqrt(z * y), np.sqrt(z / y)
                print(f"({f}.0, {a}, {g.real!r}, {g.imag!r}, {zc.real!r}, {zc.imag!r}),")
    elif what == "flare":
        # r(x) = 5.5 mm e^{(x/0.45)^2 ...}: a cylinder of 0.6 m and a flare r = 5.8 mm / (1 - 0.9 s)^0.7 over 0.5 m, ideal open end.
        x = np.concatenate([[0.0], 0.6 + 0.5 * np.linspace(0, 1, 61)])
        s = np.concatenate([[0.0], np.linspace(0, 1, 61)])
        r = 0.0058 / (1 - 0.9 * s) ** 0.7
        for f, m in peaks(x, r, 60, 1000, 12.0, True):
            print(f"({f:.4f}, {m:.6e}),")
    else:
        d = np.loadtxt(sys.argv[2], delimiter=",", skiprows=1) * 1e-3
        for f, m in peaks(d[:, 0], d[:, 1] / 2, 20, 900, 8.0, False):
            print(f"{f:.3f} {m:.5e}")


main()
