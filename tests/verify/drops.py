"""Second opinion for falls: reads them as JSON Lines on standard input, solves each again by SciPy's DOP853 with tight limits, from the
equations in their own words, and prints a table. Exit code 1 when any differs.

m v' = m g - T; the rope pulls k e + c v (c = tau k) while it is stretched. Over an edge of ratio M: rope runs down over it when the
tension below is more than M times that above, back when it is less than 1 / M of it, and else sticks. The device slips at its grip.
Solved piece by piece, from one corner of the grip to the next and from slack to taut.
"""

import json
import sys

import numpy as np
from scipy.integrate import solve_ivp

G = 9.80665


def solve(case):
    k2 = case["stiffness"] / case["below"]
    c2 = case["damping"] * k2
    over = case["ratio"] is not None
    ratio = case["ratio"] or 1.0
    k1 = case["stiffness"] / case["above"] if over else 0.0
    c1 = case["damping"] * k1
    start = -case["slack"] if case["slack"] > 0 else case["carried"] / k2
    start_above = case["carried"] / ratio / k1 if over else 0.0
    times = [t for t, _ in case["grip"]]
    forces = [f for _, f in case["grip"]]

    def stretch(s):
        return start + s[0] - s[2] - (0.0 if over else s[3])

    def does(s, grip, taut):
        """Tension on the load, rope over the edge and through the device, m/s."""
        below = max(0.0, k2 * stretch(s) + c2 * s[1]) if taut else 0.0
        if not over:
            return min(below, grip), 0.0, max(0.0, (below - grip) / c2)
        above = max(0.0, k1 * (start_above + s[2] - s[3]))
        stuck = min(above, grip)
        runs = 0.0
        for m, moves in ((ratio, below > ratio * stuck), (1 / ratio, below < stuck / ratio)):
            if moves:
                runs = (below - m * above) / (c2 + m * c1)
                if above + c1 * runs > grip:
                    runs = (below - m * grip) / c2
        return max(0.0, below - c2 * runs), runs, max(0.0, (above + c1 * runs - grip) / c1)

    state, now, peak = np.array([0.0, case["speed"], 0.0, 0.0]), 0.0, 0.0
    while True:
        until = min([t for t in times if t > now + 1e-12] + [case["most_s"]])
        taut = stretch(state) > -1e-11
        # The line of this piece, whatever stands behind its end.
        low, high = np.interp([now + 1e-10 * (until - now), until - 1e-10 * (until - now)], times, forces)

        def grip(t):
            return low + (high - low) * (t - now) / (until - now)

        def rate(t, s):
            tension, runs, through = does(s, grip(t), taut)
            return [s[1], G - tension / case["mass"], runs, through]

        def still(t, s):
            return s[1]

        def tight(t, s):
            return stretch(s)

        def far(t, s):
            return s[0] - case["most_m"]

        still.terminal = far.terminal = tight.terminal = True
        still.direction, tight.direction = -1, 1
        events = [still, far] + ([] if taut else [tight])
        step = min(2e-3, until - now)
        found = solve_ivp(rate, (now, until), state, method="DOP853", rtol=1e-10, atol=1e-12, max_step=step, events=events)
        # Within a piece that is taut or not the tension is smooth but for its corners: seen at every step.
        peak = max([peak] + [does(s, grip(t), taut)[0] for t, s in zip(found.t, found.y.T)])
        state, now = found.y[:, -1], found.t[-1]
        ended = [len(hit) > 0 for hit in found.t_events]
        if ended[0] or ended[1] or now >= case["most_s"]:
            return {"fall": state[0], "peak": peak, "through": state[3], "time": now, "stopped": ended[0]}


rows = {}
told = []
for line in sys.stdin:
    case = json.loads(line)
    ours, theirs = case["engine"], solve(case)
    name = "falls over an edge" if case["ratio"] else "falls without an edge"
    # Metres; over an edge the engine goes by steps of half a millisecond.
    limit = 2e-5 if case["ratio"] else 1e-6
    row = rows.setdefault(name, {"cases": 0, "failures": 0, "fall": 0.0, "peak": 0.0})
    row["cases"] += 1
    difference = abs(ours.get("fall", np.inf) - theirs["fall"])
    force = abs(ours.get("peak", np.inf) - theirs["peak"]) / theirs["peak"]
    row["fall"], row["peak"] = max(row["fall"], difference), max(row["peak"], force)
    if not (difference <= limit * max(1.0, theirs["fall"]) and force <= 1e-3 and ours.get("stopped") == theirs["stopped"]):
        row["failures"] += 1
        told.append(f"{difference:.2g} m, {force:.2g} of the peak: {case} {theirs}")

print("| falls beside SciPy DOP853 | cases | largest difference, m | of the peak force | failures |")
print("|---|---|---|---|---|")
for name, row in sorted(rows.items()):
    print(f"| {name} | {row['cases']} | {row['fall']:.2g} | {row['peak']:.2g} | {row['failures']} |")
for words in told[:10]:
    print(words)
sys.exit(1 if told else 0)
