"""Holds the plan's exact choice to a MILP solver. Outside CI; results in docs/validation.md.

    cargo run --release -p plan --example problems -- 20 60 40 30 > /tmp/problems.jsonl
    python3 -m venv /tmp/hv && /tmp/hv/bin/pip install highspy
    /tmp/hv/bin/python crates/plan/validation/highs.py /tmp/problems.jsonl

The model: one way per dent; a way needs all that it opens, with all that this requires; a way that waits for a dent needs
that dent worked, and a place in the order behind it (Miller, Tucker & Zemlin, J. ACM 7 (1960)).
"""
import json
import sys
import time

import highspy


def closures(openables):
    out = []
    for o in range(len(openables)):
        seen, stack = set(), [o]
        while stack:
            x = stack.pop()
            if x not in seen:
                seen.add(x)
                stack.extend(openables[x]["requires"])
        out.append(seen)
    return out


def solve(problem):
    h = highspy.Highs()
    h.setOptionValue("output_flag", False)
    h.setOptionValue("mip_rel_gap", 0.0)
    h.setOptionValue("mip_abs_gap", 1e-7)
    h.setOptionValue("threads", 1)
    openables, dents = problem["openables"], problem["dents"]
    closed = closures(openables)
    y = [h.addVariable(lb=0, ub=1 if o["cost"] is not None else 0, obj=o["cost"] or 0.0, type=highspy.HighsVarType.kInteger) for o in openables]
    n = len(dents)
    u = [h.addVariable(lb=0, ub=n, obj=0.0) for _ in dents]
    x = []
    for ways in dents:
        x.append([h.addVariable(lb=0, ub=1 if w["cost"] is not None else 0, obj=w["cost"] or 0.0, type=highspy.HighsVarType.kInteger) for w in ways])
    for d, ways in enumerate(dents):
        if not ways:
            continue
        h.addConstr(sum(x[d]) == 1)
        for w, way in enumerate(ways):
            for o in set().union(*[closed[o] for o in way["opens"]]) if way["opens"] else []:
                h.addConstr(x[d][w] - y[o] <= 0)
            for e in way["after"]:
                h.addConstr(x[d][w] - sum(x[e][v] for v, other in enumerate(dents[e]) if other["works"]) <= 0)
                h.addConstr(u[e] - u[d] + (n + 1) * x[d][w] <= n)
    start = time.process_time()
    h.run()
    seconds = time.process_time() - start
    return h.getInfo().objective_function_value, seconds


def main(path):
    worst, ours, theirs, count, ratios = 0.0, 0.0, 0.0, 0, []
    for line in open(path):
        case = json.loads(line)
        # Processor time on either side, so that what else the machine does counts little.
        runs = [solve(case["problem"]) for _ in range(3)]
        cost, seconds = runs[0][0], min(r[1] for r in runs)
        diff = abs(cost - case["found"]["cost"])
        worst = max(worst, diff)
        ours += case["seconds"]
        theirs += seconds
        ratios.append(seconds / case["seconds"])
        count += 1
        print(f"{count:3d}  search {case['found']['cost']:.6f} in {1e3 * case['seconds']:8.2f} ms ({case['found']['nodes']} nodes)"
              f"   HiGHS {cost:.6f} in {1e3 * seconds:9.1f} ms   differ {diff:.1e}")
    print(f"{count} problems; greatest difference {worst:.1e}; search {1e3 * ours / count:.2f} ms, HiGHS {1e3 * theirs / count:.1f} ms on average;"
          f" least ratio {min(ratios):.0f}, middle ratio {sorted(ratios)[count // 2]:.0f}")


main(sys.argv[1])
