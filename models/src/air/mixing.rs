//! How warm the air is in every plenum, for given flows.

use coolwright_solver::scalar::Scalar;

use super::plan::{AirPath, Backflow, Lane, Plenum};

/// Temperatures of all plenums of a path, with the room to find them.
///
/// Generic over the scalar, so that derivatives come with it; and linear in the temperatures, so that
/// changes of temperature can be followed the same way.
#[derive(Clone, Debug)]
pub(super) struct Mixing<S> {
    plenums: Vec<S>,
    known: Vec<bool>,
    matrix: Vec<S>,
}

impl<S> Default for Mixing<S> {
    fn default() -> Self {
        Self { plenums: Vec::new(), known: Vec::new(), matrix: Vec::new() }
    }
}

impl Lane {
    /// The plenum whose air enters the lane.
    fn upstream<S: Scalar>(&self, flow: S) -> usize {
        let back = flow.value() < 0.0 && self.backflow == Backflow::Mixes;
        if back { self.to } else { self.from }
    }

    /// Whether the lane brings air into a plenum that mixes with the air there.
    fn feeds<S: Scalar>(&self, flow: S, plenum: usize) -> bool {
        if flow.value() >= 0.0 {
            self.to == plenum
        } else {
            self.from == plenum && self.backflow == Backflow::Mixes
        }
    }
}

impl<S: Scalar> Mixing<S> {
    /// Finds the temperature of every plenum. `open` is that of open plenums, and of those into which
    /// nothing flows, `round` the share of what comes round to the front; `outlet(lane, inlet)` is the temperature at
    /// the end of a lane for one at its start, in which it must be linear.
    ///
    /// With the share s of what leaves at `T_e` in front, `T_f = T + s·(T_e − T)`, and `T_e` is linear in `T_f`.
    pub(super) fn find(
        &mut self,
        path: &AirPath,
        flows: &[S],
        (open, round): (S, f64),
        outlet: &mut dyn FnMut(usize, S) -> S,
    ) {
        let Some(exit) = path.round.map(|round| round.exit).filter(|_| round > 0.0) else {
            return self.pass(path, flows, [open; 2], outlet);
        };
        let mut leaving = |front: S| {
            self.pass(path, flows, [front, open], outlet);
            self.mixed(path, flows, exit, open, outlet)
        };
        let cold = leaving(open);
        let warms = leaving(open + 1.0) - cold;
        let front = open + (cold - open) * round / (-(warms * round) + 1.0);
        self.pass(path, flows, [front, open], outlet);
    }

    /// The temperature of every plenum, that of the air in front given.
    ///
    /// `T = Σ w T_out / Σ w` over the lanes that flow in. Plenums are taken one after the other along
    /// the flow; where air goes round in a circle, all on the circle at once.
    fn pass(
        &mut self,
        path: &AirPath,
        flows: &[S],
        [front, open]: [S; 2],
        outlet: &mut dyn FnMut(usize, S) -> S,
    ) {
        self.plenums.clear();
        self.plenums.resize(path.plenums.len(), open);
        self.plenums[0] = front;
        self.known.clear();
        self.known.extend(path.plenums.iter().map(|plenum| *plenum == Plenum::Open));
        loop {
            let mut found = false;
            for plenum in 0..path.plenums.len() {
                let feeds = |(lane, flow): (&Lane, &S)| lane.feeds(*flow, plenum);
                let ready = |(lane, flow): (&Lane, &S)| self.known[lane.upstream(*flow)];
                let mut lanes = path.lanes.iter().zip(flows);
                if self.known[plenum] || !lanes.all(|lane| !feeds(lane) || ready(lane)) {
                    continue;
                }
                self.plenums[plenum] = self.mixed(path, flows, plenum, open, outlet);
                self.known[plenum] = true;
                found = true;
            }
            if self.known.iter().all(|known| *known) {
                return;
            }
            if !found {
                return self.solve_circles(path, flows, open, outlet);
            }
        }
    }

    /// Temperature of the air that enters a lane.
    pub(super) fn inlet(&self, lane: &Lane, flow: S) -> S {
        self.plenums[lane.upstream(flow)]
    }

    /// The mean of what flows into a plenum. Each lane moves the mean of those before it, so that
    /// equal temperatures give just that.
    fn mixed(
        &self,
        path: &AirPath,
        flows: &[S],
        plenum: usize,
        open: S,
        outlet: &mut dyn FnMut(usize, S) -> S,
    ) -> S {
        let mut mean: Option<(S, S)> = None;
        for (l, lane) in path.lanes.iter().enumerate() {
            if !lane.feeds(flows[l], plenum) {
                continue;
            }
            let brings = flows[l].abs();
            let warm = outlet(l, self.inlet(lane, flows[l]));
            mean = Some(match mean {
                None => (warm, brings),
                Some(known) if brings.value() == 0.0 => known,
                Some((before, sum)) => {
                    (before + (warm - before) * brings / (sum + brings), sum + brings)
                }
            });
        }
        mean.map_or(open, |(mean, _)| mean)
    }

    /// All plenums that are not known yet at once: `Σ w T − Σ w (p T_up + q) = 0`, with p and q read
    /// off the outlet of each lane.
    fn solve_circles(
        &mut self,
        path: &AirPath,
        flows: &[S],
        open: S,
        outlet: &mut dyn FnMut(usize, S) -> S,
    ) {
        let count = path.plenums.len();
        let width = count + 1;
        self.matrix.clear();
        self.matrix.resize(count * width, S::from(0.0));
        for plenum in 0..count {
            let row = plenum * width;
            if self.known[plenum] {
                self.matrix[row + plenum] = S::from(1.0);
                self.matrix[row + count] = self.plenums[plenum];
                continue;
            }
            for (l, lane) in path.lanes.iter().enumerate() {
                if lane.feeds(flows[l], plenum) {
                    let brings = flows[l].abs();
                    let alone = outlet(l, S::from(0.0));
                    let passes = outlet(l, S::from(1.0)) - alone;
                    self.matrix[row + plenum] += brings;
                    self.matrix[row + lane.upstream(flows[l])] -= brings * passes;
                    self.matrix[row + count] += brings * alone;
                }
            }
        }
        eliminate(&mut self.matrix, count, open);
        for (plenum, temperature) in self.plenums.iter_mut().enumerate() {
            *temperature = self.matrix[plenum * width + count];
        }
    }
}

/// Gauss–Jordan elimination of a square system with its right side as last column, which becomes the
/// answer. The matrix is diagonally dominant by columns of what flows; what no equation determines
/// gets `open`.
fn eliminate<S: Scalar>(matrix: &mut [S], count: usize, open: S) {
    let width = count + 1;
    for pivot in 0..count {
        let at = matrix[pivot * width + pivot];
        if at.value().abs() < 1e-12 {
            matrix[pivot * width..(pivot + 1) * width].fill(S::from(0.0));
            matrix[pivot * width + pivot] = S::from(1.0);
            matrix[pivot * width + count] = open;
        } else {
            for column in 0..width {
                matrix[pivot * width + column] /= at;
            }
        }
        for row in (0..count).filter(|row| *row != pivot) {
            let factor = matrix[row * width + pivot];
            for column in 0..width {
                let above = matrix[pivot * width + column];
                matrix[row * width + column] -= factor * above;
            }
        }
    }
}
