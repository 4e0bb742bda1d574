"""Pipe networks of printed examples, solved with an independent library.

Needs: fluids 1.3.1, scipy 1.17.1; run with `python -P`, so that the script fluids.py beside it is not
taken for the library. Writes published_pipes.csv next to the other reference files.
Every network is solved twice: with Colebrook's friction factor, which the books use, and with
Churchill's of 1977, which the program uses. The first shows that the printed inputs give the
printed answers, the second is what the program has to meet closely.
"""
from math import pi, sqrt
from pathlib import Path

from fluids.friction import Churchill_1977, Colebrook
from scipy.optimize import brentq

G = 9.80665  # as in the program; the books' 9.81 moves flows by 0.02 % where heads are given


def colebrook(re, ed):
    return 64 / re if re < 2040 else Colebrook(re, ed)


LAWS = {"colebrook": colebrook, "churchill": Churchill_1977}


def loss(law, q, length, d, eps, nu, k=0.0):
    """Head lost in a pipe, m, of the sign of q."""
    if q == 0:
        return 0.0
    v = q / (pi * d * d / 4)
    return (law(abs(v) * d / nu, eps / d) * length / d + k) * v * abs(v) / (2 * G)


def flow(law, head, *pipe):
    """Flow at a head, m3/s, of the sign of the head."""
    size = brentq(lambda q: loss(law, q, *pipe) - abs(head), 1e-9, 10, xtol=1e-15, rtol=1e-13)
    return size if head > 0 else -size


def fittings(law):
    head = loss(law, 6e-3, 89, 0.05, 0.26e-3, NU10, 2.36)
    return {"line_z1_m": 4 + head}


def two_pipes(law):
    pipes = [(36, d, 0.045e-3, NU20) for d in (0.04, 0.08)]

    def open_(head):
        q = sum(flow(law, head, *p) for p in pipes)
        return 5600 / (RHO20 * G * q) - 8 - head

    head = brentq(open_, 1, 50, xtol=1e-13)
    one, two = (flow(law, head, *p) for p in pipes)
    return {"pair_total_m3_s": one + two, "pair_one_m3_s": one, "pair_two_m3_s": two,
            "pair_loss_m": head, "pair_pump_head_m": head + 8}


WHITE = [(100, 0.08, 0.003 * 0.08, 1.02e-6), (150, 0.06, 0.002 * 0.06, 1.02e-6),
         (80, 0.04, 0.005 * 0.04, 1.02e-6)]


def series(law):
    q = brentq(lambda q: sum(loss(law, q, *p) for p in WHITE) - 20.3, 1e-9, 1, xtol=1e-15)
    return {"series_m3_h": q * 3600}


def parallel(law):
    q = [flow(law, 20.3, *p) * 3600 for p in WHITE]
    return dict(zip(["parallel_1_m3_h", "parallel_2_m3_h", "parallel_3_m3_h"], q),
                parallel_total_m3_h=sum(q))


def reservoirs(law):
    z = (20.0, 100.0, 40.0)

    def into(h):
        return [flow(law, zz - h, *p) for zz, p in zip(z, WHITE)]

    h = brentq(lambda h: sum(into(h)), 20.0001, 39.9999, xtol=1e-12)
    q = [x * 3600 for x in into(h)]
    return {"joint_head_m": h, "out_1_m3_h": -q[0], "in_2_m3_h": q[1], "in_3_m3_h": q[2]}


# Printed properties: 10 and 20 °C (Cengel), as the examples state them.
NU10 = 1.307e-3 / 999.7
RHO20 = 998.0
NU20 = 1.002e-3 / RHO20

if __name__ == "__main__":
    lines = [
        "# Pipe networks of printed examples, solved with fluids 1.3.1 (Python) and scipy 1.17.1 by",
        "# scripts/published_pipes.py, with Colebrook's friction factor and with Churchill's of 1977.",
        "# Exercises: hoses, plain joints, open ends, heights and a pump in whole cases.",
        "answer,colebrook,churchill",
    ]
    for case in (fittings, two_pipes, series, parallel, reservoirs):
        a, b = (case(law) for law in LAWS.values())
        lines += [f"{name},{a[name]:.8g},{b[name]:.8g}" for name in a]
    out = Path(__file__).parent.parent / "published_pipes.csv"
    out.write_text("\n".join(lines) + "\n")
    print(out.read_text())
