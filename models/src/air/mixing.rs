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

/// A stream of air along a lane: next to rest there is one each way.
#[derive(Clone, Copy)]
struct Stream<S> {
    /// The plenum that it comes from.
    from: usize,
    /// The plenum that it mixes into; `None` where it is kept apart.
    to: Option<usize>,
    /// Its flow, kg/s, above zero from the start of the lane to its end.
    flow: S,
}

impl Lane {
    /// Its streams: that along its flow, and one against it where the flow w is smaller than e: `(w ± e)²/(4 e)`, whose
    /// difference is w. So what air is at its ends goes over from one side to the other while the flow turns, and does not jump.
    fn streams<S: Scalar>(&self, flow: S, small: f64) -> [Option<Stream<S>>; 2] {
        let mixes = self.backflow == Backflow::Mixes;
        let forward = |flow| Some(Stream { from: self.from, to: Some(self.to), flow });
        let backward = |flow| {
            let (from, to) = if mixes { (self.to, Some(self.from)) } else { (self.from, None) };
            Some(Stream { from, to, flow })
        };
        // At rest nothing is brought along.
        if flow.value().abs() >= small || flow.value() == 0.0 {
            return if flow.value() >= 0.0 {
                [forward(flow), None]
            } else {
                [backward(flow), None]
            };
        }
        let part = |w: S| w * w * (0.25 / small);
        [forward(part(flow + small)), backward(-part(flow - small))]
    }
}

/// How air is to be mixed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Mix<S> {
    /// Temperature of open plenums, and of those into which nothing flows, K.
    pub open: S,
    /// Share of the air in front that comes round again.
    pub round: f64,
    /// The flow below which a lane has a stream each way, kg/s.
    pub small: f64,
}

/// How often what goes round is found at the most: once where temperatures at the ends of lanes are linear in those at their
/// starts; properties of the air bend that a little.
const ROUNDS: usize = 4;
/// What is found no longer moves by more than this, K.
const FOUND_K: f64 = 1e-10;

/// Temperature at the end of a stream: of which lane, its flow, and its temperature at the start, in which it is next to linear.
type Outlet<'a, S> = dyn FnMut(usize, S, S) -> S + 'a;

impl<S: Scalar> Mixing<S> {
    /// Finds the temperature of every plenum.
    ///
    /// With the share s of what leaves at `T_e` in front, `T_f = T + s·(T_e − T)`, and `T_e` is next to linear in `T_f`.
    pub(super) fn find(
        &mut self,
        path: &AirPath,
        flows: &[S],
        mix: Mix<S>,
        outlet: &mut Outlet<'_, S>,
    ) {
        let Mix { open, round, .. } = mix;
        if round <= 0.0 {
            return self.pass(path, flows, (open, mix), outlet);
        }
        let mut front = open;
        for _ in 0..ROUNDS {
            let mut leaving = |front: S| {
                self.pass(path, flows, (front, mix), outlet);
                self.mixed(path, flows, (path.exit, mix), outlet)
            };
            let leaves = leaving(front);
            let warms = leaving(front + 1.0) - leaves;
            // T_f is T + s (T_e + p (T_f − T_f0) − T).
            let next = (open + (leaves - warms * front - open) * round) / (-(warms * round) + 1.0);
            let moves = (next - front).value().abs();
            front = next;
            if moves < FOUND_K {
                break;
            }
        }
        self.pass(path, flows, (front, mix), outlet);
    }

    /// The temperature of every plenum, that of the air in front given.
    ///
    /// `T = Σ w T_out / Σ w` over the streams that flow in. Plenums are taken one after the other along
    /// the flow; where air goes round in a circle, all on the circle at once.
    fn pass(
        &mut self,
        path: &AirPath,
        flows: &[S],
        (front, mix): (S, Mix<S>),
        outlet: &mut Outlet<'_, S>,
    ) {
        self.plenums.clear();
        self.plenums.resize(path.plenums.len(), mix.open);
        self.plenums[0] = front;
        self.known.clear();
        self.known.extend(path.plenums.iter().map(|plenum| *plenum == Plenum::Open));
        loop {
            let mut found = false;
            for plenum in 0..path.plenums.len() {
                let waits =
                    |stream: Stream<S>| stream.to == Some(plenum) && !self.known[stream.from];
                let lanes = path.lanes.iter().zip(flows);
                let mut streams =
                    lanes.flat_map(|(lane, flow)| lane.streams(*flow, mix.small)).flatten();
                if self.known[plenum] || streams.any(waits) {
                    continue;
                }
                self.plenums[plenum] = self.mixed(path, flows, (plenum, mix), outlet);
                self.known[plenum] = true;
                found = true;
            }
            if self.known.iter().all(|known| *known) {
                return;
            }
            if !found {
                for _ in 0..ROUNDS {
                    if self.solve_circles(path, flows, mix, outlet) < FOUND_K {
                        break;
                    }
                }
                return;
            }
        }
    }

    /// Temperature of the air in front of the ways, and of what flows into the plenum behind.
    pub(super) fn ends(
        &self,
        path: &AirPath,
        flows: &[S],
        mix: Mix<S>,
        outlet: &mut Outlet<'_, S>,
    ) -> [S; 2] {
        [self.plenums[path.front], self.mixed(path, flows, (path.exit, mix), outlet)]
    }

    /// Temperature of the air that enters a lane: of both streams, where it has two.
    pub(super) fn inlet(&self, lane: &Lane, flow: S, small: f64) -> S {
        match lane.streams(flow, small) {
            [Some(one), Some(other)] if one.from != other.from => {
                let (forward, backward) = (one.flow.abs(), other.flow.abs());
                let (at, behind) = (self.plenums[one.from], self.plenums[other.from]);
                at + (behind - at) * backward / (forward + backward)
            }
            [stream, _] => stream.map_or(self.plenums[lane.from], |of| self.plenums[of.from]),
        }
    }

    /// Flow and temperature at the start of each stream of a lane.
    pub(super) fn starts(&self, lane: &Lane, flow: S, small: f64) -> [Option<(S, S)>; 2] {
        let start = |stream: Stream<S>| (stream.flow, self.plenums[stream.from]);
        lane.streams(flow, small).map(|stream| stream.map(start))
    }

    /// The mean of what flows into a plenum. Each stream moves the mean of those before it, so that
    /// equal temperatures give just that.
    fn mixed(
        &self,
        path: &AirPath,
        flows: &[S],
        (plenum, mix): (usize, Mix<S>),
        outlet: &mut Outlet<'_, S>,
    ) -> S {
        let mut mean: Option<(S, S)> = None;
        for (l, lane) in path.lanes.iter().enumerate() {
            let streams = lane.streams(flows[l], mix.small).into_iter().flatten();
            for stream in streams.filter(|stream| stream.to == Some(plenum)) {
                let brings = stream.flow.abs();
                let warm = outlet(l, stream.flow, self.plenums[stream.from]);
                mean = Some(match mean {
                    None => (warm, brings),
                    Some(known) if brings.value() == 0.0 => known,
                    Some((before, sum)) => {
                        (before + (warm - before) * brings / (sum + brings), sum + brings)
                    }
                });
            }
        }
        mean.map_or(mix.open, |(mean, _)| mean)
    }

    /// All plenums that are not known yet at once: `Σ w T − Σ w (p T_up + q) = 0`, with p and q read
    /// off the outlet of each stream at the temperatures known before. Returns by how much the most moves, K.
    fn solve_circles(
        &mut self,
        path: &AirPath,
        flows: &[S],
        mix: Mix<S>,
        outlet: &mut Outlet<'_, S>,
    ) -> f64 {
        let count = path.plenums.len();
        let width = count + 1;
        self.matrix.clear();
        self.matrix.resize(count * width, S::from(0.0));
        for plenum in (0..count).filter(|&plenum| self.known[plenum]) {
            let row = plenum * width;
            self.matrix[row + plenum] = S::from(1.0);
            self.matrix[row + count] = self.plenums[plenum];
        }
        for (l, lane) in path.lanes.iter().enumerate() {
            for stream in lane.streams(flows[l], mix.small).into_iter().flatten() {
                let Some(to) = stream.to.filter(|&to| !self.known[to]) else { continue };
                let row = to * width;
                let brings = stream.flow.abs();
                let near = self.plenums[stream.from];
                let at = outlet(l, stream.flow, near);
                let passes = outlet(l, stream.flow, near + 1.0) - at;
                let alone = at - passes * near;
                self.matrix[row + to] += brings;
                self.matrix[row + stream.from] -= brings * passes;
                self.matrix[row + count] += brings * alone;
            }
        }
        eliminate(&mut self.matrix, count, mix.open);
        let mut moves = 0.0_f64;
        for (plenum, temperature) in self.plenums.iter_mut().enumerate() {
            let found = self.matrix[plenum * width + count];
            moves = moves.max((found - *temperature).value().abs());
            *temperature = found;
        }
        moves
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
