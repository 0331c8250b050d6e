"""The reference for learned times: the same model solved otherwise, by numpy and scipy.

    python3 -m venv /tmp/peers && /tmp/peers/bin/pip install numpy scipy
    /tmp/peers/bin/python benches/peers/learning_posterior.py

Writes crates/quote/tests/data/learning_steps.csv (invented steps) and learning_posterior.csv (what is believed after them):
  given    posterior of each effect with the variances of before, by the covariance form G Z' (Z G Z' + R)^-1 y, which shares no algebra
           with the normal equations of the crate
  mode     variances at the mode of their posterior on a logarithmic scale, by scipy.optimize on the marginal likelihood: no EM
  job      P10, P50, P90 of a new job, minutes, with the variances drawn from their posterior (random-walk Metropolis) and the job thrown
           20,000 times: what the crate's closed form leaves out (variances known only so well, the sum no lognormal) is in it
"""
import csv, pathlib
import numpy as np
from scipy import optimize

OUT = pathlib.Path(__file__).resolve().parents[2] / "crates/quote/tests/data"
rng = np.random.default_rng(17)
KINDS = {"clean": (15, 25, 45), "patch": (20, 35, 70), "crease": (4, 8, 20), "true_fit": (10, 20, 50)}
METHODS = {"mandrel": (5, 9, 20), "straight_rod": (4, 10, 30), "ball_train": (8, 14, 28)}
PEOPLE = ["ana", "ben", "cleo"]
FAMILIES = ["trumpet", "tuba"]
NU = 4.0
RHO = 0.3


def mean_v(t):
    m, sd = (t[0] + 4 * t[1] + t[2]) / 6, (t[2] - t[0]) / 6
    return m, np.clip(np.log1p((sd / m) ** 2), 0.01, 1.0)


# Invented truth and steps, none of them far off: winsorising has nothing to do.
true = {("shop",): 0.2}
rows = []
def effect(key, sd):
    if key not in true:
        true[key] = rng.normal(0, sd)
    return true[key]
for job in range(1, 19):
    person, family, own = rng.choice(PEOPLE), rng.choice(FAMILIES), rng.normal(0, 0.15)
    for _ in range(rng.integers(5, 9)):
        if rng.random() < 0.5:
            kind, within = "dent", rng.choice(list(METHODS)); t = METHODS[within]
        else:
            kind, within = rng.choice(list(KINDS)), ""; t = KINDS[kind]
        m, v = mean_v(t)
        y = -v / 2 + 0.2 + effect(("kind", kind), 0.2) + effect(("person", person), 0.2) + effect(("family", kind, family), 0.1) + own
        if within:
            y += effect(("within", kind, within), 0.15)
        y += np.sqrt(0.8 * v) * np.clip(rng.normal(), -1.8, 1.8)
        rows.append((job, kind, within, person, family, *t, float(f"{m * np.exp(y):.4f}")))
with open(OUT / "learning_steps.csv", "w", newline="") as f:
    w = csv.writer(f, lineterminator="\n"); w.writerow("job kind within person family least likely most took_min".split()); w.writerows(rows)

# The design.
names = sorted({("shop",)} | {("kind", r[1]) for r in rows} | {("within", r[1], r[2]) for r in rows if r[2]} | {("person", r[3]) for r in rows}
               | {("family", r[1], r[4]) for r in rows} | {("job", r[0]) for r in rows}, key=str)
at = {n: i for i, n in enumerate(names)}
Z = np.zeros((len(rows), len(names))); v = np.zeros(len(rows)); y = np.zeros(len(rows)); kind_of = [r[1] for r in rows]
for i, r in enumerate(rows):
    m, v[i] = mean_v(r[5:8])
    y[i] = np.log(r[8] / m) + v[i] / 2
    for n in [("shop",), ("kind", r[1]), ("person", r[3]), ("family", r[1], r[4]), ("job", r[0])] + ([("within", r[1], r[2])] if r[2] else []):
        Z[i, at[n]] = 1
kinds = sorted(set(kind_of))
COMPONENTS = ["kind", "within", "person", "family", "job"]
prior = {"kind": 0.25**2, "within": 0.15**2, "person": 0.2**2, "family": 0.1**2, "job": RHO * v.mean()} | {f"rest {k}": 1 - RHO for k in kinds}
keys = COMPONENTS + [f"rest {k}" for k in kinds]
GROUP = np.array([(["shop"] + COMPONENTS).index(n[0]) for n in names])
KIND = np.array([kinds.index(k) for k in kind_of])


def matrices(s):
    g = np.array([0.4**2] + [s[k] for k in COMPONENTS])[GROUP]
    r = np.array([s[f"rest {k}"] for k in kinds])[KIND] * v
    return g, r, (Z * g) @ Z.T + np.diag(r)


def effects(s):
    g, _, total = matrices(s)
    gz = (Z * g).T
    mean = gz @ np.linalg.solve(total, y)
    return mean, np.diag(g) - gz @ np.linalg.solve(total, gz.T)


def log_density(x):
    s = dict(zip(keys, np.exp(x)))
    _, _, total = matrices(s)
    sign, det = np.linalg.slogdet(total)
    like = -0.5 * (det + y @ np.linalg.solve(total, y))
    # Scaled inverse chi-squared, seen on the scale of the logarithm.
    return like - sum(0.5 * NU * (np.log(s[k]) + prior[k] / s[k]) for k in keys)


out = []
mean, cov = effects(prior)
for n in names:
    out.append(("given", " ".join(map(str, n)), mean[at[n]], np.sqrt(cov[at[n], at[n]])))
start = np.log([prior[k] for k in keys])
best = optimize.minimize(lambda x: -log_density(x), start, method="BFGS", options={"gtol": 1e-7, "maxiter": 2000})
mode = dict(zip(keys, np.exp(best.x)))
for k in keys:
    out.append(("mode", k, mode[k], 0.0))
mean, cov = effects(mode)
fit = Z @ mean
off = np.abs(y - fit) / np.sqrt(np.array([mode[f"rest {k}"] for k in kind_of]) * v)
assert off.max() < 3, off.max()

# A new job on a tuba: whoever does it, by how many steps each did.
JOB = [("clean", "", KINDS["clean"])] + [("dent", w, METHODS[w]) for w in ["mandrel", "mandrel", "straight_rod", "ball_train", "ball_train"]] + [("crease", "", KINDS["crease"]), ("true_fit", "", KINDS["true_fit"])]
shares = np.array([sum(r[3] == p for r in rows) for p in PEOPLE]) / len(rows)
x, now, draws = best.x.copy(), log_density(best.x), []
accepted = 0
for i in range(14_000):
    step = x + 0.28 * rng.normal(size=len(x))
    then = log_density(step)
    if np.log(rng.random()) < then - now:
        x, now, accepted = step, then, accepted + 1
    if i >= 2_000 and i % 6 == 0:
        draws.append(x.copy())
throws = []
for x in draws:
    s = dict(zip(keys, np.exp(x)))
    mean, cov = effects(s)
    u = rng.multivariate_normal(mean, cov, size=10)
    for e in u:
        get = lambda n, sd: e[at[n]] if n in at else rng.normal(0, sd)
        person, own = rng.choice(len(PEOPLE), p=shares), rng.normal(0, np.sqrt(s["job"]))
        total = 0.0
        for kind, within, t in JOB:
            m, vi = mean_v(t)
            z = -vi / 2 + e[at[("shop",)]] + e[at[("kind", kind)]] + e[at[("person", PEOPLE[person])]] + own + get(("family", kind, "tuba"), np.sqrt(s["family"]))
            if within:
                z += e[at[("within", kind, within)]]
            total += m * np.exp(z + np.sqrt(s[f"rest {kind}"] * vi) * rng.normal())
        throws.append(total)
for p in (10, 50, 90):
    out.append(("job", f"P{p}", np.percentile(throws, p), 0.0))
with open(OUT / "learning_posterior.csv", "w", newline="") as f:
    w = csv.writer(f, lineterminator="\n"); w.writerow("what name value sd".split())
    w.writerows((a, b, f"{c:.8g}", f"{d:.8g}") for a, b, c, d in out)
print(f"{len(rows)} steps of 18 jobs; Metropolis accepted {accepted / 14_000:.0%}; new job P10 P50 P90:", [f"{float(np.percentile(throws, p)):.1f}" for p in (10, 50, 90)])
