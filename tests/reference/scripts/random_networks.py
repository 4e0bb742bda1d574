"""Random networks, solved with a general-purpose solver.

Needs: scipy 1.17.1 (optimize.root), numpy, fluids 1.3.1 (friction after Churchill 1977, TP 410's
joining tees) and, for the two properties below, iapws 1.5.5; run with `python -P`. Writes
random_networks.json: for each network the text of the case and the answer, mass flow of every run
in kg/s and total gauge pressure of every junction in Pa, to 14 digits.

The laws are written down here from their publications, not from the program:
  hoses     Darcy-Weisbach with Churchill 1977 (Chem. Eng. 84(24), 91), loss coefficients
  bores     Borda-Carnot (1 - A1/A2)^2 when widening, 0.5 (1 - A2/A1) when narrowing
  cones     TP 410, reducers and enlargements
  ratings   fall = D (Q/Q0)^n
  pumps     H = a - b Q - c Q^2 by affinity at any speed; the case has points of it. Beyond them and
            backwards the program's own definition is written down again
  tees      Gardel 1957 at 90 degrees; TP 410, joining; Bassett, Winterbone & Pearson 2001
            (Proc. IMechE C 215, 861) dividing; joined supplies after Mynard & Valen-Sendstad 2015
For opposed joining and for check valves nothing published holds exactly: there the program's own
definition is written down again (momentum balance of Bassett's run with all of the other run's
flow turned; open valve from the cracking pressure p to D at Q0: (D - p) (Q/Q0)^2 + p, shut valve leaking 1e-4 of Q0 at 100 kPa).

Parts and tees are taken out of the drawn networks until they leave out what is the program's own
smoothing: every flow of a tee above 3 % of the through flow (10 % in tees of Gardel and TP 410), every
rated part above 0.2 % of its rating. The smallest of the 40 networks has 6
runs, the largest 40.
"""
import json
from math import atan2, cos, pi, sin, sqrt
from multiprocessing import Pool
from pathlib import Path

import numpy as np
from fluids.fittings import K_branch_converging_Crane, K_run_converging_Crane
from fluids.friction import Churchill_1977
from scipy.optimize import root

G = 9.80665
# Water of 20 °C at 101.325 kPa, IAPWS-97 and IAPWS R12-08 by iapws 1.5.5: kg/m³, Pa·s.
RHO = 998.2060924679477
MU = 0.00100159685462303


def area(d):
    return pi * d * d / 4


def head(m, d):
    v = m / (RHO * area(d))
    return 0.5 * RHO * v * abs(v)


def text(x):
    return f"{x:.10g}"


# ---- parts: text of the case, and fall at a mass flow ----

class Hose:
    def __init__(self, rng, bore):
        self.bore = bore
        self.length = round(10 ** rng.uniform(-0.5, 0.8), 3)
        self.rough = float(rng.choice([1.5, 3.0, 5.0, 20.0, 100.0]))
        self.loss = round(rng.uniform(0, 3), 2) if rng.random() < 0.5 else 0.0
        self.rise = 0.0

    def case(self):
        return (f'Hose(length: "{text(self.length)} m", bore: "{text(self.bore * 1e3)} mm", '
                f'roughness: "{self.rough} µm", loss: {self.loss}, rise: "{text(self.rise)} m")')

    def fall(self, m):
        re = 4 * abs(m) / (pi * self.bore * MU)
        if re < 1e-6:
            friction = 128 * MU * self.length * m / (pi * RHO * self.bore**4)
        else:
            f = Churchill_1977(re, self.rough * 1e-6 / self.bore)
            friction = f * self.length / self.bore * head(m, self.bore)
        return friction + self.loss * head(m, self.bore) + RHO * G * self.rise


class Change:
    """What stands between two bores without a part of its own."""
    def __init__(self, a, b):
        self.a, self.b = a, b

    def fall(self, m):
        small, large = min(self.a, self.b), max(self.a, self.b)
        ratio = area(small) / area(large)
        widens = (m > 0) == (self.b > self.a)
        return ((1 - ratio)**2 if widens else 0.5 * (1 - ratio)) * head(m, small)


class Cone(Change):
    def __init__(self, rng, a, b):
        super().__init__(a, b)
        self.angle = float(rng.choice([15, 20, 30, 40, 60, 90]))

    def case(self):
        return f'Reducer(to: "{text(self.b * 1e3)} mm", angle: "{self.angle}°")'

    def fall(self, m):
        small, large = min(self.a, self.b), max(self.a, self.b)
        rest = 1 - area(small) / area(large)
        half = sin(self.angle * pi / 360)
        if (m > 0) == (self.b > self.a):
            k = rest**2 * (2.6 * half if self.angle <= 45 else 1)
        else:
            k = rest * (0.8 * half if self.angle <= 45 else 0.5 * sqrt(half))
        return k * head(m, small)


class Rated:
    def __init__(self, rng, bore):
        self.word = str(rng.choice(["Meter", "Filter", "Coupling", "Resistance"]))
        self.drop = round(10 ** rng.uniform(0.3, 1.7), 2) * 1e3
        self.at = round(area(bore) * rng.uniform(0.5, 3) * 1e3, 4) * 1e-3
        self.n = float(rng.choice([1.0, 1.75, 1.8, 2.0]))

    def case(self):
        return (f'{self.word}(fall: "{text(self.drop / 1e3)} kPa", at: "{text(self.at * 1e3)} L/s", '
                f'exponent: {self.n})')

    def fall(self, m):
        x = m / (RHO * self.at)
        return self.drop * np.sign(x) * abs(x)**self.n

    def fits(self, m):
        return abs(m) / (RHO * self.at) > 0.002


class Check:
    def __init__(self, rng, bore):
        self.drop = round(rng.uniform(1, 20), 2) * 1e3
        self.at = round(area(bore) * rng.uniform(1, 3) * 1e3, 4) * 1e-3
        self.crack = round(rng.uniform(0.2, 5), 2) * 1e3
        self.drop += self.crack  # all of its fall at Q0

    def case(self):
        return (f'CheckValve(fall: "{text(self.drop / 1e3)} kPa", at: "{text(self.at * 1e3)} L/s", '
                f'cracking: "{text(self.crack / 1e3)} kPa")')

    def fall(self, m):
        x = m / (RHO * self.at)
        shut = 1e5 / (1e-4 * RHO * self.at)
        if m < 0:
            return m * shut
        held = [self.crack * f / (f + self.crack / shut) for f in (m, RHO * self.at)]
        return (self.drop - held[1]) * x * x + held[0]

    def fits(self, m):
        return m < 0 or m / (RHO * self.at) > 0.002


class Pump:
    def __init__(self, rng, bore, name):
        self.name = name
        self.most = area(bore) * rng.uniform(3, 6)
        self.a = rng.uniform(30e3, 150e3)
        share = rng.uniform(0.1, 0.4)
        self.b = share * self.a / self.most
        self.c = (1 - share) * self.a / self.most**2
        self.speed = round(float(rng.choice([0.6, 0.8, 1.0, 1.2])), 2)
        self.rho = float(rng.choice([998.2, 1000.0, 1040.0]))

    def case(self):
        return f'Pump(curve: "{self.name}", speed: "{text(self.speed * 100)} %", heat_share: "0 %")'

    def curve(self):
        points = []
        for q in np.linspace(0, self.most, 8):
            rise = self.a - self.b * q - self.c * q * q
            points.append(f'("{q * 1e3:.13g} L/s", "{max(rise, 0) / 1e3:.13g} kPa")')
        return f'"{self.name}": PumpCurve(density: "{self.rho} kg/m3", points: [{", ".join(points)}])'

    def fall(self, m):
        s = self.speed
        q = m / RHO / s
        at = min(max(q, 0.0), self.most)
        slope = -(self.b + 2 * self.c * at)
        rise = self.a - self.b * at - self.c * at * at + slope * (q - at)
        # At rest, by default: 0.61 of the pressure at shut-off at the free flow; backwards 1.86 of it.
        still = 0.61 * self.a / self.most**2
        if q < 0:
            rise += 1.86 * self.a / self.most**2 * q * q
        elif q > self.most:
            # The parabola that begins with the slope of the table's end and touches -still q^2.
            approach = slope + 2 * still * self.most
            touch = self.most - 2 * still * self.most**2 / approach
            bend = still - approach**2 / (4 * still * self.most**2)
            rise = -still * q * q if q > touch else rise - bend * (q - self.most)**2
        return -rise * s * s * RHO / self.rho

    def fits(self, m):
        return True


# ---- tees: total pressure of each leg over that of the junction ----

A, B, SIDE = 0, 1, 2


def pattern(flows):
    """Which way three flows into a tee go; run legs A and B, then the side."""
    a, b, _ = (f >= 0 for f in flows)
    if flows[A] >= 0 and flows[B] >= 0:
        return "opposed"
    if flows[A] < 0 and flows[B] < 0:
        return "splitting"
    if flows[SIDE] < 0:
        return "dividing A" if flows[A] >= 0 else "dividing B"
    return "joining B" if a and not b else "joining A"


def gardel(q, dividing, phi):
    """At 90°, sharp-edged: K of run and side."""
    r = 1 - q
    if dividing:
        side = 0.95 * r**2 + q**2 * (1.3 - 0.3 + (0.4 - 0.1 * phi) / phi**2) \
            + 0.4 * q * r * (1 + phi) / phi
        return 0.03 * r**2 + 0.35 * q**2 - 0.2 * q * r, side
    side = -0.92 * r**2 - q**2 * (-1.2 + 0.8 * (1 - 1 / phi**2)) + (2 - phi) * q * r
    run = 0.03 * r**2 - q**2 * (1 - 1.62 - 0.38 * (1 - phi)) + (2 - phi) * q * r
    return run, side


def tp410(flows, bores, main, other, angle):
    """Joining only, by the library."""
    run, side = abs(flows[other]) / RHO, abs(flows[SIDE]) / RHO
    k = [f(D_run=bores[main], D_branch=bores[SIDE], Q_run=run, Q_branch=side, angle=angle)
         for f in (K_run_converging_Crane, K_branch_converging_Crane)]
    return k


def tee(kind, angle, flows, bores):
    """(excess of each leg, fits): angle in degrees between the side and run leg B."""
    shift = sum(flows) / 3
    flows = [f - shift for f in flows]
    if max(map(abs, flows)) < 1e-12:
        return [0.0] * 3, False
    way = pattern(flows)
    sizes = sorted(map(abs, flows))
    least = 0.03 if kind == "Unified" else 0.1
    fits = sizes[0] > least * (sizes[1] + sizes[2]) / 2
    v = [f / (RHO * area(d)) for f, d in zip(flows, bores)]
    if way[:-2] in ("dividing", "joining"):
        main = A if way.endswith("A") else B
        other = B if main == A else A
        turn = angle if way in ("dividing A", "joining A") else 180 - angle
        level = bores[A] == bores[B] and bores[SIDE] <= bores[A]
        q = -flows[SIDE] / flows[main]
        phi = area(bores[SIDE]) / area(bores[main])
        dividing = way.startswith("dividing")
        k = None
        if kind == "Gardel" and level and turn == 90:
            k = gardel(q, dividing, phi)
        elif kind == "Gardel" and level and 45 <= turn <= 135:
            fits = False
        elif kind == "TP410" and level and turn <= 90:
            if dividing:
                k, fits = (0.5, 0.5), False
            else:
                # Near q = 0.4 the source has a step, which the program closes.
                k = tp410(flows, bores, main, other, turn)
                fits = fits and not 0.38 < q < 0.41 and turn in (60, 90)
        if k is not None:
            h = 0.5 * RHO * v[main]**2 * (-1 if dividing else 1)
            excess = [0.0] * 3
            excess[other], excess[SIDE] = k[0] * h, k[1] * h
            return excess, fits
    # Momentum balance. Directions in which the legs point, from the junction.
    direction = {A: pi, B: 0.0, SIDE: angle * pi / 180}
    supplies = [k for k in range(3) if flows[k] >= 0]
    total = sum(flows[k] for k in supplies)
    speed = sum(flows[k] * v[k] for k in supplies) / total
    pressure = [0.0] * 3  # over the static pressure at the supplies
    for k in range(3):
        if k in supplies:
            pressure[k] = 0.5 * RHO * v[k]**2
        else:
            between = [abs(direction[k] - direction[s]) for s in supplies]
            across = sum(flows[s] * sin(x) for s, x in zip(supplies, between))
            along = -sum(flows[s] * cos(x) for s, x in zip(supplies, between))
            turn = atan2(across, along)
            u = abs(v[k])
            static = -RHO * (u * u - u * speed * cos(0.75 * turn))
            pressure[k] = static + 0.5 * RHO * u * u
    if way.startswith("dividing"):
        main = A if way.endswith("A") else B
        other = B if main == A else A
        # Bassett's run, K = s² - 1.5 s + 0.5: a quarter of what turns off is left to it.
        pressure[other] += 0.25 * abs(v[main]) * -flows[SIDE] / area(bores[other])
    if way == "opposed":
        pressure[A] += 0.25 * v[B] * flows[B] / area(bores[A])
        pressure[B] += 0.25 * v[A] * flows[A] / area(bores[B])
    if way[:-2] in ("dividing", "joining"):
        level = pressure[A if way.endswith("A") else B]
    else:
        level = (flows[A] * pressure[A] + flows[B] * pressure[B]) / (flows[A] + flows[B])
    return [p - level for p in pressure], fits


# ---- networks ----

class Network:
    def __init__(self, rng, count, loops, closed):
        self.rng = rng
        nodes = count - loops + 1
        edges = [(int(rng.integers(max(0, k - 4), k)), k) for k in range(1, nodes)]
        while len(edges) < count:
            a, b = (int(x) for x in rng.integers(0, nodes, 2))
            if a != b:
                edges.append((a, b))
        if closed:  # no leaves
            degree = self.degrees(edges, nodes)
            leaves = [n for n in range(nodes) if degree[n] == 1]
            while leaves:
                a = leaves.pop()
                b = leaves.pop() if leaves else (a + 1) % nodes
                edges.append((a, b))
        self.edges = [e if rng.random() < 0.5 else e[::-1] for e in edges]
        self.nodes = nodes
        self.degree = self.degrees(edges, nodes)
        self.height = [round(rng.uniform(-0.5, 0.5), 3) for _ in range(nodes)]
        self.open = {}
        self.closed = closed
        if closed:
            self.held = {0: 150e3}
        else:
            self.open_ends()
            self.held = {n: p for n, (kind, p) in self.open.items() if kind == "pressure"}
        self.fed = {n: q for n, (kind, q) in self.open.items() if kind == "flow"}
        self.pumps = []
        bores = [float(rng.choice([10, 12, 15, 16, 19, 22, 25, 32])) * 1e-3 for _ in range(nodes)]
        self.runs = [self.run(a, b, bores) for a, b in self.edges]
        self.make_tees()

    @staticmethod
    def degrees(edges, nodes):
        degree = [0] * nodes
        for a, b in edges:
            degree[a] += 1
            degree[b] += 1
        return degree

    def open_ends(self):
        rng = self.rng
        for n in range(self.nodes):
            if self.degree[n] == 1 or rng.random() < 0.05:
                if rng.random() < 0.6:
                    self.open[n] = ("pressure", round(rng.uniform(50, 400), 1) * 1e3)
                else:
                    q = round(rng.uniform(0.05, 0.5), 3) * float(rng.choice([-1, 1]))
                    self.open[n] = ("flow", q * 1e-3)
        if not any(kind == "pressure" for kind, _ in self.open.values()):
            n = min(self.open, default=0)
            self.open[n] = ("pressure", 200e3)

    def run(self, a, b, bores):
        rng = self.rng
        first, last = Hose(rng, bores[a]), Hose(rng, bores[b])
        parts = [first]
        for _ in range(int(rng.integers(0, 3))):
            pick = rng.random()
            if pick < 0.55:
                parts.append(Rated(rng, first.bore))
            elif pick < 0.75:
                parts.append(Check(rng, first.bore))
            else:
                self.pumps.append(Pump(rng, first.bore, f"curve_{len(self.pumps)}"))
                parts.append(self.pumps[-1])
        if first.bore != last.bore:
            if rng.random() < 0.4:
                parts.append(Cone(rng, first.bore, last.bore))
            else:
                parts.append(Change(first.bore, last.bore))
        parts.append(last)
        rise = round(self.height[b] - self.height[a], 3)
        first.rise = round(rise / 3, 3)
        last.rise = round(rise - first.rise, 3)
        for hose in (first, last):
            hose.length = max(hose.length, round(abs(hose.rise) + 0.05, 3))
        return parts

    def make_tees(self):
        """Joins of three runs become tees; some side legs are narrowed."""
        rng = self.rng
        self.tees = {}
        for n in range(self.nodes):
            if self.degree[n] != 3 or n in self.open or rng.random() < 0.15:
                continue
            legs = [(r, end) for r, (a, b) in enumerate(self.edges)
                    for end, at in ((0, a), (-1, b)) if at == n]
            legs = [legs[k] for k in rng.permutation(3)]
            kind = str(rng.choice(["Gardel", "TP410", "Unified"]))
            angle = {"Gardel": [90], "TP410": [60, 90], "Unified": [45, 60, 90, 120, 135]}[kind]
            self.tees[n] = (legs, kind, int(rng.choice(angle)))

    def laws(self, x):
        """Open balances at flows and pressures: Pa of every run, kg/s of every free node."""
        flows = x[:len(self.edges)]
        p = dict(self.held) | {n: v * 1e5 for n, v in zip(self.free, x[len(self.edges):])}
        falls = [sum(part.fall(m) for part in parts) for parts, m in zip(self.runs, flows)]
        for legs, kind, angle in self.tees.values():
            inward = [flows[r] if end == -1 else -flows[r] for r, end in legs]
            excess, _ = tee(kind, angle, inward, [self.runs[r][end].bore for r, end in legs])
            for (r, end), e in zip(legs, excess):
                falls[r] += e if end == -1 else -e
        balance = [RHO * self.fed.get(n, 0.0) for n in range(self.nodes)]
        for (a, b), m in zip(self.edges, flows):
            balance[a] -= m
            balance[b] += m
        return np.array([(f - p[a] + p[b]) / 1e5 for f, (a, b) in zip(falls, self.edges)]
                        + [balance[n] for n in self.free])

    def solve(self):
        self.free = [n for n in range(self.nodes) if n not in self.held]
        for trial in range(2):
            rng = np.random.default_rng(trial)
            x = np.concatenate([rng.uniform(-0.5, 0.5, len(self.edges)), np.full(len(self.free), 2.0)])
            found = root(self.laws, x, method="hybr" if trial % 2 == 0 else "lm", tol=1e-13,
                         options={"maxfev" if trial % 2 == 0 else "maxiter": 40 * len(x)})
            x = found.x
            if np.max(np.abs(self.laws(x))) < 1e-5:
                break
        else:
            return False
        for _ in range(8):  # Newton with central differences, down to rounding
            step = np.maximum(np.abs(x), 1e-3) * 1e-6
            jacobian = np.array([(self.laws(x + s) - self.laws(x - s)) / (2 * d) for s, d in
                                 zip(np.diag(step), step)]).T
            x = x - np.linalg.solve(jacobian, self.laws(x))
        self.x = x
        self.flows = x[:len(self.edges)]
        self.pressures = dict(self.held) | {n: v * 1e5 for n, v in zip(self.free, x[len(self.edges):])}
        return np.max(np.abs(self.laws(x))) < 1e-12

    def repair(self):
        """Takes out what is outside the range of this script; whether nothing had to go."""
        whole = True
        for parts, m in zip(self.runs, self.flows):
            for part in [p for p in parts if hasattr(p, "fits") and not p.fits(m)]:
                parts.remove(part)
                whole = False
        self.patterns = []
        for n, (legs, kind, angle) in list(self.tees.items()):
            inward = [self.flows[r] if end == -1 else -self.flows[r] for r, end in legs]
            if tee(kind, angle, inward, [self.runs[r][end].bore for r, end in legs])[1]:
                self.patterns.append(f"{kind} {angle} {pattern(inward)}")
            else:
                del self.tees[n]
                whole = False
        self.pumps = [p for p in self.pumps if any(p in parts for parts in self.runs)]
        return whole

    def case(self):
        lines = ["Case(", '    site: Site(air: "20 °C"),',
                 '    circuits: { "net": Circuit(coolant: Water, start: "20 °C",']
        if self.closed:
            lines.append('        pressure: "150 kPa", pressure_at: "j0",')
        lines.append("        runs: {")
        for r, ((a, b), parts) in enumerate(zip(self.edges, self.runs)):
            inner = ", ".join(f'"p{k}": {part.case()}' for k, part in enumerate(parts)
                              if hasattr(part, "case"))
            lines.append(f'            "r{r}": Run(from: "j{a}", to: "j{b}", '
                         f'bore: "{text(parts[0].bore * 1e3)} mm", parts: {{ {inner} }}),')
        lines.append("        }, junctions: {")
        for n, (kind, value) in self.open.items():
            said = f"{text(value / 1e3)} kPa" if kind == "pressure" else f"{text(value * 1e3)} L/s"
            lines.append(f'            "j{n}": Open({kind}: "{said}", temperature: "20 °C"),')
        if self.closed and 0 not in self.tees:
            lines.append('            "j0": Joint(),')
        for n, (legs, kind, angle) in self.tees.items():
            a, b, side = (f'"r{r}"' for r, _ in legs)
            lines.append(f'            "j{n}": Tee(straight: ({a}, {b}), side: {side}, '
                         f'angle: "{angle}°", formulas: {kind}),')
        lines.append("        }) },")
        if self.pumps:
            lines.append("    pump_curves: {")
            lines += [f"        {pump.curve()}," for pump in self.pumps]
            lines.append("    },")
        return "\n".join([*lines, ")"]) + "\n"


def size(k):
    """Runs of network k of 40: from 6 to 40."""
    return 6 + round(34 * (k / 39)**1.5)


def draw(k):
    for attempt in range(4000):
        rng = np.random.default_rng([20251125, k, attempt])
        count = size(k)
        closed = k % 8 == 5
        loops = int(rng.integers(3 if closed else 0, max(4, count // 3)))
        net = Network(rng, count, loops, closed)
        used = {end for edge in net.edges for end in edge}
        if len(used) < net.nodes or (closed and not net.pumps):
            continue
        if closed and min(net.degree) < 2:
            continue
        try:
            done = any(net.solve() and net.repair() for _ in range(5))
        except (np.linalg.LinAlgError, ValueError, ZeroDivisionError, OverflowError):
            continue
        if done and max(abs(net.flows)) > 0.02:  # something drives it
            return net, attempt
    raise SystemExit(f"network {k}: none found")


def main():
    networks = []
    with Pool() as pool:
        drawn = pool.map(draw, range(39, -1, -1), chunksize=1)[::-1]
    for k, (net, attempt) in enumerate(drawn):
        networks.append({
            "name": f"network {k}",
            "case": net.case(),
            "tees": net.patterns,
            "flows_kg_s": {f"r{r}": float(f"{m:.14g}") for r, m in enumerate(net.flows)},
            "pressures_pa": {f"j{n}": float(f"{p:.14g}") for n, p in sorted(net.pressures.items())},
        })
        print(k, attempt, len(net.edges), len(net.edges) - net.nodes + 1, net.patterns, flush=True)
    data = {"made_by": "scripts/random_networks.py, scipy 1.17.1, fluids 1.3.1, iapws 1.5.5",
            "density_kg_m3": RHO, "viscosity_pa_s": MU, "networks": networks}
    out = Path(__file__).parent.parent / "random_networks.json"
    out.write_text(json.dumps(data, indent=0, ensure_ascii=False) + "\n")


if __name__ == "__main__":
    main()
