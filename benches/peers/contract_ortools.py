"""Solves problem.json files (docs/contract.md) with OR-Tools' CP-SAT and prints both values side by side.

    pip install ortools
    python3 benches/peers/contract_ortools.py out/problem.json ...
    python3 benches/peers/contract_ortools.py --fifty     # five districts of fifty horns, solved by this program first, side by side

Each file holds the bare problem and, where this program solved it, its `answer`. Costs are taken in cents, minutes in
ten-thousandths, points in millionths, as whole numbers. Exit code 1 where a proven optimum differs.
"""
import glob
import json
import os
import subprocess
import sys
import tempfile
import time

from ortools.sat.python import cp_model


def solve(p, seconds=30.0):
    m = cp_model.CpModel()
    cents = lambda x: round(x * 100)
    minutes = lambda x: round(x * 10_000)
    tool = {t["id"]: m.new_bool_var("t" + t["id"]) for t in p.get("tools", [])}
    cost = [cents(t["cost"]) * tool[t["id"]] for t in p.get("tools", [])]
    used = {b["id"]: [] for b in p["benches"]}
    value = []
    for i in p["instruments"]:
        picks = []
        for o in i["options"]:
            for bench, took in o["minutes"].items():
                x = m.new_bool_var(f'{i["id"]}/{o["id"]}/{bench}')
                picks.append(x)
                used[bench].append(minutes(took) * x)
                cost.append(cents(o["cost"]) * x)
                value.append(round(o["value"] * 1_000_000) * x)
                for t in o.get("tools", []):
                    m.add_implication(x, tool[t])
        if i.get("must"):
            m.add_exactly_one(picks)
        else:
            m.add_at_most_one(picks)
    m.add(sum(cost) <= cents(p["budget"]))
    for b in p["benches"]:
        m.add(sum(used[b["id"]]) <= minutes(b["minutes"]))
    m.maximize(sum(value))
    s = cp_model.CpSolver()
    s.parameters.max_time_in_seconds = seconds
    s.parameters.num_workers = 2
    start = time.time()
    status = s.solve(m)
    took = time.time() - start
    name = s.status_name(status)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return name, s.objective_value / 1e6, s.best_objective_bound / 1e6, took
    return name, None, None, took


paths = sys.argv[1:]
if paths == ["--fifty"]:
    folder = tempfile.mkdtemp(prefix="trueround-fifty-")
    bench = ["cargo", "bench", "--workspace", "--locked", "--quiet", "--bench", "summer"]
    subprocess.run(bench, env={**os.environ, "TRUEROUND_PROBLEMS": folder}, check=True)
    paths = sorted(glob.glob(os.path.join(folder, "*.json")))

differ = False
for path in paths:
    p = json.load(open(path))
    ours = p.get("answer")
    name, value, bound, took = solve(p)
    mine = "none" if ours is None else f'{ours["value"]:.3f} (bound {ours["bound"]:.3f})'
    if "seconds" in p:
        mine += f", {p['seconds']:.1f} s"
    print(f"{path}: {len(p['instruments'])} horns: trueround {mine}; OR-Tools {value} (bound {bound}), {name}, {took:.1f} s")
    if name == "OPTIMAL" and ours is not None and ours["value"] == ours["bound"]:
        differ |= abs(ours["value"] - value) > 1e-3
sys.exit(1 if differ else 0)
