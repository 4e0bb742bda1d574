//! The falls of pressure along the lanes of a gas network, and how they go with every flow.
//!
//! What is warm upstream thins the gas downstream, so a fall goes with the flows of other lanes too. Along each lane the laws
//! are followed once, with the derivatives of its fall and of the temperature at its end by its own flow and by the
//! temperature at its start. How the temperatures at all starts go with the flows then follows from the plenums alone, with
//! each lane in them a straight line:
//!
//! ```text
//! Δp_l = Δp_l(w_l, T_l),   T_out = T_0 + ∂T_out/∂w (w − w_0) + ∂T_out/∂T (T − T_0)
//! dΔp_l/dw_k = ∂Δp_l/∂w_l δ_lk + ∂Δp_l/∂T_l dT_l/dw_k
//! ```
//!
//! The derivatives are exact: at the temperatures found the straight lines touch the laws.

use coolwright_solver::network::Laws;
use coolwright_solver::scalar::Dual;

use super::mixing::Mixing;
use super::network::{Around, Facing};

/// A stream along a lane about the flow and the temperature at its start that were found.
#[derive(Clone, Copy, Debug)]
struct Line {
    flow: f64,
    inlet: f64,
    /// Temperature at its end, K, with its derivatives by the two.
    outlet: Dual<2>,
}

impl Line {
    /// Temperature at the end of the stream, K.
    fn outlet(&self, flow: Dual<1>, inlet: Dual<1>) -> Dual<1> {
        let [by_flow, by_inlet] = self.outlet.slopes;
        (flow - self.flow) * by_flow + (inlet - self.inlet) * by_inlet + self.outlet.value
    }
}

/// Room for the temperatures and for how they go with the flows.
#[derive(Clone, Debug, Default)]
pub(super) struct Linear {
    plain: Mixing<f64>,
    mixing: Mixing<Dual<1>>,
    flows: Vec<Dual<1>>,
    /// Fall along each lane, Pa, with its derivatives by its flow and by the temperature at its start.
    falls: Vec<Dual<2>>,
    /// The streams of each lane: two where it is next to rest.
    lines: Vec<[Option<Line>; 2]>,
}

/// The laws of the lanes for the network solver.
pub(super) struct GasLaws<'a> {
    pub around: Around<'a>,
    pub faces: &'a [Facing],
    pub couplings: &'a [(usize, usize)],
    pub columns: &'a [usize],
    pub linear: &'a mut Linear,
}

impl GasLaws<'_> {
    /// Fall along a lane and temperature at its end, with their derivatives by its flow and by the temperature at its start.
    fn along(&self, lane: usize, (flow, inlet): (f64, f64)) -> [Dual<2>; 2] {
        let flow = Dual { value: flow, slopes: [1.0, 0.0] };
        let inlet = Dual { value: inlet, slopes: [0.0, 1.0] };
        let lane = &self.around.path.lanes[lane];
        let faces = |k: usize| self.faces[k].lifted();
        let (fall, outlet) = self.around.along(lane, &faces, (flow, inlet), &mut |_| ());
        [fall, outlet]
    }

    /// Finds all temperatures at the flows, and the straight lines there.
    fn follow(&mut self, flows: &[f64]) {
        let around = self.around;
        let mut mixing = std::mem::take(&mut self.linear.plain);
        let (mut falls, mut lines) =
            (std::mem::take(&mut self.linear.falls), std::mem::take(&mut self.linear.lines));
        mixing.find(around.path, flows, around.mix(around.air_k), &mut |lane, flow, inlet| {
            let faces = |k: usize| self.faces[k];
            around.along(&around.path.lanes[lane], &faces, (flow, inlet), &mut |_| ()).1
        });
        falls.clear();
        lines.clear();
        for (l, lane) in around.path.lanes.iter().enumerate() {
            let at = (flows[l], mixing.inlet(lane, flows[l], around.small));
            let [fall, outlet] = self.along(l, at);
            falls.push(fall + around.off_pa[l]);
            lines.push(mixing.starts(lane, flows[l], around.small).map(|start| {
                let (flow, inlet) = start?;
                let same = flow.to_bits() == at.0.to_bits() && inlet.to_bits() == at.1.to_bits();
                let outlet = if same { outlet } else { self.along(l, (flow, inlet))[1] };
                Some(Line { flow, inlet, outlet })
            }));
        }
        (self.linear.plain, self.linear.falls, self.linear.lines) = (mixing, falls, lines);
    }

    /// How the temperatures at the starts of all lanes go with the flow of one.
    fn vary(&mut self, flows: &[f64], column: usize) {
        let Linear { mixing, flows: varied, lines, .. } = &mut *self.linear;
        let seed = |(lane, flow): (usize, &f64)| Dual {
            value: *flow,
            slopes: [f64::from(u8::from(column == lane))],
        };
        varied.clear();
        varied.extend(flows.iter().enumerate().map(seed));
        let mix = self.around.mix(Dual::from(self.around.air_k));
        mixing.find(self.around.path, varied, mix, &mut |lane, flow, inlet| {
            let along = |line: &&Line| (line.flow >= 0.0) == (flow.value >= 0.0);
            let line = lines[lane].iter().flatten().find(along);
            line.map_or(inlet, |line| line.outlet(flow, inlet))
        });
    }
}

impl Laws for GasLaws<'_> {
    fn evaluate(
        &mut self,
        flows: &[f64],
        falls: &mut [f64],
        slopes: &mut [f64],
        cross: &mut [f64],
    ) {
        self.follow(flows);
        for ((fall, slope), known) in falls.iter_mut().zip(&mut *slopes).zip(&self.linear.falls) {
            (*fall, *slope) = (known.value, known.slopes[0]);
        }
        for &column in self.columns {
            self.vary(flows, column);
            let Linear { mixing, flows: varied, falls: known, .. } = &*self.linear;
            let lanes = &self.around.path.lanes;
            let through_heat = |lane: usize| {
                let inlet = mixing.inlet(&lanes[lane], varied[lane], self.around.small);
                known[lane].slopes[1] * inlet.slope()
            };
            slopes[column] += through_heat(column);
            for (&(of, on), cross) in self.couplings.iter().zip(&mut *cross) {
                if column == on {
                    *cross = through_heat(of);
                }
            }
        }
    }
}
