//! The law of a tee as quadratic forms of its flows, where it is one.
//!
//! A tee asks for sines and cosines of its angle at every evaluation, though neither angle nor areas
//! change while flows are sought. Gardel's coefficients in the patterns that they cover, and the
//! unified law where one run leg supplies the other two, are quadratic forms of the flows: three
//! evaluations of the law tell their coefficients.

use coolwright_solver::scalar::Dual;

use super::{HAND_OVER, Pattern, Tee, TeeSet, smallest};

/// α, β, γ of each leg's excess αx² + βxy + γy² at density 1.
type Form = [[f64; 3]; 3];

/// What is known of the form of one pattern.
#[derive(Clone, Copy, Debug)]
enum Known {
    /// The pattern has not been met yet.
    Nothing,
    /// Its law is no quadratic form.
    Other,
    /// Its form.
    Form(Form),
}

/// A tee of which the forms are worked out as they are met, and then kept.
#[derive(Clone, Debug)]
pub struct TeeForms {
    set: TeeSet,
    areas: [f64; 3],
    angle: f64,
    /// For a pattern that leads from or to one leg: from each leg, then to each leg.
    forms: [Known; 6],
}

impl TeeForms {
    /// The tee of [`super::tee_excess`] with these areas in m² and this angle in rad.
    pub fn new(set: TeeSet, areas_m2: [f64; 3], angle_rad: f64) -> Self {
        Self { set, areas: areas_m2, angle: angle_rad, forms: [Known::Nothing; 6] }
    }

    /// Whether it is the tee with these areas in m² and this angle in rad, to the bit.
    pub fn is(&self, areas_m2: [f64; 3], angle_rad: f64) -> bool {
        self.areas.map(f64::to_bits) == areas_m2.map(f64::to_bits)
            && self.angle.to_bits() == angle_rad.to_bits()
    }

    /// What [`super::tee_excess`] gives for these flows into the tee (kg/s) at a density in kg/m³,
    /// with the derivatives with respect to the three flows; `None` where that is no quadratic form
    /// or a leg is near its reversal.
    pub fn excess(&mut self, flows_in_kg_s: [f64; 3], density: f64) -> Option<[Dual<3>; 3]> {
        let third = (flows_in_kg_s[0] + flows_in_kg_s[1] + flows_in_kg_s[2]) * (1.0 / 3.0);
        let [a, b, side] = flows_in_kg_s;
        let flows = [a - third, b - third, side - third];
        let small = smallest([flows[0].abs(), flows[1].abs(), flows[2].abs()]);
        let through = 0.5 * (flows[(small + 1) % 3] - flows[(small + 2) % 3]).abs();
        // Written so that flows that are no numbers end here.
        if !(flows[small].abs() >= HAND_OVER * through && through > 0.0) {
            return None;
        }
        let pattern = Pattern::of(flows);
        let (index, main) = match pattern {
            Pattern::DividingFrom(main) => (main, main),
            Pattern::CombiningTo(main) => (3 + main, main),
            Pattern::Opposed | Pattern::Splitting => return None,
        };
        if let Known::Nothing = self.forms[index] {
            self.forms[index] = self.form(pattern, main).map_or(Known::Other, Known::Form);
        }
        let Known::Form(form) = self.forms[index] else { return None };
        let [i, j] = others(main);
        let (x, y, per_density) = (flows[i], flows[j], 1.0 / density);
        let mut excess = [Dual { value: 0.0, slopes: [0.0; 3] }; 3];
        for (excess, [a, b, c]) in excess.iter_mut().zip(form) {
            excess.value = (a * x * x + b * x * y + c * y * y) * per_density;
            let by_x = (2.0 * a * x + b * y) * per_density;
            let by_y = (b * x + 2.0 * c * y) * per_density;
            // Each flow also moves the third that is taken from all.
            excess.slopes = [-(by_x + by_y) * (1.0 / 3.0); 3];
            excess.slopes[i] += by_x;
            excess.slopes[j] += by_y;
        }
        Some(excess)
    }

    /// Coefficients from the law at three pairs of flows.
    fn form(&self, pattern: Pattern, main: usize) -> Option<Form> {
        let law = |x: f64, y: f64| {
            let mut flows = [0.0; 3];
            let sign = if pattern.supplies(main) { -1.0 } else { 1.0 };
            let [i, j] = others(main);
            (flows[i], flows[j], flows[main]) = (sign * x, sign * y, -sign * (x + y));
            let tee = Tee { flows, areas: self.areas, angle: self.angle, density: 1.0 };
            let one_supply = matches!(pattern, Pattern::DividingFrom(_));
            let gardel = self.set == TeeSet::Gardel && tee.covers(self.set, pattern);
            let unified = one_supply && !tee.covers(self.set, pattern);
            (gardel || unified).then(|| tee.excess(self.set, pattern))
        };
        let (both, more_y, more_x) = (law(1.0, 1.0)?, law(1.0, 2.0)?, law(2.0, 1.0)?);
        Some(std::array::from_fn(|leg| {
            let p = more_y[leg] - 2.0 * both[leg];
            let q = more_x[leg] - 2.0 * both[leg];
            let (a, c) = ((p + 2.0 * q) / 3.0, (2.0 * p + q) / 3.0);
            [a, both[leg] - a - c, c]
        }))
    }
}

/// The two legs beside one.
fn others(main: usize) -> [usize; 2] {
    match main {
        0 => [1, 2],
        1 => [0, 2],
        _ => [0, 1],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laws::tee::tee_excess;

    /// Every set, equal and unequal bores, square and slanted, every pattern: where there is a form
    /// it gives what the law gives, with its derivatives.
    #[test]
    fn forms_are_the_law() {
        let mut met = 0;
        for set in [TeeSet::Gardel, TeeSet::Tp410, TeeSet::Unified] {
            for (areas, angle) in [
                ([1e-3; 3], std::f64::consts::FRAC_PI_2),
                ([1e-3, 1e-3, 4e-4], 1.0),
                ([1e-3, 8e-4, 2e-3], 2.0),
            ] {
                let mut forms = TeeForms::new(set, areas, angle);
                for step in 0..720 {
                    let (sine, cosine) = (f64::from(step) * 0.5_f64.to_radians()).sin_cos();
                    let flows = [sine, 0.3 * sine + cosine, -1.3 * sine - cosine + 1e-4];
                    let Some(got) = forms.excess(flows, 1040.0) else { continue };
                    met += 1;
                    let flows = std::array::from_fn(|leg| Dual::<3>::seeded(flows[leg], leg));
                    let want = tee_excess(
                        set,
                        flows,
                        areas.map(Dual::from),
                        Dual::from(angle),
                        Dual::from(1040.0),
                    );
                    let scale = want.iter().fold(0.0_f64, |most, leg| most.max(leg.value.abs()));
                    let steep = want
                        .iter()
                        .flat_map(|leg| leg.slopes)
                        .fold(0.0_f64, |most, slope| most.max(slope.abs()));
                    for (got, want) in got.iter().zip(&want) {
                        assert!(
                            (got.value - want.value).abs() <= 1e-14 * scale,
                            "{set:?} {step}: got {got:?}, want {want:?}"
                        );
                        for (got, want) in got.slopes.iter().zip(want.slopes) {
                            assert!(
                                (got - want).abs() <= 1e-13 * steep,
                                "{set:?} {step}: got {got:?}, want {want:?}"
                            );
                        }
                    }
                }
            }
        }
        assert!(met > 1000, "only {met} flows met a form");
    }
}
