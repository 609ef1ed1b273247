"""Second opinion for falls in which what holds a device swings: reads them as JSON Lines on standard input, solves each again by SciPy's
DOP853 from the equations in their own words (vectors in the plane), and prints a table. Exit code 1 when any differs.

Masses in the plane, ties that pull along themselves by k e + c e' while they are longer than natural, ropes from a device over an edge to
the load: below the edge k2 e2 + c2 e2', above it k1 e1 + c1 e1', e1 growing by what the device's point moves away from the edge; rope runs
over the edge by M and slips through the device at its grip as without a swing.
"""

import json
import sys

import numpy as np
from scipy.integrate import solve_ivp

FALLS, WAITS = 1e-3, 2.0
# Where a rope goes slack and taut many times a millisecond no solver with error control gets on: then by small even steps (Heun).
PATIENCE, EVEN = 40000, 5e-5


class Flutters(Exception):
    """Too many evaluations for one piece."""


def even_steps(rate, span, state, event):
    """Heun's method from the one time to the other or to where `event` changes its sign in its direction; times, states, and whether."""
    t, s, times, states = span[0], state, [span[0]], [state]
    while t < span[1]:
        long = min(EVEN, span[1] - t)
        one = rate(t, s)
        after = s + long / 2 * (one + rate(t + long, s + long * one))
        was, now = event(t, s) * event.direction, event(t + long, after) * event.direction
        t, s = t + long, after
        times.append(t)
        states.append(s)
        if was < 0 <= now:
            return times, states, True
    return times, states, False


def solve(case):
    mass, gravity = case["mass"], case["gravity"]
    nodes, ties, ropes = case["nodes"], case["ties"], case["ropes"]
    count, several = len(nodes), range(len(ropes))
    masses = np.array([n["mass"] for n in nodes])
    first = np.concatenate([[0.0, case["speed"]], np.ravel([[*n["at"], 0.0, 0.0] for n in nodes]), np.zeros(2 * len(ropes))])
    times = sorted({t for rope in ropes for t, _ in rope["grip"]})

    def end(of, s):
        if "at" in of:
            return np.array(of["at"]), np.zeros(2)
        own = s[2 + 4 * of["node"] : 6 + 4 * of["node"]]
        return own[:2], own[2:]

    def from_of(rope, s):
        """Where a rope comes from: the edge, or the load itself."""
        at = np.array(rope["from"], float)
        if rope["ratio"] is None:
            return at - [0.0, s[0]], np.array([0.0, -s[1]])
        return at, np.zeros(2)

    def line(a, b):
        way = b[0] - a[0]
        long = max(np.linalg.norm(way), 1e-9)
        return long, way / long, float(way / long @ (b[1] - a[1]))

    placed = [line(end(r["device"], first), from_of(r, first))[0] for r in ropes]

    def pulls(s):
        out = []
        for tie in ties:
            long, way, grows = line(end(tie["ends"][0], s), end(tie["ends"][1], s))
            e = long - tie["natural"]
            k = tie["stiffness"]
            out.append((max(0.0, k * e + k * tie["damping"] * grows) if e > 0 else 0.0, way))
        return out

    def rope_does(n, s, grip):
        """On the load, at the device, which way, over the edge, through the device."""
        rope = ropes[n]
        q, u = s[2 + 4 * count + 2 * n : 4 + 4 * count + 2 * n]
        long, way, grows = line(end(rope["device"], s), from_of(rope, s))
        k2 = rope["stiffness"] / rope["below"]
        c2 = rope["damping"] * k2
        start = -rope["slack"] if rope["slack"] > 0 else rope["carried"] / k2
        if rope["ratio"] is None:
            e = start + long - placed[n] - u
            held = k2 * e + c2 * grows if e > 0 else 0.0
            tension = min(max(held, 0.0), grip)
            return -way[1] * tension, tension, way, 0.0, max(0.0, (held - grip) / c2) if e > 0 else 0.0
        m, k1 = rope["ratio"], rope["stiffness"] / rope["above"]
        below, above = start + s[0] - q, rope["carried"] / m / k1 + q - u + long - placed[n]
        c1 = rope["damping"] * k1 if above > 0 else 0.0
        b = max(0.0, k2 * below + c2 * s[1]) if below > 0 else 0.0
        a = k1 * above + c1 * grows if above > 0 else 0.0
        stuck = min(max(0.0, a), grip)
        runs, at_device = 0.0, stuck
        for ratio, moves in ((m, b > m * stuck), (1 / m, b < stuck / m)):
            if moves:
                runs = (b - ratio * a) / (c2 + ratio * c1)
                at_device = a + c1 * runs
                if at_device < 0:
                    runs, at_device = b / c2, 0.0
                elif at_device > grip:
                    runs, at_device = (b - ratio * grip) / c2, grip
        through = max(0.0, (a + c1 * runs - grip) / c1) if c1 > 0 else 0.0
        return max(0.0, b - c2 * runs), at_device, way, runs, through

    def grips(t):
        return [np.interp(t, [x for x, _ in r["grip"]], [f for _, f in r["grip"]]) for r in ropes]

    def rate(t, s, standing):
        force = np.zeros((count, 2))
        force[:, 1] -= masses * gravity
        for tie, (pull, way) in zip(ties, pulls(s)):
            for of, sign in zip(tie["ends"], (1.0, -1.0)):
                if "node" in of:
                    force[of["node"]] += sign * pull * way
        on_load, ran = 0.0, []
        for n, grip in enumerate(grips(t)):
            load, at_device, way, runs, through = rope_does(n, s, grip)
            on_load += load
            ran += [runs, through]
            if "node" in ropes[n]["device"]:
                force[ropes[n]["device"]["node"]] += at_device * way
        moves = np.ravel([[*s[4 + 4 * n : 6 + 4 * n], *(force[n] / masses[n])] for n in range(count)])
        falls = gravity - on_load / mass
        load = [0.0, max(0.0, falls)] if standing else [s[1], falls]
        return np.concatenate([load, moves, ran])

    state, now = first, 0.0
    peak, most, devices = 0.0, np.zeros(len(ties)), np.zeros(len(ropes))
    standing, fluttered = case["speed"] <= FALLS, False
    while True:
        until = min([t for t in times if t > now + 1e-9] + [30.0, now + 0.5])

        def still(t, s):
            return s[1]

        def begins(t, s):
            return s[1] - FALLS

        still.terminal = begins.terminal = True
        still.direction, begins.direction = -1, 1
        event = begins if standing else still
        tried = 0

        def patient(t, s):
            nonlocal tried
            tried += 1
            if tried > PATIENCE:
                raise Flutters
            return rate(t, s, standing)

        try:
            found = solve_ivp(patient, (now, until), state, "DOP853", max_step=1e-3, rtol=1e-7, atol=1e-9, events=[event])
            seen, states, hit = found.t, found.y.T, len(found.t_events[0]) > 0
        except Flutters:
            fluttered = True
            seen, states, hit = even_steps(lambda t, s: rate(t, s, standing), (now, until), state, event)
        for t, s in zip(seen, states):
            most = np.maximum(most, [p for p, _ in pulls(s)])
            does = [rope_does(n, s, g) for n, g in enumerate(grips(t))]
            devices = np.maximum(devices, [d[1] for d in does])
            peak = max(peak, sum(d[0] for d in does))
        state, now = states[-1], seen[-1]
        if standing and hit:
            standing = False
        elif hit or now >= 30.0 or state[0] >= 100.0 or (standing and now > WAITS):
            return {"fall": state[0], "peak": peak, "ties": most, "devices": devices, "stopped": bool(hit or standing), "fluttered": fluttered}


def judge():
    worst, failures, cases, even, told = {"fall": 0.0, "peak": 0.0, "ties": 0.0, "devices": 0.0}, 0, 0, 0, []
    for text in sys.stdin:
        case = json.loads(text)
        ours, theirs = case["engine"], solve(case)
        cases += 1
        even += theirs["fluttered"]
        if "error" in ours:
            failures += 1
            told.append(f"{case['of']}: {ours['error']}")
            continue
        off = {"fall": abs(ours["fall"] - theirs["fall"]), "peak": abs(ours["peak"] - theirs["peak"]) / theirs["peak"]}
        for what in ("ties", "devices"):
            most = max(max(theirs[what]), 1.0)
            off[what] = max(abs(np.array(ours[what]) - theirs[what])) / most
        worst = {name: max(value, off[name]) for name, value in worst.items()}
        near = off["fall"] <= 2e-4 * max(1.0, theirs["fall"]) and off["peak"] <= 1e-3 and max(off["ties"], off["devices"]) <= 1e-2
        if not (near and ours["stopped"] == theirs["stopped"]):
            failures += 1
            told.append(f"{case['of']}: {off} {ours} {theirs}")
    print("| falls that swing beside SciPy DOP853 | cases (by even steps) | largest difference, m | on the load | on ties | at devices | failures |")
    print("|---|---|---|---|---|---|---|")
    print(f"| legs, anchors, plates of the templates | {cases} ({even}) | " + " | ".join(f"{worst[n]:.2g}" for n in ("fall", "peak", "ties", "devices")) + f" | {failures} |")
    for words in told[:10]:
        print(words)
    sys.exit(1 if told or cases == 0 else 0)


if __name__ == "__main__":
    judge()
