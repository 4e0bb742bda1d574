"""Looped and branched networks of textbooks and exercises, solved with general libraries.

Needs: fluids 1.3.1 (friction factors), scipy 1.17.1 (root), numpy; run with `python -P`, so that
the script fluids.py beside it is not taken for the library. Writes published_networks.csv next to
the other reference files. Sources and printed answers: printed_networks.csv.

Every network is solved twice: with the law that its author uses (which shows that the printed
inputs give the printed answers), and with the law of the program (Churchill 1977 for friction,
signed squares for given resistances), which is what the program has to meet closely.
"""
from math import pi
from pathlib import Path

import numpy as np
from fluids.friction import Churchill_1977, Colebrook, Haaland
from scipy.optimize import root

G = 9.80665  # as in the program
FOOT = 0.3048
CFS = FOOT**3


def solve(pipes, drawn, held):
    """Flows of the pipes (from, to, head lost at a flow) and heads of the free nodes.

    `drawn` is the flow drawn off at a node, `held` the head of the nodes where it is known.
    """
    nodes = list(dict.fromkeys(n for a, b, _ in pipes for n in (a, b)))
    free = [n for n in nodes if n not in held]
    count = len(pipes)

    def open_(x):
        head = dict(held) | dict(zip(free, x[count:]))
        balance = {n: -drawn.get(n, 0.0) for n in nodes}
        for (a, b, _), q in zip(pipes, x):
            balance[a] -= q
            balance[b] += q
        return [law(q) - head[a] + head[b] for (a, b, law), q in zip(pipes, x)] + \
            [balance[n] for n in free]

    size = max([abs(q) for q in drawn.values()] + [1e-3])
    for seed in range(50):
        start = np.random.default_rng(seed).uniform(-size, size, count)
        heads = np.full(len(free), np.mean(list(held.values())))
        x = root(open_, np.concatenate([start, heads]), tol=1e-15).x
        if np.max(np.abs(open_(x))) < 1e-9:
            return list(x[:count]), dict(zip(free, x[count:]))
    raise SystemExit("no solution found")


def pipe(law, length, bore, eps, nu, k=0.0, lift=0.0):
    """Head lost in a pipe of constant bore, m, and the height that it gains."""
    def head(q):
        v = q / (pi * bore * bore / 4)
        re = abs(v) * bore / nu
        if re < 1e-9:
            return lift
        f = 64 / re if law is not Churchill_1977 and re < 2040 else law(re, eps / bore)
        return (f * length / bore + k) * v * abs(v) / (2 * G) + lift
    return head


def square(k):
    return lambda q: k * q * abs(q)


def plus(law, head):
    return lambda q: law(q) + head(q)


# M. Bakker: Darcy factor 0.02, bore 300 mm, 9.81 m/s²; flows in m³/h, heads in m.
def bakker(length):
    return 8 * 0.02 * length / (9.81 * pi**2 * 0.3**5)


def triangle():
    pipes = [("A", "B", square(bakker(1600))), ("B", "C", square(bakker(1200))),
             ("A", "C", square(bakker(2000)))]
    q, h = solve(pipes, {"C": 400 / 3600}, {"A": 40.0})
    return {"triangle 0": q[0] * 3600, "triangle 2": q[2] * 3600, "triangle head C": h["C"]}


def rectangle():
    pipes = [("A", "B", square(bakker(1600))), ("B", "C", square(bakker(1200))),
             ("A", "D", square(bakker(1600))), ("D", "C", square(bakker(1200)))]
    q, h = solve(pipes, {"B": 200 / 3600, "C": 300 / 3600}, {"A": 40.0})
    return {f"rectangle {k}": q[k] * 3600 for k in range(3)} | {"rectangle head C": h["C"]}


def two_loops(signed):
    """The notes square the flow without its sign, so that pipe 1, which runs backwards, gains."""
    one = square(bakker(1200)) if signed else (lambda q: bakker(1200) * q * q)
    pipes = [("A", "B", square(bakker(1600))), ("B", "C", one), ("A", "D", square(bakker(1600))),
             ("D", "C", square(bakker(1200))), ("A", "C", square(bakker(2000)))]
    q, h = solve(pipes, {"B": 200 / 3600, "C": 300 / 3600}, {"A": 40.0})
    names = ["two loops 0", "two loops 1", "two loops 2", "two loops 4"]
    return dict(zip(names, [q[k] * 3600 for k in (0, 1, 2, 4)])) | {"two loops head C": h["C"]}


# Hodge & Taylor, example 1.11: feet, ft³/s; kinematic viscosity 3.104e-5/1.94 ft²/s.
def hodge(law, extra=None, sixth=None):
    nu, eps = 3.104e-5 / 1.94 * FOOT**2, 0.00015 * FOOT
    rows = [("A", "B", 2000, 12), ("D", "B", 2000, 8), ("E", "D", 3000, 6), ("A", "E", 4000, 6),
            ("A", "F", 1000, 8), ("F", "C", 3000, 8), ("B", "C", 2000, 8)]
    # Pipes 2, 3, 4 go from A by E to D and on to B, where pipe 2 is counted.
    pipes = []
    for k, (a, b, length, inches) in enumerate(rows):
        head = pipe(law, length * FOOT, inches / 12 * FOOT, eps, nu)
        if extra and k == 0:
            head = plus(head, extra)
        if sixth and k == 5:
            head = plus(head, sixth)
        pipes.append((a, b, head))
    q, _ = solve(pipes, {"D": 1 * CFS, "C": 2 * CFS}, {"A": 0.0})
    return [x / CFS for x in q]


def hodge_all(law):
    exchanger = square(50 * FOOT / CFS**2)
    cases = {
        "plain": {},
        "exchanger": {"extra": exchanger},
        "pump": {"extra": plus(exchanger, lambda q: -203.5 * FOOT)},
        "large pump": {"sixth": lambda q: -1000.0 * FOOT},
    }
    answers = {}
    for name, devices in cases.items():
        q = hodge(law, **devices)
        for k in (0, 1, 2, 4, 6):
            answers[f"{name} Q{k + 1}"] = q[k]
    return answers


# Cengel & Cimbala, example 8-9: 20 °C, 998 kg/m³, 1.002e-3 Pa·s; L/s.
def shower(law):
    nu, rho, eps, bore = 1.002e-3 / 998, 998.0, 1.5e-6, 0.015
    supply = 200e3 / (rho * G)
    main = ("in", "tee", pipe(law, 5, bore, eps, nu))
    spray = ("tee", "air", pipe(law, 6, bore, eps, nu, 24.7, 2.0))
    tank = ("tee", "air", pipe(law, 1, bore, eps, nu, 26.9, 1.0))
    held = {"in": supply, "air": 0.0}
    alone, _ = solve([main, spray], {}, held)
    q, _ = solve([main, spray, tank], {}, held)
    names = ["shower alone", "shower main", "shower", "toilet"]
    return dict(zip(names, [x * 1e3 for x in [alone[0], *q]]))


# h = K Q², ft and ft³/s; reservoir B stands 10 ft below A.
def seven_pipes():
    rows = [("A", "1", 0.38), ("1", "2", 2.89), ("1", "4", 2.53), ("4", "2", 12.13),
            ("3", "2", 2.17), ("3", "4", 2.89), ("B", "3", 0.94)]
    q, _ = solve([(a, b, square(k)) for a, b, k in rows],
                 {"1": 2.0, "2": 4.0, "3": 1.0, "4": 3.0}, {"A": 0.0, "B": -10.0})
    return {f"seven pipes {k + 1}": x for k, x in enumerate(q)} | \
        {f"seven pipes head {k}": rows[k - 1][2] * q[k - 1] ** 2 for k in (2, 3, 4)}


# Thirteen pipes: feet, inches, ft³/s; 62.3 lbf/ft³, 20.5e-6 lbf·s/ft².
THIRTEEN = [("a", "b", 1000, 18), ("a", "h", 1600, 24), ("b", "c", 500, 18), ("b", "e", 800, 16),
            ("c", "d", 500, 18), ("c", "f", 800, 16), ("d", "g", 800, 16), ("e", "f", 500, 12),
            ("e", "i", 800, 18), ("f", "g", 500, 12), ("g", "j", 800, 18), ("h", "i", 1000, 24),
            ("i", "j", 1000, 24)]


def thirteen(law):
    nu = 20.5e-6 * (G / FOOT) / 62.3 * FOOT**2
    laws = [pipe(law, length * FOOT, inches / 12 * FOOT,
                 (0.003 if inches in (18, 24) else 0.00085) * FOOT, nu)
            for _, _, length, inches in THIRTEEN]
    pipes = [(a, b, law) for (a, b, _, _), law in zip(THIRTEEN, laws)]
    q, _ = solve(pipes, {"e": 3 * CFS, "f": 5 * CFS, "d": 2 * CFS}, {"h": 0.0})
    answers = {f"thirteen {a}-{b}": x / CFS for (a, b, _), x in zip(pipes, q)}
    answers["thirteen reynolds a-b"] = 4 * q[0] / (pi * 1.5 * FOOT * nu)
    return answers | {"thirteen head a-b": laws[0](q[0]) / (FOOT / 12)}


# T. G. Cleveland: heads 70, 100 and 80; the notes lose the square on the way to the computer.
def three_reservoirs(squared):
    rows = [("A", "D", 6.377, 0.2827), ("B", "D", 2.869, 0.5026), ("D", "C", 2.551, 1.1309)]
    pipes = [(a, b, square(r / area**2) if squared else (lambda q, k=r / area: k * q))
             for a, b, r, area in rows]
    q, h = solve(pipes, {}, {"A": 70.0, "B": 100.0, "C": 80.0})
    names = ["reservoir AD", "reservoir BD", "reservoir DC"]
    return dict(zip(names, q)) | {"reservoir head D": h["D"]}


if __name__ == "__main__":
    solved = [
        (triangle(), triangle()),
        (rectangle(), rectangle()),
        (two_loops(False), two_loops(True)),
        (hodge_all(Haaland), hodge_all(Churchill_1977)),
        (shower(Colebrook), shower(Churchill_1977)),
        (seven_pipes(), seven_pipes()),
        (thirteen(Colebrook), thirteen(Churchill_1977)),
        (three_reservoirs(False), three_reservoirs(True)),
    ]
    lines = [
        "# Looped and branched networks of printed_networks.csv, solved with fluids 1.3.1 (Python)",
        "# and scipy 1.17.1 by scripts/published_networks.py: with the law that gives the printed",
        "# answers, and with the law of the program. Units as in printed_networks.csv.",
        "# Exercises: hoses, measured resistances, pumps and open ends in whole looped cases.",
        "answer,author,program",
    ]
    for author, program in solved:
        lines += [f"{name},{author[name]:.10g},{program[name]:.10g}" for name in author]
    out = Path(__file__).parent.parent / "published_networks.csv"
    out.write_text("\n".join(lines) + "\n")
    print(out.read_text())
