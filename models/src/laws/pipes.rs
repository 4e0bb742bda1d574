//! The friction of many hoses at once.
//!
//! The law is that of [`super::friction::pipe_fall`], the same lines of code; it has no branches, so
//! that a loop over eight hoses becomes vector instructions of whatever width the machine has. No
//! product is fused with a sum, so the last bit does not depend on that width.

use pulp::{Arch, Simd, WithSimd};

use super::friction::{
    Pipe, ROUND, fall_and_slope, is_slow, mixed, smooth, theta, turbulent, twelfth_root,
};

/// The lists are filled up to a multiple of this: as many as the widest machine takes at once. What is
/// left over would be done one by one.
const LANES: usize = 8;

/// A list of hoses, each in a run, number by number.
///
/// What fills up the lists has numbers of zero, and so no fall; it reads the flow of run 0.
#[derive(Clone, Debug)]
pub struct Pipes {
    count: usize,
    runs: Vec<u32>,
    reynolds: Vec<f64>,
    roughness: Vec<f64>,
    linear: Vec<f64>,
    quadratic: Vec<f64>,
    flows: Vec<f64>,
    falls: Vec<f64>,
    slopes: Vec<f64>,
    arch: Arch,
}

impl Pipes {
    /// An empty list with room for so many.
    pub fn with_room(count: usize) -> Self {
        let room = || Vec::with_capacity(count.next_multiple_of(LANES));
        Self {
            count: 0,
            runs: Vec::with_capacity(count.next_multiple_of(LANES)),
            reynolds: room(),
            roughness: room(),
            linear: room(),
            quadratic: room(),
            flows: room(),
            falls: room(),
            slopes: room(),
            arch: Arch::new(),
        }
    }

    /// Forgets all hoses and keeps the memory.
    pub fn clear(&mut self) {
        self.count = 0;
        self.resize(0);
    }

    /// Adds a hose.
    ///
    /// # Panics
    /// When there are 2³² runs or more.
    pub fn push(&mut self, run: usize, pipe: &Pipe) {
        let at = self.count;
        self.count += 1;
        if at.is_multiple_of(LANES) {
            self.resize(at + LANES);
        }
        self.runs[at] = u32::try_from(run).expect("fewer than 2^32 runs");
        self.reynolds[at] = pipe.reynolds;
        self.roughness[at] = pipe.roughness;
        self.linear[at] = pipe.linear;
        self.quadratic[at] = pipe.quadratic;
    }

    fn resize(&mut self, count: usize) {
        self.runs.resize(count, 0);
        for list in [
            &mut self.reynolds,
            &mut self.roughness,
            &mut self.linear,
            &mut self.quadratic,
            &mut self.flows,
            &mut self.falls,
            &mut self.slopes,
        ] {
            list.resize(count, 0.0);
        }
    }

    /// Adds the falls (Pa) and slopes (Pa·s/kg) of all hoses at the flows (kg/s) of their runs to
    /// those of the runs.
    pub fn add(&mut self, flows: &[f64], falls: &mut [f64], slopes: &mut [f64]) {
        for (own, run) in self.flows.iter_mut().zip(&self.runs) {
            *own = flows[*run as usize];
        }
        let arch = self.arch;
        arch.dispatch(Evaluation(self));
        let own = self.falls.iter().zip(&self.slopes);
        for ((fall, slope), run) in own.zip(&self.runs).take(self.count) {
            falls[*run as usize] += fall;
            slopes[*run as usize] += slope;
        }
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
        let Self(pipes) = self;
        let mut start = 0;
        while start < pipes.flows.len() {
            let range = start..pipes.flows.len().min(start + CHUNK);
            start = range.end;
            let numbers = [&pipes.reynolds, &pipes.roughness, &pipes.linear, &pipes.quadratic];
            let numbers = numbers.map(|list| &list[range.clone()]);
            let flows = &pipes.flows[range.clone()];
            evaluate(numbers, flows, &mut pipes.falls[range.clone()], &mut pipes.slopes[range]);
        }
    }
}

/// Hoses whose intermediate results fit into the nearest memory.
const CHUNK: usize = 32;

/// Plain loops from slices to arrays of their own, which cannot overlap and so become vectors; one loop
/// for each step of the law.
#[allow(clippy::inline_always)] // As above.
#[inline(always)]
fn evaluate(numbers: [&[f64]; 4], flows: &[f64], falls: &mut [f64], slopes: &mut [f64]) {
    let count = flows.len().min(CHUNK);
    let [reynolds, roughness, linear, quadratic] = numbers;
    let mut steps = [[0.0; CHUNK]; 6];
    let [at, smooths, thetas, fronts, ws, by_reynolds] = &mut steps;
    let at = &mut at[..count];
    for ((at, reynolds), flow) in at.iter_mut().zip(reynolds).zip(flows) {
        *at = reynolds * flow.abs();
    }
    let smooths = &mut smooths[..count];
    for (to, at) in smooths.iter_mut().zip(&*at) {
        *to = smooth(turbulent(*at));
    }
    let thetas = &mut thetas[..count];
    for ((to, smooth), roughness) in thetas.iter_mut().zip(&*smooths).zip(roughness) {
        *to = theta(*smooth, *roughness);
    }
    let (ws, fronts) = (&mut ws[..count], &mut fronts[..count]);
    let by_reynolds = &mut by_reynolds[..count];
    let known = at.iter().zip(roughness).zip(&*smooths).zip(&*thetas);
    let to = ws.iter_mut().zip(&mut *fronts).zip(&mut *by_reynolds);
    for ((((at, roughness), smooth), theta), ((w, front), by_reynolds)) in known.zip(to) {
        let mixed = mixed(turbulent(*at), *roughness, ROUND, *smooth, *theta);
        (*w, *front, *by_reynolds) = (mixed.w, mixed.front, mixed.by_reynolds);
    }
    for (front, w) in fronts.iter_mut().zip(&*ws) {
        *front *= twelfth_root(*w);
    }
    let known = at.iter().zip(&*fronts).zip(&*by_reynolds).zip(flows).zip(linear).zip(quadratic);
    let to = falls.iter_mut().zip(slopes);
    for ((((((at, f), by_reynolds), flow), linear), quadratic), (fall, slope)) in known.zip(to) {
        let slow = is_slow(*at);
        let f = if slow { ROUND } else { f * turbulent(*at) };
        let by_reynolds = if slow { 0.0 } else { by_reynolds + 1.0 };
        (*fall, *slope) = fall_and_slope(*linear, *quadratic, *flow, f, by_reynolds);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laws::friction::pipe_fall;
    use coolwright_solver::scalar::Dual;

    /// Through zero, reversed, laminar, transitional and turbulent flow, smooth and rough: the
    /// same as the law of one hose, and the same bits with every width of vector.
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
            let flow = Dual::variable(flow) * 1.25;
            want.push(pipe_fall(flow, Dual::from(1040.0), Dual::from(1.35e-3), d, l, e, k));
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
