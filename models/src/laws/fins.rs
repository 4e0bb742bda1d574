//! Fins between flat tubes, and the air that crosses them.
//!
//! Louvred fins by their correlations, plain ones as short channels in which the air flows laminar; what a
//! fin loses along itself; and the fall of the air from face to face.

use coolwright_solver::scalar::Scalar;

use super::film::{corner, developing, nusselt_rectangular};
use super::fittings::{contraction_loss, expansion_loss};
use super::friction::tube_laminar_factor;

/// Least Reynolds number on the louvre pitch of the correlations for louvred fins.
pub const LOUVRE_REYNOLDS_MIN: f64 = 100.0;
/// Largest Reynolds number on the louvre pitch of the correlation of their heat transfer.
pub const LOUVRE_REYNOLDS_MAX: f64 = 3000.0;
/// End of the first friction correlation, Re on the louvre pitch (Chang et al. 2006).
pub const LOUVRE_FIRST_END: f64 = 130.0;
/// Start of the second friction correlation, Re on the louvre pitch (Chang et al. 2006).
pub const LOUVRE_SECOND_START: f64 = 230.0;
/// Half width of where each law may go over into the next, Re.
pub const LOUVRE_CORNER: f64 = 20.0;
/// End of laminar flow between plain fins, Re on the hydraulic diameter.
pub const PLAIN_REYNOLDS_MAX: f64 = 2300.0;

/// Louvred fins between flat tubes. All lengths in m, the angle in rad.
#[derive(Clone, Copy, Debug)]
pub struct LouvredFin<S> {
    /// Distance from fin to fin, F_p.
    pub pitch: S,
    /// Height from tube to tube, F_l.
    pub height: S,
    /// Depth along the air, F_d.
    pub depth: S,
    /// Thickness δ.
    pub thickness: S,
    /// Distance from louvre to louvre along the air, L_p.
    pub louvre_pitch: S,
    /// Angle θ of the louvres to the air, rad.
    pub louvre_angle: S,
    /// Length of a louvre across the air, L_l.
    pub louvre_length: S,
    /// Distance from tube to tube, T_p.
    pub tube_pitch: S,
    /// Depth of the tubes along the air, all rows together, T_d.
    pub tube_depth: S,
    /// Outside thickness of a tube across the air, D_m.
    pub tube_thickness: S,
    /// Hydraulic diameter of the passages of the air, D_h.
    pub hydraulic_diameter: S,
}

/// Colburn factor of louvred fins, −.
///
/// j = Re^−0.49·(θ/90°)^0.27·(F_p/L_p)^−0.14·(F_l/L_p)^−0.29·(T_d/L_p)^−0.23·(L_l/L_p)^0.68·(T_p/L_p)^−0.28·(δ/L_p)^−0.05
///
/// `reynolds` Re = g·L_p/μ, g the mass flux in the least free area, from [`LOUVRE_REYNOLDS_MIN`] to
/// [`LOUVRE_REYNOLDS_MAX`]; the power goes on outside. j = h/(g·c)·Pr^(2/3). Cores whose heat transfer falls off below a
/// Reynolds number of their own (Achaichia & Cowell 1988; Kim & Cho 2008, Heat Mass Transfer 44, 1127) are not in it.
///
/// Source: Chang & Wang 1997, Int. J. Heat Mass Transfer 40, 533.
pub fn louvred_colburn<S: Scalar>(reynolds: S, fin: &LouvredFin<S>) -> S {
    let over = |length: S| length / fin.louvre_pitch;
    reynolds.powf(-0.49)
        * (fin.louvre_angle / std::f64::consts::FRAC_PI_2).powf(0.27)
        * over(fin.pitch).powf(-0.14)
        * over(fin.height).powf(-0.29)
        * over(fin.tube_depth).powf(-0.23)
        * over(fin.louvre_length).powf(0.68)
        * over(fin.tube_pitch).powf(-0.28)
        * over(fin.thickness).powf(-0.05)
}

/// Fanning friction factor of louvred fins up to Re 130, −.
///
/// f = f₁·f₂·f₃, f₁ = 14.39·Re^(−0.805·F_p/F_l)·ln(1 + F_p/L_p)^3.04,
/// f₂ = ln((δ/F_p)^0.48 + 0.9)^−1.435·(D_h/L_p)^−3.01·ln(0.5·Re)^−3.01,
/// f₃ = (F_p/L_l)^−0.308·(F_d/L_l)^−0.308·e^(−0.1167·T_p/D_m)·θ^0.35
///
/// θ in degrees. `reynolds` as for [`louvred_colburn`], from [`LOUVRE_REYNOLDS_MIN`] to [`LOUVRE_FIRST_END`].
///
/// Source: Chang, Hsu, Lin & Wang 2000, Int. J. Heat Mass Transfer 43, 2237.
pub fn louvred_friction_first<S: Scalar>(reynolds: S, fin: &LouvredFin<S>) -> S {
    let LouvredFin { pitch, height, depth, louvre_pitch, louvre_length, .. } = *fin;
    let f1 = (reynolds.ln() * (pitch / height) * -0.805).exp()
        * (pitch / louvre_pitch + 1.0).ln().powf(3.04)
        * 14.39;
    let f2 = ((fin.thickness / pitch).powf(0.48) + 0.9).ln().powf(-1.435)
        * (fin.hydraulic_diameter / louvre_pitch * (reynolds * 0.5).ln()).powf(-3.01);
    let f3 = (pitch / louvre_length * depth / louvre_length).powf(-0.308)
        * (fin.tube_pitch / fin.tube_thickness * -0.1167).exp()
        * degrees(fin.louvre_angle).powf(0.35);
    f1 * f2 * f3
}

/// Fanning friction factor of louvred fins from Re 230, −.
///
/// f = f₁·f₂·f₃, f₁ = 4.97·Re^(0.6049 − 1.064/θ^0.2)·ln((δ/F_p)^0.5 + 0.9)^−0.527,
/// f₂ = ((D_h/L_p)·ln(0.3·Re))^−2.966·(F_p/L_l)^(−0.7931·T_p/T_h), T_h = T_p − D_m,
/// f₃ = (T_p/D_m)^−0.0446·ln(1.2 + (L_p/F_p)^1.4)^−3.553·θ^−0.477
///
/// θ in degrees. `reynolds` as for [`louvred_colburn`], from [`LOUVRE_SECOND_START`] to 5000.
///
/// Source: Chang, Hsu, Lin & Wang 2000, Int. J. Heat Mass Transfer 43, 2237.
pub fn louvred_friction_second<S: Scalar>(reynolds: S, fin: &LouvredFin<S>) -> S {
    let LouvredFin { pitch, louvre_pitch, louvre_length, tube_pitch, tube_thickness, .. } = *fin;
    let angle = degrees(fin.louvre_angle);
    let f1 = (reynolds.ln() * (angle.powf(-0.2) * -1.064 + 0.6049)).exp()
        * ((fin.thickness / pitch).sqrt() + 0.9).ln().powf(-0.527)
        * 4.97;
    let height = tube_pitch - tube_thickness;
    let f2 = (fin.hydraulic_diameter / louvre_pitch * (reynolds * 0.3).ln()).powf(-2.966)
        * ((pitch / louvre_length).ln() * (tube_pitch / height) * -0.7931).exp();
    let f3 = (tube_pitch / tube_thickness).powf(-0.0446)
        * ((louvre_pitch / pitch).powf(1.4) + 1.2).ln().powf(-3.553)
        * angle.powf(-0.477);
    f1 * f2 * f3
}

/// Fanning friction factor of louvred fins times the Reynolds number, −.
///
/// [`louvred_friction_first`] up to Re 130, [`louvred_friction_second`] from 230, and in between
/// f = √(((1 + w)·f(130)² + (1 − w)·f(230)²)/2), w = 3.6 − 0.02·Re. At both ends the corner is rounded within ±20, so
/// that value and slope are continuous. Below [`LOUVRE_REYNOLDS_MIN`] f·Re stays as it is there: slow flow is laminar.
///
/// `reynolds` from 0.
///
/// Source: Chang, Chang, Li & Wang 2006, Int. J. Heat Mass Transfer 49, 4250 (what is between); below: our own.
pub fn louvred_friction_times_reynolds<S: Scalar>(reynolds: S, fin: &LouvredFin<S>) -> S {
    if reynolds.value() < LOUVRE_REYNOLDS_MIN {
        let least = S::from(LOUVRE_REYNOLDS_MIN);
        return louvred_friction_first(least, fin) * LOUVRE_REYNOLDS_MIN;
    }
    let squared = |f: S| f * f;
    let first = |re| squared(louvred_friction_first(re, fin));
    let second = |re| squared(louvred_friction_second(re, fin));
    let re = reynolds.value();
    let square = if re <= LOUVRE_FIRST_END - LOUVRE_CORNER {
        first(reynolds)
    } else if re >= LOUVRE_SECOND_START + LOUVRE_CORNER {
        second(reynolds)
    } else {
        let [at_first, at_second] =
            [first(S::from(LOUVRE_FIRST_END)), second(S::from(LOUVRE_SECOND_START))];
        let per_reynolds = (at_second - at_first) / (LOUVRE_SECOND_START - LOUVRE_FIRST_END);
        let between = |re: S| at_first + per_reynolds * (re - LOUVRE_FIRST_END);
        if re < LOUVRE_FIRST_END + LOUVRE_CORNER {
            goes_over(reynolds, LOUVRE_FIRST_END, &first, &between)
        } else if re > LOUVRE_SECOND_START - LOUVRE_CORNER {
            goes_over(reynolds, LOUVRE_SECOND_START, &between, &second)
        } else {
            between(reynolds)
        }
    };
    square.sqrt() * reynolds
}

/// Two laws that cross at a Reynolds number, rounded where they are closer to each other than they are
/// [`LOUVRE_CORNER`] away from there on either side.
fn goes_over<S: Scalar>(
    reynolds: S,
    at: f64,
    before: &dyn Fn(S) -> S,
    after: &dyn Fn(S) -> S,
) -> S {
    let gap = |re: f64| after(S::from(re)) - before(S::from(re));
    let [left, right] = [gap(at - LOUVRE_CORNER), gap(at + LOUVRE_CORNER)];
    if left.value() * right.value() >= 0.0 {
        return if reynolds.value() < at { before(reynolds) } else { after(reynolds) };
    }
    let kink = if left.value().abs() < right.value().abs() { -left } else { right };
    corner(before(reynolds), after(reynolds), kink)
}

fn degrees<S: Scalar>(angle_rad: S) -> S {
    angle_rad * (180.0 / std::f64::consts::PI)
}

/// Mean Nusselt number of the air between plain fins, −, on the hydraulic diameter of one passage.
///
/// Nu = N + 0.03·Gz/(1 + 0.016·Gz^(2/3)), Gz = Re·Pr·D/L, N from [`nusselt_rectangular`]
///
/// `graetz` from 0, `aspect` a short over long side of the passage, 0 to 0.25. One temperature of the wall, laminar flow:
/// Re on the hydraulic diameter up to [`PLAIN_REYNOLDS_MAX`].
///
/// Source: Edwards, Denny & Mills 1979, Transfer Processes (from memory), for parallel plates.
pub fn plain_nusselt<S: Scalar>(graetz: S, aspect: S) -> S {
    developing(graetz, nusselt_rectangular(aspect), 0.03, 0.016)
}

/// Fanning friction factor of the air between plain fins times the Reynolds number, −, its entry included.
///
/// f·Re = √((C/4)² + 3.44²·Re·D/L), C the laminar constant [`tube_laminar_factor`]
///
/// `reynolds_times_slender` Re·D/L from 0, `aspect` short over long side, 0 to 1. Within 10 % of the solutions for laminar
/// developing flow in ducts of any shape.
///
/// Source: Muzychka & Yovanovich 2009, J. Fluids Eng. 131, 111105 (from memory): the long duct and the short one, 3.44/√x,
/// added as squares.
pub fn plain_friction_times_reynolds<S: Scalar>(reynolds_times_slender: S, aspect: S) -> S {
    let developed = tube_laminar_factor(aspect) / 4.0;
    (developed * developed + reynolds_times_slender * (3.44 * 3.44)).sqrt()
}

/// Efficiency of a straight fin of one thickness whose tip passes no heat, −.
///
/// e = tanh(M)/M, M = L·√(2·h/(k·δ))
///
/// `film` h W/(m²K) from 0 on both sides, `conductivity` k W/(mK), `thickness_m` δ and `length_m` L in m: from a tube to the
/// middle between two of them.
///
/// Source: Incropera et al., Fundamentals of Heat and Mass Transfer, section 3.6.
pub fn fin_efficiency<S: Scalar>(film: S, conductivity: S, thickness_m: S, length_m: S) -> S {
    let square = film * 2.0 / (conductivity * thickness_m) * length_m * length_m;
    // Near rest the root has no slope, and the series is exact.
    if square.value() < 1e-6 {
        return square * (-1.0 / 3.0) + 1.0;
    }
    let m = square.sqrt();
    m.tanh() / m
}

/// Efficiency of a surface of which a share are fins, −.
///
/// η = 1 − s·(1 − e)
///
/// `share` s of the surface that are fins, `efficiency` e of a fin; the rest is as warm as the tube.
///
/// Source: Incropera et al., Fundamentals of Heat and Mass Transfer, section 3.6.5.
pub fn surface_efficiency<S: Scalar>(share: S, efficiency: S) -> S {
    (efficiency - 1.0) * share + 1.0
}

/// The air on its way through a core: densities where it enters, in the middle and where it leaves, kg/m³.
#[derive(Clone, Copy, Debug)]
pub struct AirDensities<S> {
    /// In front.
    pub entering: S,
    /// That of the mean specific volume.
    pub mean: S,
    /// Behind.
    pub leaving: S,
}

/// Fall of the pressure of the air through a core, Pa, for both directions.
///
/// Δp = g·|g|/(2·ρ₁)·(K_c + K_e·ρ₁/ρ₂ + (1 + σ²)·(ρ₁/ρ₂ − 1)) + f·Re·μ·g·A/(2·S·l·ρ_m),
/// K_c from [`contraction_loss`], K_e from [`expansion_loss`] at σ
///
/// `flux` g kg/(m²s), signed, in the least free area S, which is the share `open` σ of the face; `friction` f·Re·μ/l with the
/// Fanning factor f, Re = |g|·l/μ and the length l of both, so that the fall is defined at rest; `surface_over_free` A/S,
/// from the surface A that the air touches. Times the density in front it follows the mass flux alone, but for what the air is
/// warmed by.
///
/// Source: Kays & London, Compact Heat Exchangers, ch. 2; K_c and K_e: those of a sharp contraction and of Borda and Carnot, as
/// for pipes.
pub fn core_air_fall<S: Scalar>(
    flux: S,
    density: &AirDensities<S>,
    open: S,
    friction: S,
    surface_over_free: S,
) -> S {
    let thins = density.entering / density.leaving;
    let ends = contraction_loss(open) + expansion_loss(open) * thins;
    let speeds_up = (open * open + 1.0) * (thins - 1.0);
    let head = flux * flux.abs() / (density.entering * 2.0);
    head * (ends + speeds_up) + friction * flux * surface_over_free / (density.mean * 2.0)
}
