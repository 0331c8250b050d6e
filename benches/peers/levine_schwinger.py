"""Levine & Schwinger (1948), reflection of a plane wave at the end of an unflanged tube: the table of
crates/acoustics/src/radiation_table.rs. Run: python3 benches/peers/levine_schwinger.py"""
import numpy as np, scipy.special as sp
from scipy.integrate import quad

def reflection(ka):
    """|R| and end correction over radius; their equations (VI.1) to (VI.6)."""
    if ka == 0: return 1.0, None
    f = lambda t: np.arctan2(sp.j1(ka*np.sin(t)), -sp.y1(ka*np.sin(t))) / (ka*np.sin(t))
    size = np.exp(-2*ka/np.pi*quad(f, 0, np.pi/2, epsabs=1e-13, limit=400)[0])
    x = lambda t: ka*np.sin(t)
    h = lambda t: np.log(np.pi*sp.j1(x(t))*np.hypot(sp.j1(x(t)), sp.y1(x(t))))/x(t)
    a = quad(h, 0, np.pi/2, epsabs=1e-12, limit=400)[0]/np.pi
    # x = e^v makes the tail smooth; beyond e^20 the integrand is v e^-v.
    k = lambda v: -np.log(2*sp.ive(1, np.exp(v))*sp.kve(1, np.exp(v)))/np.hypot(np.exp(v), ka)
    b = sum(quad(k, lo, hi, epsabs=1e-12, limit=400)[0] for lo, hi in [(-20,-10),(-10,-4),(-4,0),(0,4),(4,10),(10,20)])/np.pi + 21*np.exp(-20)/np.pi
    return size, a + b

if __name__ == "__main__":
    rows = [reflection(0.05*i) if i else (1.0, reflection(1e-6)[1]) for i in range(77)]
    for name, col in (("SIZE", 0), ("LENGTH", 1)):
        print(name); print(", ".join(f"{r[col]:.8f}" for r in rows))
