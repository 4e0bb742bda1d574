//! The friction of many hoses at once.
//!
//! The laws are those of [`super::friction::pipe_fall`] and [`super::fittings::bend_fall`], the same
//! lines of code; they have no branches, so that a loop over eight hoses becomes vector instructions of whatever width the machine has. No
//! product is fused with a sum, so the last bit does not depend on that width.

use pulp::{Arch, Simd, WithSimd};

use super::fittings::{BEND_REYNOLDS, Bends};
use super::friction::{
    Pipe, ROUND, fall_and_slope, is_slow, mixed, smooth, theta, turbulent, twelfth_root,
};

/// The lists are filled up to a multiple of this: as many as the widest machine takes at once. What is
/// left over would be done one by one.
const LANES: usize = 8;

/// A list of hoses and of their bends, each in a run, number by number.
///
/// What fills up the lists has numbers of zero, and so no fall; it reads the flow of run 0.
#[derive(Clone, Debug)]
pub struct Pipes {
    /// Linear and quadratic coefficient of a [`Pipe`].
    straight: Lanes<2>,
    /// The three coefficients of [`Bends`].
    bends: Lanes<3>,
    arch: Arch,
}

/// Equal laws, number by number.
#[derive(Clone, Debug)]
struct Lanes<const N: usize> {
    count: usize,
    runs: Vec<u32>,
    reynolds: Vec<f64>,
    roughness: Vec<f64>,
    coefficients: [Vec<f64>; N],
    flows: Vec<f64>,
    falls: Vec<f64>,
    slopes: Vec<f64>,
}

impl<const N: usize> Lanes<N> {
    fn with_room(count: usize) -> Self {
        let room = || Vec::with_capacity(count.next_multiple_of(LANES));
        Self {
            count: 0,
            runs: Vec::with_capacity(count.next_multiple_of(LANES)),
            reynolds: room(),
            roughness: room(),
            coefficients: std::array::from_fn(|_| room()),
            flows: room(),
            falls: room(),
            slopes: room(),
        }
    }

    fn clear(&mut self) {
        self.count = 0;
        self.resize(0);
    }

    fn push(&mut self, run: usize, [reynolds, roughness]: [f64; 2], coefficients: [f64; N]) {
        let at = self.count;
        self.count += 1;
        if at.is_multiple_of(LANES) {
            self.resize(at + LANES);
        }
        self.runs[at] = u32::try_from(run).expect("fewer than 2^32 runs");
        self.reynolds[at] = reynolds;
        self.roughness[at] = roughness;
        for (list, number) in self.coefficients.iter_mut().zip(coefficients) {
            list[at] = number;
        }
    }

    fn resize(&mut self, count: usize) {
        self.runs.resize(count, 0);
        let own = [
            &mut self.reynolds,
            &mut self.roughness,
            &mut self.flows,
            &mut self.falls,
            &mut self.slopes,
        ];
        for list in own.into_iter().chain(&mut self.coefficients) {
            list.resize(count, 0.0);
        }
    }

    fn read(&mut self, flows: &[f64]) {
        for (own, run) in self.flows.iter_mut().zip(&self.runs) {
            *own = flows[*run as usize];
        }
    }

    fn add_to(&self, falls: &mut [f64], slopes: &mut [f64]) {
        let own = self.falls.iter().zip(&self.slopes);
        for ((fall, slope), run) in own.zip(&self.runs).take(self.count) {
            falls[*run as usize] += fall;
            slopes[*run as usize] += slope;
        }
    }
}

impl Pipes {
    /// An empty list with room for so many.
    pub fn with_room(count: usize) -> Self {
        Self {
            straight: Lanes::with_room(count),
            bends: Lanes::with_room(count),
            arch: Arch::new(),
        }
    }

    /// Forgets all hoses and keeps the memory.
    pub fn clear(&mut self) {
        self.straight.clear();
        self.bends.clear();
    }

    /// Adds a hose.
    ///
    /// # Panics
    /// When there are 2³² runs or more.
    pub fn push(&mut self, run: usize, pipe: &Pipe) {
        let numbers = [pipe.reynolds, pipe.roughness];
        self.straight.push(run, numbers, [pipe.linear, pipe.quadratic]);
    }

    /// Adds the bends of a hose.
    ///
    /// # Panics
    /// As [`Pipes::push`].
    pub fn push_bends(&mut self, run: usize, bends: &Bends) {
        let numbers = [bends.reynolds, bends.roughness];
        self.bends.push(run, numbers, [bends.slow, bends.constant, bends.by_factor]);
    }

    /// Adds the falls (Pa) and slopes (Pa·s/kg) of all hoses at the flows (kg/s) of their runs to
    /// those of the runs.
    pub fn add(&mut self, flows: &[f64], falls: &mut [f64], slopes: &mut [f64]) {
        self.straight.read(flows);
        self.bends.read(flows);
        let arch = self.arch;
        arch.dispatch(Evaluation(self));
        self.straight.add_to(falls, slopes);
        self.bends.add_to(falls, slopes);
    }
}

/// The loops over all hoses, to be compiled for each width of vector.
struct Evaluation<'a>(&'a mut Pipes);

impl WithSimd for Evaluation<'_> {
    type Output = ();

    // Only what is inlined here is compiled for the wider machines.
    #[allow(clippy::inline_always)]
    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) {
        let Self(Pipes { straight, bends, .. }) = self;
        straight.evaluate(evaluate);
        bends.evaluate(evaluate_bends);
    }
}

/// Hoses whose intermediate results fit into the nearest memory.
const CHUNK: usize = 32;

impl<const N: usize> Lanes<N> {
    /// All of them, a chunk at a time.
    #[allow(clippy::inline_always)] // As above.
    #[inline(always)]
    fn evaluate(&mut self, law: impl Fn([&[f64]; 2], [&[f64]; N], &[f64], &mut [f64], &mut [f64])) {
        let mut start = 0;
        while start < self.flows.len() {
            let range = start..self.flows.len().min(start + CHUNK);
            start = range.end;
            let known = [&self.reynolds[range.clone()], &self.roughness[range.clone()]];
            let coefficients = self.coefficients.each_ref().map(|list| &list[range.clone()]);
            let flows = &self.flows[range.clone()];
            let falls = &mut self.falls[range.clone()];
            law(known, coefficients, flows, falls, &mut self.slopes[range]);
        }
    }
}

/// Friction factors and their logarithmic slopes at Reynolds numbers that are turbulent.
///
/// Plain loops from slices to arrays of their own, which cannot overlap and so become vectors; one loop
/// for each step of the law.
#[allow(clippy::inline_always)] // As above.
#[inline(always)]
fn factors(at: &[f64], roughness: &[f64]) -> [[f64; CHUNK]; 2] {
    let count = at.len();
    let mut steps = [[0.0; CHUNK]; 3];
    let [smooths, thetas, ws] = &mut steps;
    let (mut fronts, mut slopes) = ([0.0; CHUNK], [0.0; CHUNK]);
    let smooths = &mut smooths[..count];
    for (to, at) in smooths.iter_mut().zip(at) {
        *to = smooth(*at);
    }
    let thetas = &mut thetas[..count];
    for ((to, smooth), roughness) in thetas.iter_mut().zip(&*smooths).zip(roughness) {
        *to = theta(*smooth, *roughness);
    }
    let known = at.iter().zip(roughness).zip(&*smooths).zip(&*thetas);
    let ws = &mut ws[..count];
    let to = ws.iter_mut().zip(&mut fronts).zip(&mut slopes);
    for ((((at, roughness), smooth), theta), ((w, front), by_reynolds)) in known.zip(to) {
        let mixed = mixed(*at, *roughness, ROUND, *smooth, *theta);
        (*w, *front, *by_reynolds) = (mixed.w, mixed.front, mixed.by_reynolds);
    }
    for (front, w) in fronts.iter_mut().zip(&*ws) {
        *front *= twelfth_root(*w);
    }
    [fronts, slopes]
}

/// Falls and slopes of straight hoses.
#[allow(clippy::inline_always)] // As above.
#[inline(always)]
fn evaluate(
    [reynolds, roughness]: [&[f64]; 2],
    [linear, quadratic]: [&[f64]; 2],
    flows: &[f64],
    falls: &mut [f64],
    slopes: &mut [f64],
) {
    let count = flows.len().min(CHUNK);
    let (mut ats, mut held) = ([0.0; CHUNK], [0.0; CHUNK]);
    let (ats, held) = (&mut ats[..count], &mut held[..count]);
    for (((at, held), reynolds), flow) in ats.iter_mut().zip(&mut *held).zip(reynolds).zip(flows) {
        *at = reynolds * flow.abs();
        *held = turbulent(*at);
    }
    let [fs, by_reynolds] = factors(held, roughness);
    let known = ats.iter().zip(&*held).zip(&fs).zip(&by_reynolds);
    let known = known.zip(flows).zip(linear).zip(quadratic);
    let to = falls.iter_mut().zip(slopes);
    for (((((((at, held), f), by_reynolds), flow), linear), quadratic), (fall, slope)) in
        known.zip(to)
    {
        let slow = is_slow(*at);
        let f = if slow { ROUND } else { f * held };
        let by_reynolds = if slow { 0.0 } else { by_reynolds + 1.0 };
        (*fall, *slope) = fall_and_slope(*linear, *quadratic, *flow, f, by_reynolds);
    }
}

/// Falls and slopes of bends.
#[allow(clippy::inline_always)] // As above.
#[inline(always)]
fn evaluate_bends(
    [reynolds, roughness]: [&[f64]; 2],
    [slow, constant, by_factor]: [&[f64]; 3],
    flows: &[f64],
    falls: &mut [f64],
    slopes: &mut [f64],
) {
    let count = flows.len().min(CHUNK);
    let (mut ats, mut shares) = ([0.0; CHUNK], [0.0; CHUNK]);
    let (ats, shares) = (&mut ats[..count], &mut shares[..count]);
    for (((at, share), reynolds), flow) in ats.iter_mut().zip(&mut *shares).zip(reynolds).zip(flows)
    {
        let own = reynolds * flow;
        let square = own * own + BEND_REYNOLDS * BEND_REYNOLDS;
        *at = square.sqrt();
        // d ln √(Re² + 4000²)/d ln Re
        *share = own * own / square;
    }
    let [fs, by_reynolds] = factors(ats, roughness);
    let known = fs.iter().zip(&by_reynolds).zip(&*shares).zip(flows);
    let known = known.zip(slow).zip(constant).zip(by_factor);
    let to = falls.iter_mut().zip(slopes);
    for (((((((f, by_reynolds), share), flow), slow), constant), by_factor), (fall, slope)) in
        known.zip(to)
    {
        let (size, friction) = (flow.abs(), by_factor * f);
        *fall = (slow + (constant + friction) * size) * flow;
        *slope = slow + (2.0 * (constant + friction) + friction * by_reynolds * share) * size;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laws::fittings::{Bend, bend_fall};
    use crate::laws::friction::pipe_fall;
    use coolwright_solver::scalar::Dual;

    /// Through zero, reversed, laminar, transitional and turbulent flow, smooth and rough, with one kind
    /// of bend or two: the same as the laws of one hose, and the same bits with every width of vector.
    #[test]
    fn many_hoses_follow_the_law_of_one() {
        let flows =
            [0.0, 1e-300, 1e-9, -1e-4, 0.02, -0.031, 0.05, 0.08, -0.3, 1.1, 7.0, -400.0, -0.0];
        let mut wide = Pipes::with_room(13);
        let mut want = Vec::new();
        for (run, &flow) in flows.iter().enumerate() {
            let numbers = [0.016 + 1e-3 * run as f64, 0.7, [0.0, 3e-6, 1e-4][run % 3], 0.4];
            let pipe = Pipe::new(1040.0, 1.35e-3, numbers).taking(1.25);
            wide.push(run, &pipe);
            let [d, l, e, k] = numbers.map(Dual::from);
            let (rho, mu) = (Dual::from(1040.0), Dual::from(1.35e-3));
            let bent = Dual::variable(flow);
            let flow = bent * 1.25;
            let mut sum = pipe_fall(flow, rho, mu, d, l, e, k);
            let mut bends = Bends::none(1.35e-3, numbers[0], numbers[2]);
            for (ratio, angle, count) in [(1.5, 1.5, 3.0), (4.0, 0.6, 1.0)].iter().take(run % 3) {
                let bend = |x: f64, y: f64| Bend {
                    bore_m: numbers[0],
                    radius_over_bore: x,
                    angle_rad: y,
                    roughness_m: numbers[2],
                };
                bends.add(1040.0, 1.35e-3, &bend(*ratio, *angle), *count);
                let law = Bend {
                    bore_m: d,
                    radius_over_bore: Dual::from(*ratio),
                    angle_rad: Dual::from(*angle),
                    roughness_m: e,
                };
                sum += bend_fall(bent, rho, mu, &law) * *count;
            }
            wide.push_bends(run, &bends);
            want.push(sum);
        }
        let mut narrow = wide.clone();
        narrow.arch = Arch::Scalar;
        let mut got = [[0.0; 13]; 4];
        let [falls, slopes, narrow_falls, narrow_slopes] = &mut got;
        wide.add(&flows, falls, slopes);
        narrow.add(&flows, narrow_falls, narrow_slopes);
        for (run, want) in want.iter().enumerate() {
            for (what, got, want) in
                [("fall", got[0][run], want.value), ("slope", got[1][run], want.slope())]
            {
                let off = (got - want).abs();
                assert!(off <= 1e-14 * want.abs(), "{what} {run}: got {got}, want {want}");
            }
        }
        assert_eq!(got[0].map(f64::to_bits), got[2].map(f64::to_bits));
        assert_eq!(got[1].map(f64::to_bits), got[3].map(f64::to_bits));
    }
}
