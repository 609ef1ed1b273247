"""Second opinion for falls: reads them as JSON Lines on standard input, solves each again by SciPy's DOP853 with tight limits, from the
equations in their own words, and prints a table. Exit code 1 when any differs.

m v' = m g - T, T of all ropes that catch it; each rope pulls k e + c v (c = tau k) while it is stretched. Over an edge of ratio M: rope runs down over it when the
tension below is more than M times that above, back when it is less than 1 / M of it, and else sticks. The device slips at its grip.
Solved piece by piece, from one corner of the grip to the next and from slack to taut.
"""

import json
import sys

import numpy as np
from scipy.integrate import solve_ivp

G = 9.80665


class Rope:
    """One rope of a fall, by its own state: past the edge, through the device (m)."""

    def __init__(self, own):
        self.k2 = own["stiffness"] / own["below"]
        self.c2 = own["damping"] * self.k2
        self.over = own["ratio"] is not None
        self.ratio = own["ratio"] or 1.0
        self.k1 = own["stiffness"] / own["above"] if self.over else 0.0
        self.c1 = own["damping"] * self.k1
        self.start = -own["slack"] if own["slack"] > 0 else own["carried"] / self.k2
        self.start_above = own["carried"] / self.ratio / self.k1 if self.over else 0.0
        self.times = [t for t, _ in own["grip"]]
        self.forces = [f for _, f in own["grip"]]

    def stretch(self, fallen, ran):
        return self.start + fallen - ran[0] - (0.0 if self.over else ran[1])

    def does(self, fallen, speed, ran, grip, taut):
        """Tension on the load, rope over the edge and through the device, m/s."""
        below = max(0.0, self.k2 * self.stretch(fallen, ran) + self.c2 * speed) if taut else 0.0
        if not self.over:
            return min(below, grip), 0.0, max(0.0, (below - grip) / self.c2)
        above = max(0.0, self.k1 * (self.start_above + ran[0] - ran[1]))
        stuck = min(above, grip)
        runs = 0.0
        for m, moves in ((self.ratio, below > self.ratio * stuck), (1 / self.ratio, below < stuck / self.ratio)):
            if moves:
                runs = (below - m * above) / (self.c2 + m * self.c1)
                if above + self.c1 * runs > grip:
                    runs = (below - m * grip) / self.c2
        return max(0.0, below - self.c2 * runs), runs, max(0.0, (above + self.c1 * runs - grip) / self.c1)


def solve(case, tight_limits=True):
    """Fall, peak and end of a case; with `tight_limits` off as a person would ask it for at first: the solver's own defaults."""
    ropes = [Rope(own) for own in case["ropes"]]
    several = range(len(ropes))
    state, now, peak = np.array([0.0, case["speed"]] + [0.0, 0.0] * len(ropes)), 0.0, 0.0
    limits = {"rtol": 1e-10, "atol": 1e-12} if tight_limits else {}
    while True:
        until = min([t for rope in ropes for t in rope.times if t > now + 1e-12] + [case["most_s"]])
        ran = [state[2 + 2 * n : 4 + 2 * n] for n in several]
        taut = [rope.stretch(state[0], own) > -1e-11 for rope, own in zip(ropes, ran)]
        # The lines of this piece, whatever stands behind its end.
        ends = (now + 1e-10 * (until - now), until - 1e-10 * (until - now))
        lines = [np.interp(ends, rope.times, rope.forces) for rope in ropes]

        def does(t, s):
            part = (t - now) / (until - now)
            return [
                ropes[n].does(s[0], s[1], s[2 + 2 * n : 4 + 2 * n], lines[n][0] + (lines[n][1] - lines[n][0]) * part, taut[n])
                for n in several
            ]

        def rate(t, s):
            each = does(t, s)
            pull = sum(tension for tension, _, _ in each)
            return [s[1], case["gravity"] - pull / case["mass"]] + [v for _, runs, through in each for v in (runs, through)]

        def still(t, s):
            return s[1]

        def far(t, s):
            return s[0] - case["most_m"]

        still.terminal = far.terminal = True
        still.direction = -1
        events = [still, far]
        for n in several:
            if not taut[n]:

                def tight(t, s, n=n):
                    return ropes[n].stretch(s[0], s[2 + 2 * n : 4 + 2 * n])

                tight.terminal, tight.direction = True, 1
                events.append(tight)
        step = min(2e-3, until - now) if tight_limits else np.inf
        found = solve_ivp(rate, (now, until), state, method="DOP853", max_step=step, events=events, **limits)
        # Within a piece that is taut or not the tension is smooth but for its corners: seen at every step.
        peak = max([peak] + [sum(own[0] for own in does(t, s)) for t, s in zip(found.t, found.y.T)])
        state, now = found.y[:, -1], found.t[-1]
        ended = [len(hit) > 0 for hit in found.t_events]
        if ended[0] or ended[1] or now >= case["most_s"]:
            through = max(state[3 + 2 * n] for n in several)
            return {"fall": state[0], "peak": peak, "through": through, "time": now, "stopped": ended[0]}


def swing(case):
    """How far a mass comes down on its tether, m, and the most that it pulls, N: a pendulum on a spring that pulls and never pushes,
    from rest until it has passed its lowest point."""
    own, k, mass = case["tether"], case["stiffness"], case["mass"]
    c = case["damping"] * k
    natural = own["long"] - own["share"] * mass * case["gravity"] / k

    def pull(s):
        long = np.hypot(s[0], s[1])
        stretch = long - natural
        # A spring and its damper pull together or not at all.
        return (max(0.0, k * stretch + c * (s[0] * s[2] + s[1] * s[3]) / long) if stretch > 0 else 0.0), long

    def rate(t, s):
        force, long = pull(s)
        return [s[2], s[3], -force * s[0] / long / mass, case["gravity"] - force * s[1] / long / mass]

    start = [own["aside"], own["below"], 0.0, 0.0]
    lasts = 4.0 * np.sqrt(own["long"] / case["gravity"])
    found = solve_ivp(rate, (0.0, lasts), start, method="DOP853", max_step=1e-3, rtol=1e-10, atol=1e-12)
    return {"fall": max(found.y[1]) - own["below"], "peak": max(pull(s)[0] for s in found.y.T), "stopped": True}


def bounds(case, ours, theirs):
    """Whether a bound is one, and how far it lies over what it bounds, as a share."""
    over = ours["peak"] / theirs["peak"] - 1
    near = over >= -case["short"] and (case["over"] is None or over <= case["over"])
    return near and ours["fall"] >= theirs["fall"] - case["short"], max(0.0, ours["fall"] - theirs["fall"]), over


def judge():
    rows, told = {}, []
    for line in sys.stdin:
        case = json.loads(line)
        ours, theirs = case["engine"], swing(case) if "tether" in case else solve(case)
        # Metres; over an edge, and in bands, the engine goes by steps.
        row = rows.setdefault(case["name"], {"cases": 0, "failures": 0, "fall": 0.0, "peak": 0.0})
        row["cases"] += 1
        if "tether" in case:
            near, difference, force = bounds(case, ours, theirs)
            row["fall"], row["peak"] = max(row["fall"], difference), max(row["peak"], force)
            if not near:
                row["failures"] += 1
                told.append(f"{difference:.2g} m, {force:.2g} of the peak: {case} {theirs}")
            continue
        difference = abs(ours.get("fall", np.inf) - theirs["fall"]) if ours.get("stopped") or theirs["stopped"] else 0.0
        force = abs(ours.get("peak", np.inf) - theirs["peak"]) / theirs["peak"]
        row["fall"], row["peak"] = max(row["fall"], difference), max(row["peak"], force)
        near = difference <= case["within_m"] * max(1.0, theirs["fall"]) and force <= case["within_peak"]
        if not (near and ours.get("stopped") == theirs["stopped"]):
            row["failures"] += 1
            told.append(f"{difference:.2g} m, {force:.2g} of the peak: {case} {theirs}")
    print("| falls beside SciPy DOP853 | cases | largest difference, m | of the peak force | failures |")
    print("|---|---|---|---|---|")
    for name, row in sorted(rows.items()):
        print(f"| {name} | {row['cases']} | {row['fall']:.2g} | {row['peak']:.2g} | {row['failures']} |")
    for words in told[:10]:
        print(words)
    sys.exit(1 if told else 0)


if __name__ == "__main__":
    judge()
