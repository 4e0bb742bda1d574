//! Tees. Coefficients stand on the velocity head of the leg that carries all of the flow.

use super::{Card, Spread, Step, Symbol, other_law, step, sym};
use crate::laws::tee::{HAND_OVER, LEAST_TEE_HEADS, MOST_TEE_HEADS};
use crate::laws::uncertainty::{CONTRACTION, Law, PLAIN_JOINT_HEADS};

const SIDE_LOSS: Symbol = sym("K_s", "1", "loss between the side leg and the combined leg");
const RUN_LOSS: Symbol = sym("K_r", "1", "loss between the straight leg and the combined leg");
const SHARE: Symbol = sym("q", "1", "share of the combined flow in the side leg");
const AREA: Symbol = sym("φ", "1", "area of the side leg over that of the combined leg");
const RUN_AREA: Symbol =
    sym("φ_r", "1", "area of the other straight leg over that of the combined leg");
const TURN: Symbol = sym("δ", "rad", "angle by which the side leg's flow turns, 0 straight on");
const SMALL: Symbol = sym("i", "1", "least share of the combined flow among the other legs");

/// Near the reversal of a leg two laws are blended.
const REVERSAL: super::Range = other_law("i", HAND_OVER, 1.0);

const SPREAD: Spread = Spread {
    law: Law::Tee,
    half_width: "half the distance between the largest and the smallest of the published sets, at least s \
                 velocity heads, rising to t as all of the flow turns and where both straight legs join or \
                 divide; where the flow leaves by the narrower straight leg, c of the contraction there \
                 besides, rising to all of it as the flow turns away",
    numbers: &[("s", LEAST_TEE_HEADS), ("t", MOST_TEE_HEADS), ("c", CONTRACTION)],
    source: "Flow of Fluids, TP 410 (2009), Gardel 1957 and Bassett et al. 2001 for a 90° tee; both legs joining or \
             dividing: Idelchik, Handbook of Hydraulic Resistance, diagram 7-29 (not seen in print)",
};

const UNIFIED: &str = "Bassett, Winterbone & Pearson 2001, Proc. IMechE C 215, 861; several supply legs as one: \
                       Mynard & Valen-Sendstad 2015, Int. J. Numer. Meth. Biomed. Engng, DOI \
                       10.1002/cnm.2717";
const ANY: &str = "turbulent flow, legs long enough for a developed profile; what leaves by the narrower \
                   straight leg passes a sudden contraction from the bore of the wider one";
const CODE: &[&str] = &["tee_excess", "tee_law", "outside_set", "tee_spread_pa", "tee_uncertainty"];

/// The unified law, dividing from a straight leg.
pub static UNIFIED_DIVIDING: Card = Card {
    key: "tee.unified_dividing",
    name: "unified junction law, dividing from a straight leg",
    steps: &[
        step("K_s", "1 + (q/φ)² − 2·q/φ·cos(¾·δ)"),
        step("K_r", "1 + ((1 − q)/b)² − 2·(1 − q)/b − ½·q/b + ½·(1 − φ_r/b)·((1 − q)/φ_r)²"),
        step("b", "max(φ_r; 1)"),
    ],
    symbols: &[
        SIDE_LOSS,
        RUN_LOSS,
        SHARE,
        AREA,
        RUN_AREA,
        TURN,
        SMALL,
        sym("b", "1", "area of the wider straight leg over that of the combined leg"),
    ],
    ranges: &[REVERSAL],
    conditions: ANY,
    source: UNIFIED,
    spread: Some(SPREAD),
    code: CODE,
};

/// The unified law, joining to a straight leg.
pub static UNIFIED_JOINING: Card = Card {
    key: "tee.unified_joining",
    name: "unified junction law, joining to a straight leg",
    steps: &[
        step("K_s", "u_s² + 1/b² − 2·u/b·cos(¾·ψ) + ½·(1 − 1/b)"),
        step("K_r", "u_r² + 1/b² − 2·u/b·cos(¾·ψ) + ½·(1 − 1/b)"),
        step("b", "max(φ_r; 1)"),
        step("u", "q·u_s + (1 − q)·u_r"),
        step("u_s", "q/φ"),
        step("u_r", "(1 − q)/φ_r"),
        step("ψ", "atan2(q·sin(δ); q·cos(δ) + 1 − q)"),
    ],
    symbols: &[
        SIDE_LOSS,
        RUN_LOSS,
        SHARE,
        AREA,
        RUN_AREA,
        TURN,
        SMALL,
        sym(
            "u",
            "1",
            "velocity of the one leg that stands for both, over that of the combined leg",
        ),
        sym("b", "1", "area of the wider straight leg over that of the combined leg"),
        sym("u_s", "1", "velocity of the side leg over that of the combined leg"),
        sym("u_r", "1", "velocity of the straight leg over that of the combined leg"),
        sym("ψ", "rad", "angle by which the leg that stands for both turns"),
    ],
    ranges: &[REVERSAL],
    conditions: ANY,
    source: UNIFIED,
    spread: Some(SPREAD),
    code: CODE,
};

/// The unified law, both straight legs into the side.
pub static UNIFIED_OPPOSED: Card = Card {
    key: "tee.unified_opposed",
    name: "unified junction law, both straight legs into the side leg",
    steps: &[
        step("K_a", "u_a² + ½·u_b·(1 − q_a)/b + 1 − 2·u·cos(¾·ψ)"),
        step("K_b", "u_b² + ½·u_a·q_a/b + 1 − 2·u·cos(¾·ψ)"),
        step("u", "q_a·u_a + (1 − q_a)·u_b"),
        step("u_a", "q_a/φ_a"),
        step("u_b", "(1 − q_a)/φ_b"),
        step("b", "max(φ_a; φ_b)"),
        step("ψ", "atan2(sin(α); (2·q_a − 1)·cos(α))"),
    ],
    symbols: &[
        sym("K_a", "1", "loss of the first straight leg"),
        sym("K_b", "1", "loss of the second straight leg"),
        sym("q_a", "1", "share of the first straight leg in the flow of the side leg"),
        sym("φ_a", "1", "area of the first straight leg over that of the side leg"),
        sym("φ_b", "1", "area of the second straight leg over that of the side leg"),
        sym("b", "1", "area of the wider straight leg over that of the side leg"),
        sym("α", "rad", "angle between the side leg and the second straight leg"),
        sym("u", "1", "velocity of the one leg that stands for both, over that of the side leg"),
        sym("u_a", "1", "velocity of the first straight leg over that of the side leg"),
        sym("u_b", "1", "velocity of the second straight leg over that of the side leg"),
        sym("ψ", "rad", "angle by which the leg that stands for both turns"),
        SMALL,
    ],
    ranges: &[REVERSAL],
    conditions: "turbulent flow; the rise of pressure in the opposite leg is an extension of our own, which \
                 keeps the law continuous at reversal",
    source: UNIFIED,
    spread: Some(SPREAD),
    code: CODE,
};

/// The unified law, the side leg into both straight legs.
pub static UNIFIED_SPLITTING: Card = Card {
    key: "tee.unified_splitting",
    name: "unified junction law, the side leg into both straight legs",
    steps: &[
        step("K_a", "1 + (q_a/b)² − 2·q_a/b·cos(¾·α) + ½·(1 − φ_a/b)·(q_a/φ_a)²"),
        step(
            "K_b",
            "1 + ((1 − q_a)/b)² − 2·(1 − q_a)/b·cos(¾·(π − α)) + ½·(1 − φ_b/b)·((1 − q_a)/φ_b)²",
        ),
        step("b", "max(φ_a; φ_b)"),
    ],
    symbols: &[
        sym("K_a", "1", "loss of the first straight leg"),
        sym("K_b", "1", "loss of the second straight leg"),
        sym("q_a", "1", "share of the first straight leg in the flow of the side leg"),
        sym("φ_a", "1", "area of the first straight leg over that of the side leg"),
        sym("φ_b", "1", "area of the second straight leg over that of the side leg"),
        sym("b", "1", "area of the wider straight leg over that of the side leg"),
        sym("α", "rad", "angle between the side leg and the second straight leg"),
        SMALL,
    ],
    ranges: &[REVERSAL],
    conditions: ANY,
    source: UNIFIED,
    spread: Some(SPREAD),
    code: CODE,
};

const GARDEL: &str = "Gardel 1957, EPF Lausanne, publication 44 (from memory), sharp-edged";
const ALONG: &str = "equal straight legs, side area at most theirs, side leg at 45° to 135°; elsewhere the \
                     unified law";

/// Gardel, dividing.
pub static GARDEL_DIVIDING: Card = Card {
    key: "tee.gardel_dividing",
    name: "tee after Gardel, dividing from a straight leg",
    steps: &[
        step(
            "K_s",
            "0.95·(1 − q)² + q²·(1.3·tan(δ/2) − 0.3 + (0.4 − 0.1·φ)/φ²) + 0.4·q·(1 − q)·(1 + φ)/φ·tan(δ/2)",
        ),
        step("K_r", "0.03·(1 − q)² + 0.35·q² − 0.2·q·(1 − q)"),
    ],
    symbols: &[SIDE_LOSS, RUN_LOSS, SHARE, AREA, TURN, SMALL],
    ranges: &[REVERSAL],
    conditions: ALONG,
    source: GARDEL,
    spread: Some(SPREAD),
    code: CODE,
};

/// Gardel, joining.
pub static GARDEL_JOINING: Card = Card {
    key: "tee.gardel_joining",
    name: "tee after Gardel, joining to a straight leg",
    steps: &[
        step(
            "K_s",
            "(2 − φ)·q·(1 − q) − 0.92·(1 − q)² − q²·(1.2·(cos(δ)/φ − 1) + 0.8·(1 − 1/φ²) − (1/φ − 1)·cos(δ))",
        ),
        step(
            "K_r",
            "(2 − φ)·q·(1 − q) + 0.03·(1 − q)² − q²·(1 + 1.62·(cos(δ)/φ − 1) − 0.38·(1 − φ))",
        ),
    ],
    symbols: &[SIDE_LOSS, RUN_LOSS, SHARE, AREA, TURN, SMALL],
    ranges: &[REVERSAL],
    conditions: ALONG,
    source: GARDEL,
    spread: Some(SPREAD),
    code: CODE,
};

const TP410: &str = "Flow of Fluids, TP 410 (2009); its row for 90° and equal bores counts 0.3·q² once, as in Idelchik, \
                     Handbook of Hydraulic Resistance, from whom it stems";
const TP410_ALONG: &str = "equal straight legs, side area at most theirs, a turn of at most 90°; elsewhere the \
                           unified law; between 75° and 90° from one row to the other";
const SQUARE: Symbol = sym("w", "1", "weight of the row for 90°: 0 up to 75°, 1 at 90°");
const W: Step = step("w", "min(max((δ − π/2)·12/π + 1; 0); 1)");

/// TP 410, dividing.
pub static TP410_DIVIDING: Card = Card {
    key: "tee.tp410_dividing",
    name: "tee after TP 410, dividing from a straight leg",
    steps: &[
        step("K_s", "(1 − w)·g·(1 + (q/φ)² − 2·q/φ·cos(δ)) + w·(1 + H·(q/φ)²)"),
        step("K_r", "M·q²"),
        step("H", "max(min(1 − 0.7·(3·√φ − 2); 1); 0.3)"),
        W,
    ],
    symbols: &[
        SIDE_LOSS,
        RUN_LOSS,
        SHARE,
        AREA,
        TURN,
        sym("g", "1", "for φ ≤ 0.35 1.1 − 0.7·q, at least 0.85; else 1 − 0.6·q, at least 0.6"),
        sym("H", "1", "1 for a narrow side leg, 0.3 for one as wide as the run"),
        sym("M", "1", "for φ ≤ 0.4 0.4; else (2·q − 1) times 2 up to q = 0.5 and 0.3 above"),
        SQUARE,
        SMALL,
    ],
    ranges: &[REVERSAL],
    conditions: TP410_ALONG,
    source: TP410,
    spread: Some(SPREAD),
    code: CODE,
};

/// TP 410, joining.
pub static TP410_JOINING: Card = Card {
    key: "tee.tp410_joining",
    name: "tee after TP 410, joining to a straight leg",
    steps: &[
        step("K_s", "C·(1 + (q/φ)² − 2·(1 − q)² − 2·cos(δ)/φ·q²)"),
        step("K_r", "(1 − w)·(1 − (1 − q)² − 2·cos(δ)/φ·q²) + w·(1.55·q − q²)"),
        W,
    ],
    symbols: &[
        SIDE_LOSS,
        RUN_LOSS,
        SHARE,
        AREA,
        TURN,
        sym("C", "1", "1 for φ ≤ 0.35; else 0.9·(1 − q), at least 0.55"),
        SQUARE,
        SMALL,
    ],
    ranges: &[REVERSAL],
    conditions: TP410_ALONG,
    source: TP410,
    spread: Some(SPREAD),
    code: CODE,
};

/// Three runs or more that meet in a plain joint.
pub static PLAIN: Card = Card {
    key: "tee.plain",
    name: "plain joint: runs that meet without loss",
    steps: &[step("Δp", "0")],
    symbols: &[sym("Δp", "Pa", "loss of total pressure from one leg to another")],
    ranges: &[],
    conditions: "a roomy manifold; where it is narrower than that, a tee or a header takes its place",
    source: "no law: nothing tells which of its runs go straight through",
    spread: Some(Spread {
        law: Law::PlainJoint,
        half_width: "s velocity heads of the fullest leg, for each other leg",
        numbers: &[("s", PLAIN_JOINT_HEADS)],
        source: "what the unified law gives for a side leg of 90° that takes little of the flow (Bassett, Winterbone & \
                 Pearson 2001), and what a straight leg regains at most",
    }),
    code: &["plain_joint_spread_pa"],
};
