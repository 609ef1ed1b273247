"""Second opinions for the engine, by general-purpose solvers: reads the cases as JSON Lines on standard input, compares each
with an independent computation and prints a table. Exit code 1 when any case differs.

Networks: PyNiteFEA (tension-only members, small displacements) where nothing is slack from the start, SciPy (least potential
energy of the linearised network) for all. Networks that lost a leg: SciPy, least potential energy of the whole shape with large
displacements, by stiffness, and with lengths that nothing stretches as constraints. Support: a brute-force reading of the rules, written from their words, and
NetworkX where every rule is plain connection. Templates: balance of forces at every free point from the rig file alone.
Advantage: virtual work, rope taken in as the load rises a little, from the lengths of the ropes.
"""

import itertools
import json
import math
import sys
from collections import defaultdict

import networkx as nx
import numpy as np
from Pynite import FEModel3D
from scipy.optimize import minimize, nnls, root

G = 9.80665
rows = defaultdict(lambda: {"cases": 0, "failures": 0, "worst": 0.0})
told = []


def note(engine, difference, limit, what):
    row = rows[engine]
    row["cases"] += 1
    row["worst"] = max(row["worst"], difference)
    if not difference <= limit:
        row["failures"] += 1
        if len(told) < 20:
            told.append(f"{engine}: {difference:.3g} over {limit:.3g}: {what}")


def way(points, a, b):
    (xa, ya), (xb, yb) = points[a], points[b]
    length = math.hypot(xb - xa, yb - ya)
    return (xb - xa) / length, (yb - ya) / length, length


def knot_load(case):
    """Force on the knot (point 0) from outside and from ropes, N."""
    fx, fy = 0.0, 0.0
    for at, (x, y) in case["forces"]:
        if at == 0:
            fx, fy = fx + x, fy + y
    for run in case["runs"]:
        tension, tensions = run["tension"], [run["tension"]]
        for ratio in run["ratios"]:
            tension *= ratio
            tensions.append(tension)
        for (a, b), t in zip(zip(run["path"], run["path"][1:]), tensions):
            if 0 in (a, b):
                ux, uy, _ = way(case["points"], 0, b if a == 0 else a)
                fx, fy = fx + t * ux, fy + t * uy
    return fx, fy


def by_scipy(case, load):
    """Least potential energy of the knot's displacement, legs linearised about where they are placed."""
    legs = [way(case["points"], 0, t["high"]) + (t["ea"], t["gap"]) for t in case["ties"]]

    def energy(millimetres):
        u = millimetres * 1e-3
        total, gx, gy = 0.0, 0.0, 0.0
        for ux, uy, length, ea, gap in legs:
            stretch = -(ux * u[0] + uy * u[1]) - gap
            if stretch > 0:
                # What must be taken up makes it longer by nature.
                k = ea / (length + gap)
                total += 0.5 * k * stretch * stretch
                gx, gy = gx - k * stretch * ux, gy - k * stretch * uy
        return total - load[0] * u[0] - load[1] * u[1], np.array([gx - load[0], gy - load[1]]) * 1e-3

    best = None
    for start in ([0.0, -10.0], [50.0, -50.0], [-50.0, -50.0]):
        found = minimize(energy, np.array(start), jac=True, method="BFGS", options={"gtol": 1e-9, "maxiter": 2000})
        if best is None or found.fun < best.fun:
            best = found
    u = best.x * 1e-3
    return [max(0.0, -(ux * u[0] + uy * u[1]) - gap) * ea / (length + gap) for ux, uy, length, ea, gap in legs]


def by_pynite(case, load):
    model = FEModel3D()
    model.add_material("cord", 1.0, 1.0, 0.3, 0.0)
    model.add_node("knot", 0.0, 0.0, 0.0)
    model.def_support("knot", False, False, True, True, True, True)
    for n, tie in enumerate(case["ties"]):
        x, y = case["points"][tie["high"]]
        model.add_node(f"a{n}", x, y, 0.0)
        model.def_support(f"a{n}", True, True, True, True, True, True)
        # Stiffness EA, next to none in bending.
        model.add_section(f"s{n}", tie["ea"], 1e-9, 1e-9, 1e-9)
        model.add_member(f"m{n}", "knot", f"a{n}", "cord", f"s{n}", tension_only=True)
        model.def_releases(f"m{n}", Ryi=True, Rzi=True, Ryj=True, Rzj=True)
    model.add_node_load("knot", "FX", load[0])
    model.add_node_load("knot", "FY", load[1])
    model.analyze(max_iter=60)
    return [abs(model.members[f"m{n}"].axial(0.0)) for n in range(len(case["ties"]))]


def network(case):
    said = case["engine"]
    load = knot_load(case)
    size = math.hypot(*load)
    if said.get("rest"):
        shape = Shape(case | {"free": [p == 0 for p in range(len(case["points"]))]})
        taut = [(t["gap"], t["gap"] / way(case["points"], 0, t["high"])[2]) for t, n in zip(case["ties"], said["ties"]) if n > 0]
        # What must take up so much that it moves far is no small displacement; else what it hangs on keeps its length.
        if said["shared"] or any(share > 0.02 for _, share in taut):
            name, (ties, left), limit = "take up slack, SciPy least energy", shape.by_stiffness(), 1e-5
        else:
            name, (ties, left), limit = "hang elsewhere, SciPy SLSQP", shape.by_length(), 1e-4
        if left < 1e-5 * size and (limit == 1e-5 or all(gap == 0 for gap, _ in taut)):
            worst = max(abs(a - b) for a, b in zip(said["ties"], ties)) / size
            note(f"networks that {name}", worst, limit, (said, ties))
        elif limit == 1e-4:
            note("networks that hang elsewhere on what was slack: not compared", 0.0, 1.0, said)
        if any(t["gap"] > 0 for t in case["ties"]):
            return
    scipy_says = by_scipy(case, load)
    if "unsolved" in said or said["moved"][0]:
        # It leaves its place: then small displacements must not hold it where it is placed either.
        ux = [way(case["points"], 0, t["high"]) for t in case["ties"]]
        angle = lambda x, y: math.atan2(x, y)
        lowest, highest = min(angle(x, y) for x, y, _ in ux), max(angle(x, y) for x, y, _ in ux)
        pull = angle(-load[0], -load[1])
        held = lowest + 1e-6 < pull < highest - 1e-6
        note("networks that leave their place", 1.0 if held else 0.0, 0.5, said)
        return
    ties = said["ties"]
    worst = max(abs(a - b) for a, b in zip(ties, scipy_says)) / size
    note("statics, SciPy least energy", worst, 2e-5, (ties, scipy_says))
    if all(t["gap"] == 0.0 for t in case["ties"]):
        pynite_says = by_pynite(case, load)
        worst = max(abs(a - b) for a, b in zip(ties, pynite_says)) / size
        note("statics, PyNiteFEA tension-only", worst, 2e-5, (ties, pynite_says))


class Shape:
    """A network whose free points may move far: its energy, and how that changes with their places."""

    def __init__(self, case):
        self.points = np.array(case["points"], float)
        self.free = [p for p, free in enumerate(case["free"]) if free]
        self.ties = [(t["low"], t["high"]) for t in case["ties"]]
        self.ea = [t["ea"] for t in case["ties"]]
        # What has been taken up is as long as placed, and the slack.
        self.natural = [self.far(self.points, *ends) + t["gap"] for ends, t in zip(self.ties, case["ties"])]
        self.forces = [(p, np.array(f)) for p, f in case["forces"]]
        self.pulls = []
        for run in case["runs"]:
            tension = run["tension"]
            end, next_one = run["path"][:2]
            # The load goes with what its rope hangs it on: it pulls the way it pulled as placed.
            way = (self.points[end] - self.points[next_one]) / self.far(self.points, end, next_one)
            self.forces.append((next_one, tension * way))
            for a, b, ratio in zip(run["path"][1:], run["path"][2:], run["ratios"]):
                tension *= ratio
                self.pulls.append((a, b, tension))

    @staticmethod
    def far(points, a, b):
        return math.hypot(*(points[a] - points[b]))

    def at(self, x):
        points = self.points.copy()
        points[self.free] = x.reshape(-1, 2)
        return points

    def start(self):
        return self.points[self.free].ravel()

    def along(self, points, a, b):
        """How the distance of two points changes as all points move."""
        out = np.zeros_like(points)
        way = (points[b] - points[a]) / self.far(points, a, b)
        out[b] += way
        out[a] -= way
        return out[self.free].ravel()

    def energy(self, x, elastic):
        points = self.at(x)
        total, slope = 0.0, np.zeros(len(x))
        for (ends, ea, natural) in zip(self.ties, self.ea, self.natural) if elastic else ():
            stretch = self.far(points, *ends) - natural
            if stretch > 0:
                total += 0.5 * ea / natural * stretch**2
                slope += ea / natural * stretch * self.along(points, *ends)
        for a, b, tension in self.pulls:
            total += tension * self.far(points, a, b)
            slope += tension * self.along(points, a, b)
        for point, force in self.forces:
            total -= force @ (points[point] - self.points[point])
            out = np.zeros_like(points)
            out[point] = force
            slope -= out[self.free].ravel()
        return total, slope

    def by_stiffness(self):
        """Tensions of the ties where the energy is least."""
        found = minimize(self.energy, self.start(), args=(True,), jac=True, method="BFGS", options={"gtol": 1e-3, "maxiter": 5000})
        fine = root(lambda x: self.energy(x, True)[1], found.x, method="hybr", tol=1e-13)
        x = fine.x if np.abs(fine.fun).max() < np.abs(found.jac).max() else found.x
        points = self.at(x)
        ties = [max(0.0, self.far(points, *ends) - n) * ea / n for ends, ea, n in zip(self.ties, self.ea, self.natural)]
        return ties, np.abs(self.energy(x, True)[1]).max()

    def by_length(self):
        """Tensions of ties that do not stretch: the least energy under constraints, then balance there."""
        rules = [
            {"type": "ineq", "fun": lambda x, e=ends, n=natural: n - self.far(self.at(x), *e), "jac": lambda x, e=ends: -self.along(self.at(x), *e)}
            for ends, natural in zip(self.ties, self.natural)
        ]
        size = max(np.hypot(*f) for _, f in self.forces)
        scaled = lambda x: tuple(part / size for part in self.energy(x, False))
        found = minimize(scaled, self.start(), jac=True, method="SLSQP", constraints=rules, options={"ftol": 1e-15, "maxiter": 2000})
        points = self.at(found.x)
        taut = [n for n, (ends, natural) in enumerate(zip(self.ties, self.natural)) if natural - self.far(points, *ends) < 1e-6]
        if not taut:
            return None, math.inf
        matrix = np.array([self.along(points, *self.ties[n]) for n in taut]).T
        if np.linalg.matrix_rank(matrix, tol=1e-4) < len(taut):
            return None, math.inf
        tensions, left = nnls(matrix, -self.energy(found.x, False)[1])
        ties = np.zeros(len(self.ties))
        ties[taut] = tensions
        return list(ties), left


def settled(case):
    shape = Shape(case)
    size = max(np.hypot(*f) for _, f in shape.forces)
    elastic, kept = case["engine"]["elastic"], case["engine"]["kept"]
    if "unsolved" in elastic:
        note("at rest: not solved", 0.0, 1.0, elastic)
    else:
        ties, left = shape.by_stiffness()
        # Only where SciPy itself came to rest is it a second opinion.
        if left < 1e-5 * size:
            worst = max(abs(a - b) for a, b in zip(elastic["ties"], ties)) / size
            note("at rest by stiffness, SciPy least energy", worst, 1e-5, (elastic, ties, left))
        else:
            note("at rest by stiffness, SciPy found none", 0.0, 1.0, left)
    slack = any(t["gap"] > 0 for t in case["ties"])
    if "unsolved" in kept:
        note("at rest as long as drawn: not solved", 0.0, 1.0, kept)
    elif kept["rest"] and not kept["shared"] and not slack:
        ties, left = shape.by_length()
        if left < 1e-5 * size:
            worst = max(abs(a - b) for a, b in zip(kept["ties"], ties)) / size
            note("at rest as long as drawn, SciPy SLSQP", worst, 1e-4, (kept, ties, left))
        else:
            note("at rest as long as drawn, none or more than one by SciPy", 0.0, 1.0, left)


def held(rule, up):
    if rule == "ground":
        return True
    ((kind, inner),) = rule.items()
    if kind == "part":
        return inner in up
    each = [held(one, up) for one in inner]
    return all(each) if kind == "all" else any(each)


def stands(case, gone):
    """From the ground upwards, a part at a time: what is held when these are gone."""
    up, grew = set(), True
    while grew:
        grew = False
        for part, rule in case["rules"].items():
            if part not in gone and part not in up and held(rule, up):
                up.add(part)
                grew = True
    return held(case["load"], up)


def support(case):
    parts = sorted(case["rules"], key=lambda p: int(p[1:]))
    singles = [p for p in parts if not stands(case, {p})]
    pairs = [[a, b] for a, b in itertools.combinations(parts, 2) if not stands(case, {a, b})]
    said = case["engine"]
    same = said["held"] == stands(case, set()) and said["singles"] == singles and said["pairs"] == pairs
    note("support, brute force", 0.0 if same else 1.0, 0.5, (said, singles, pairs))
    if case["plain"]:
        graph = nx.DiGraph()
        graph.add_node("ground")
        named = lambda rule: ["ground"] if rule == "ground" else [r["part"] if r != "ground" else "ground" for r in rule["any"]]
        for part, rule in list(case["rules"].items()) + [("load", case["load"])]:
            for other in named(rule):
                graph.add_edge(other, part)

        def reached(gone):
            left = graph.subgraph(n for n in graph if n not in gone)
            return nx.has_path(left, "ground", "load")

        cut = [p for p in parts if not reached({p})]
        same = said["held"] == reached(set()) and said["singles"] == cut
        note("support, NetworkX where it is plain connection", 0.0 if same else 1.0, 0.5, (said, cut))


def metres(text):
    return float(text.removesuffix("m"))


def template(case):
    """Each leg, connector and hitch of a template is in balance with what hangs on it: checked at the focal knots and plates by
    the legs' own directions from the file."""
    rig, forces = case["rig"], case["engine"]["forces"]
    place = {p["id"]: (metres(p["x"]), metres(p["y"])) for p in rig["points"]}
    fixed = {p["id"] for p in rig["points"] if p["fixed"]}
    for point in place:
        ties = [p for p in rig["parts"] if len(p["at"]) == 2 and point in p["at"] and p["kind"] in ("sling", "cord_leg", "connector")]
        legs = [p for p in ties if p["at"][0] == point and p["kind"] != "connector"]
        below = [p for p in ties if p["at"][1] == point and p["kind"] == "connector"]
        if point in fixed or len(legs) < 2 or not below or any(forces[p["id"]] is None for p in ties):
            continue
        x = y = 0.0
        for part in ties:
            other = part["at"][1] if part["at"][0] == point else part["at"][0]
            ux, uy, _ = way(place, point, other)
            x, y = x + forces[part["id"]] * ux, y + forces[part["id"]] * uy
        size = max(1.0, max(forces[p["id"]] for p in ties))
        if any(not lies_in_line(rig, place, forces, p) for p in below):
            continue
        note("templates, balance at knots and plates", math.hypot(x, y) / size, 1e-6, (case["name"], point, x, y))


def lies_in_line(rig, place, forces, connector):
    """Whether a connector hangs as drawn: with the rope below it."""
    low = connector["at"][0]
    for rope in rig["ropes"]:
        if low in rope["path"]:
            i = rope["path"].index(low)
            # The last point before it that lies elsewhere.
            before = [p for p in rope["path"][:i] if place[p] != place[low]]
            if before and place[connector["at"][1]] != place[low]:
                ux, uy, _ = way(place, low, before[-1])
                vx, vy, _ = way(place, low, connector["at"][1])
                return abs(ux * vy - uy * vx) < 1e-6
    return False


def advantage(case):
    """The load's hitch rises by a little; rope between what grips it keeps its length; how much does the team take in?"""
    rig = case["rig"]
    height = {p["id"]: metres(p["y"]) for p in rig["points"]}
    across = {p["id"]: metres(p["x"]) for p in rig["points"]}
    hitches = {p["at"][0]: p["at"][1] for p in rig["parts"] if p["kind"] == "haul_hitch"}
    ropes = [r["path"] for r in rig["ropes"] if "at_haul_team" in r["path"] or any(h in r["path"] for h in hitches)]
    step = 1e-5
    moved = dict(height)

    def length(path, y):
        return sum(math.hypot(y[a] - y[b], across[a] - across[b]) for a, b in zip(path, path[1:]))

    def lift(hitch, by):
        moved[hitch] = height[hitch] + by
        moved[hitches[hitch]] = height[hitches[hitch]] + by

    def taken_in(path):
        # From the last thing that is made fast before the team to the team itself.
        return length(path, height) - length(path, moved)

    lift("at_hitch", step)
    fast = lambda path: path[path.index("at_hitch"):] if "at_hitch" in path else path
    second = "at_hitch_2"
    if second in hitches:
        # Rope between the first hitch (or the end made fast) and the second keeps its length: the second rises by what it takes.
        path = next(fast(p) for p in ropes if second in p)
        path = path[: path.index(second) + 1]
        low, high = 0.0, 100 * step
        for _ in range(200):
            middle = (low + high) / 2
            lift(second, middle)
            if length(path, moved) < length(path, height):
                low = middle
            else:
                high = middle
    path = next(fast(p) for p in ropes if "at_haul_team" in p)
    if second in path:
        path = path[path.index(second):]
    found = taken_in(path) / step
    note("advantage, virtual work", abs(found - case["engine"]["theoretical"]) / found, 1e-4, (case["name"], found, case["engine"]))


KINDS = {"network": network, "settled": settled, "support": support, "template": template, "advantage": advantage}
for line in sys.stdin:
    case = json.loads(line)
    KINDS[case["case"]](case)

width = max(len(name) for name in rows)
print(f"| {'second opinion':{width}} | cases | largest difference | failures |")
print(f"|{'-' * (width + 2)}|---|---|---|")
for name in sorted(rows):
    row = rows[name]
    print(f"| {name:{width}} | {row['cases']} | {row['worst']:.2g} | {row['failures']} |")
for words in told:
    print(words)
sys.exit(1 if any(row["failures"] for row in rows.values()) else 0)
