//! How far the published laws disagree with each other and with measurement: what a fall that was
//! taken from one of them may be off by.
//!
//! Every number here is a half width, ±, from the spread of published values that its docs name. It
//! says nothing about wrong inputs (a bore, a length, a roughness that is not as given).

use std::f64::consts::{FRAC_PI_4, PI};

use super::fittings::{Bend, bend_parts, bore_change_fall, cone_fall, signed_head};
use super::friction::{FlatTube, darcy_factor, flat_tube_fall, pipe_fall};
use super::restriction::orifice_fall;

/// The law behind a fall, by what decides how far off it may be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Law {
    /// Friction in a round bore or a flat tube.
    Friction,
    /// A bend.
    Bend,
    /// A sudden change of bore.
    BoreChange,
    /// A cone.
    Cone,
    /// A sharp-edged hole.
    Orifice,
    /// A barb.
    Barb,
    /// A valve away from full open.
    Valve,
    /// A fall measured at one flow, taken to another.
    Rated,
    /// The entry into a tank and the exit from it.
    Tank,
    /// A tee or a port of a header.
    Tee,
    /// Runs that meet in a plain joint, which is taken without loss.
    PlainJoint,
    /// A pump known by a measured curve.
    PumpCurve,
    /// A pump known by the two numbers of its label.
    PumpLabel,
    /// The film between coolant and metal.
    Film,
    /// Boiling at a hot wall.
    Boiling,
    /// Critical heat flux at a hot wall.
    Critical,
    /// Heat of a core by its rating.
    CoreRating,
    /// Heat of a core by its dimensions.
    CoreDimensions,
    /// Air side of a charge cooler by its rating.
    ChargeRating,
    /// Fall of the air through a core.
    AirFall,
    /// A fan known by its curve.
    FanCurve,
    /// Heat of an engine, a cooler or another body.
    Heat,
    /// Heat between hoses, tanks and blocks and the air around.
    Bay,
    /// Properties of a mixture of glycol and water.
    Mixture,
}

impl Law {
    /// What it is, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Friction => "friction",
            Self::Bend => "bends",
            Self::BoreChange => "change of bore",
            Self::Cone => "cone",
            Self::Orifice => "sharp-edged hole",
            Self::Barb => "barb",
            Self::Valve => "valve away from full open",
            Self::Rated => "fall away from its rating",
            Self::Tank => "ends of a tank",
            Self::Tee => "tee formulas",
            Self::PlainJoint => "plain joint, taken without loss",
            Self::PumpCurve => "pump curve",
            Self::PumpLabel => "pump known by its label",
            Self::Film => "film on the wall",
            Self::Boiling => "boiling at the wall",
            Self::Critical => "critical heat flux at the wall",
            Self::CoreRating => "heat of a core by its rating",
            Self::CoreDimensions => "heat of a core by its dimensions",
            Self::ChargeRating => "air side of a charge cooler by its rating",
            Self::AirFall => "fall of air through a core",
            Self::FanCurve => "fan curve",
            Self::Heat => "heat that comes in",
            Self::Bay => "heat to the air around",
            Self::Mixture => "properties of the mixture",
        }
    }
}

/// What a fall may be off by because of one law.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UncertaintyTerm {
    /// The law.
    pub law: Law,
    /// Half width, Pa, not negative.
    pub pa: f64,
}

/// Least share by which turbulent friction is uncertain: smooth bores.
pub const SMOOTH: f64 = 0.05;
/// What is added where all of the friction comes from roughness.
pub const ROUGH: f64 = 0.10;
/// Velocity heads that a laminar flow loses at most while its profile develops.
pub const DEVELOPING_HEADS: f64 = 1.25;
/// Share of turbulent friction for the aspect ratio of a flat tube.
pub const ASPECT: f64 = 0.10;
/// Share of the turbulent part of a bend of 90° and more.
pub const BEND_SQUARE: f64 = 0.25;
/// Share of the turbulent part of a bend of 45° and less.
pub const BEND_SHARP: f64 = 0.50;
/// Share of the slow part of a bend.
pub const BEND_SLOW: f64 = 0.5;
/// Share of a sudden widening.
pub const EXPANSION: f64 = 0.10;
/// Share of a sudden narrowing.
pub const CONTRACTION: f64 = 0.42;
/// Share of a cone towards the larger bore.
pub const CONE_WIDENING: f64 = 0.4;
/// Velocity heads of the smaller bore that are added to it.
pub const CONE_HEADS: f64 = 0.04;
/// Share of a cone towards the smaller bore.
pub const CONE_NARROWING: f64 = 0.7;
/// Share of a sharp-edged hole in turbulent flow.
pub const ORIFICE: f64 = 0.05;
/// What is added to it in slow flow.
pub const ORIFICE_SLOW: f64 = 0.25;
/// Share of a barb.
pub const BARB: f64 = 0.4;
/// By how much the exponent of a rated fall is uncertain.
pub const RATED_EXPONENT: f64 = 0.125;
/// Share of a valve's fall where it is shut.
pub const VALVE: f64 = 0.2;
/// Share of the cracking pressure of a check valve.
pub const CRACKING: f64 = 0.25;
/// Velocity heads at the ends of a tank.
pub const TANK_HEADS: f64 = 0.1;
/// Velocity heads of the fullest leg that each other leg of a plain joint may lose.
pub const PLAIN_JOINT_HEADS: f64 = 1.0;
/// Share of a measured head.
pub const PUMP_HEAD: f64 = 0.07;
/// Share of a measured flow.
pub const PUMP_FLOW: f64 = 0.09;
/// Share of both numbers of a label.
pub const LABEL: f64 = 0.1;
/// Share of a laminar film.
pub const FILM_LAMINAR: f64 = 0.05;
/// Share of a turbulent film.
pub const FILM_TURBULENT: f64 = 0.10;
/// Share of a film between laminar and turbulent.
pub const FILM_BETWEEN: f64 = 0.30;
/// By how much the exponent of a rated film is uncertain.
pub const FILM_EXPONENT: f64 = 0.1;
/// Share of the heat flux by nucleate boiling at one superheat.
///
/// 25 % in superheat, so up to 100 % in heat flux (Incropera et al., Fundamentals of Heat and Mass Transfer,
/// section 10.4.1, from memory); its lower half, so that what is left stays above nothing.
pub const BOILING: f64 = 0.6;
/// Share of the critical heat flux.
///
/// Constants from 0.12 to 0.18 are in use for one and the same law (Zuber 1959, Kutateladze 1952, Lienhard & Dhir
/// 1973, from memory); and what Ivey & Morris add for cold coolant is good to 25 % (judgement, no source).
pub const CRITICAL: f64 = 0.25;
/// Share of the conductance of a core, whatever it was rated at.
///
/// AHRI Standard 410 (coils that heat or cool air) lets a tested coil give 5 % less heat than was
/// published (from memory).
pub const CORE_RATING: f64 = 0.05;
/// Share of the film of the air on fins.
///
/// Nine in ten of the measurements that the law for louvred fins was fitted to lie within it (Chang & Wang 1997, from memory).
pub const FIN_FILM: f64 = 0.15;
/// The same in slow air, where measured cores fall off as the law does not (Kim & Cho 2008, Heat Mass Transfer 44, 1127): judgement,
/// no source.
pub const FIN_FILM_SLOW: f64 = 0.30;
/// Share of the fall of the air between fins.
///
/// Eight in ten of the measurements that the law for louvred fins was fitted to lie within it (Chang et al. 2000, from memory).
pub const FIN_FALL: f64 = 0.15;
/// The same in slow air (judgement, no source).
pub const FIN_FALL_SLOW: f64 = 0.25;
/// Reynolds number from which air between fins is not slow any more.
const SLOW_END: f64 = 250.0;
/// Reynolds number of slow air.
const SLOW: f64 = 100.0;
/// Share of the conductance of the air side of a charge cooler, from its rated effectiveness.
///
/// Share of the heat capacity of a mixture of glycol and water.
pub const MIXTURE_HEAT_CAPACITY: f64 = 0.015;
/// Share of its viscosity.
pub const MIXTURE_VISCOSITY: f64 = 0.05;
/// How many times as far off both may be beyond the temperatures of the source (judgement, no source).
pub const MIXTURE_BEYOND: f64 = 2.0;
/// Share of each film of an exchanger between two liquids: 5 % of its heat ([`CORE_RATING`]) in two films that are independent.
pub const EXCHANGER_FILM: f64 = 0.07;
/// What 5 % less heat ([`CORE_RATING`]) is at an effectiveness of 80 %, in transfer units.
pub const CHARGE_RATING: f64 = 0.15;
/// Share of the fall of air through a core.
///
/// AHRI Standard 410 lets it be 10 % over what was published (from memory).
pub const AIR_FALL: f64 = 0.10;
/// Share of the pressure and of the flow of a fan.
pub const FAN: f64 = 0.10;
/// Share of the conductance between hoses, tanks and blocks and the air around: air that rises and air that blows are known to
/// 20 % (Incropera et al., Fundamentals of Heat and Mass Transfer, sections 7.4 and 9.6, from memory); emissivity, rubber, foam
/// and how the surfaces stand are within that (judgement, no source).
pub const BAY: f64 = 0.2;
/// Share of the heat of a body.
///
/// The heat that an engine, a motor or a charge cooler gives off is a share of power that was measured
/// on another stand on another day; coolant side and air side of one test are called in agreement within
/// 5 % (common practice, no source).
pub const HEAT: f64 = 0.05;

/// Share by which the friction factor of a round bore may be off, −.
///
/// Turbulent: 0.05 + 0.10·(1 − f_smooth/f). The formulas themselves differ by up to 3 % (Churchill
/// against Colebrook at Re 4000, ε/D 0.01); against measurement the chart that they stand for is good
/// to ±5 % in smooth bores (Moody 1944, Trans. ASME 66, 671, from memory) and to ±15 % over its
/// whole range (White, Fluid Mechanics, ch. 6). Laminar: nothing, the law is exact; what the flow
/// loses while it develops is [`developing_uncertainty`]. Between Re 2000 and 4500 the flow may be
/// either: half the distance between 64/Re and Blasius' 0.3164/Re^0.25, over f.
pub fn friction_share(reynolds: f64, relative_roughness: f64) -> f64 {
    if reynolds <= 1.0 {
        return 0.0;
    }
    let f = darcy_factor(reynolds, relative_roughness);
    let smooth = darcy_factor(reynolds, 0.0);
    let either = 0.5 * (0.3164 / reynolds.powf(0.25) - 64.0 / reynolds).max(0.0) / f;
    let window = ramp((reynolds - 1800.0) / 500.0).min(ramp((5000.0 - reynolds) / 1500.0));
    let turbulent = SMOOTH + ROUGH * (1.0 - smooth / f).max(0.0);
    (turbulent * ramp((reynolds - 1800.0) / 500.0)).max(window * either)
}

fn ramp(x: f64) -> f64 {
    x.clamp(0.0, 1.0)
}

/// Velocity heads that a laminar flow may lose while its profile develops, −.
///
/// 1.25 where the bore is longer than the entrance length 0.056·Re·D, less in proportion where it is
/// shorter; fading out from Re 2000 to 2300. Each bore of a run is taken to start anew, which fittings
/// do in part only: so it is a doubt, not a loss.
///
/// Source: Shah & London 1978, Laminar Flow Forced Convection in Ducts: K∞ = 1.25 (from memory; other
/// authors 1.20 to 1.33).
pub fn developing_uncertainty(reynolds: f64, length_over_bore: f64) -> f64 {
    if reynolds <= 1.0 {
        return 0.0;
    }
    DEVELOPING_HEADS
        * ramp(length_over_bore / (0.056 * reynolds))
        * ramp((2300.0 - reynolds) / 300.0)
}

/// Uncertainty of the friction of a round bore, Pa.
///
/// [`friction_share`] of the friction, and [`developing_uncertainty`] velocity heads. Inputs as those
/// of [`pipe_fall`].
pub fn pipe_uncertainty(
    flow_kg_s: f64,
    density: f64,
    viscosity: f64,
    (bore_m, length_m, roughness_m): (f64, f64, f64),
) -> f64 {
    let fall = pipe_fall(flow_kg_s, density, viscosity, bore_m, length_m, roughness_m, 0.0);
    let reynolds = 4.0 * flow_kg_s.abs() / (PI * bore_m * viscosity);
    let share = friction_share(reynolds, roughness_m / bore_m);
    let heads = developing_uncertainty(reynolds, length_m / bore_m);
    share * fall.abs() + heads * signed_head(flow_kg_s, density, bore_m).abs()
}

/// Uncertainty of the friction of one flat tube, Pa.
///
/// As [`pipe_uncertainty`] on the hydraulic diameter, and 10 % of turbulent friction for the aspect ratio
/// (Jones 1976, J. Fluids Eng. 98, 173, from memory). Inputs as those of [`flat_tube_fall`]; the loss of
/// the tube is left out.
pub fn flat_tube_uncertainty(
    flow_kg_s: f64,
    density: f64,
    viscosity: f64,
    tube: &FlatTube<f64>,
) -> f64 {
    let bare = FlatTube { loss: 0.0, ..*tube };
    let fall = flat_tube_fall(flow_kg_s, density, viscosity, &bare);
    let (area, diameter) = (tube.area(), tube.hydraulic_diameter());
    let flux = flow_kg_s / area;
    let reynolds = flux.abs() * diameter / viscosity;
    let share = friction_share(reynolds, tube.roughness_m / diameter);
    let shape = ASPECT * ramp((reynolds - 1800.0) / 500.0);
    let heads = developing_uncertainty(reynolds, tube.length_m / diameter);
    share.hypot(shape) * fall.abs() + heads * flux * flux / (2.0 * density)
}

/// Uncertainty of a bend's fall, Pa.
///
/// 25 % of its turbulent part from 90° on, rising to 50 % at 45° and below; 50 % of its slow part.
/// Straight friction left out, Miller and Ito lie within that of the law used here (Rennels & Hudson)
/// for r/D from 1 to 5 and Re from 10⁴ to 10⁵ (computed with `fluids` 1.3.1); TP 410, which takes the
/// friction factor of commercial steel at full turbulence, lies higher at high Reynolds numbers. The
/// slow part: Hooper's two-K and Darby's three-K method differ so (from memory).
pub fn bend_uncertainty(flow_kg_s: f64, density: f64, viscosity: f64, bend: &Bend<f64>) -> f64 {
    let [fast, slow] = bend_parts(flow_kg_s, density, viscosity, bend);
    let sharp = ramp((PI / 2.0 - bend.angle_rad) / FRAC_PI_4);
    let share = BEND_SQUARE + (BEND_SHARP - BEND_SQUARE) * sharp;
    share * fast.abs() + BEND_SLOW * slow.abs()
}

/// Uncertainty of the fall at a sudden change of bore, Pa.
///
/// 42 % of a contraction: at half the area handbooks print K from 0.25 (used here) over 0.30 (Idelchik,
/// Hooper) to 0.34 (Rennels & Hudson). 10 % of an expansion: Borda–Carnot is common to all, Archer 1913
/// measured K·(Δv)² as 1.098·(Δv)^1.919 in feet (from memory), and a full profile gives a few percent.
pub fn bore_change_uncertainty(flow_kg_s: f64, density: f64, from_m: f64, to_m: f64) -> f64 {
    let fall = bore_change_fall(flow_kg_s, density, from_m, to_m);
    let widens = (flow_kg_s >= 0.0) == (from_m <= to_m);
    fall.abs() * if widens { EXPANSION } else { CONTRACTION }
}

/// Uncertainty of the fall along a cone, Pa.
///
/// Widening: 40 % and 0.04 velocity heads of the smaller bore; narrowing: 70 %. Nine in ten of the values
/// of Rennels & Hudson, Miller, Idelchik and Hooper lie so near that of TP 410 (used here), for cones of
/// 20° to 60° and area ratios of 0.25 to 0.75 (computed with `fluids` 1.3.1).
pub fn cone_uncertainty(
    flow_kg_s: f64,
    density: f64,
    (from_m, to_m): (f64, f64),
    angle_rad: f64,
) -> f64 {
    let fall = cone_fall(flow_kg_s, density, from_m, to_m, angle_rad).abs();
    let widens = (flow_kg_s >= 0.0) == (from_m <= to_m);
    if !widens {
        return CONE_NARROWING * fall;
    }
    let (small, large) = (from_m.min(to_m), from_m.max(to_m));
    let changes = 1.0 - (small / large).powi(4);
    CONE_WIDENING * fall + CONE_HEADS * changes * signed_head(flow_kg_s, density, small).abs()
}

/// Uncertainty of the fall at a sharp-edged hole, Pa.
///
/// 5 % above a Reynolds number of 10⁴ of the hole, where the law meets the permanent loss of ISO 5167-2
/// within 5 %; rising, with the logarithm of the Reynolds number, to 30 % at 10³ and below, where it has
/// not been held against measurements (judgement, no source).
pub fn orifice_uncertainty(
    flow_kg_s: f64,
    density: f64,
    viscosity: f64,
    (bore_m, hole_m): (f64, f64),
) -> f64 {
    let reynolds = 4.0 * flow_kg_s.abs() / (PI * hole_m * viscosity);
    let slow = ramp(4.0 - reynolds.max(1.0).log10());
    (ORIFICE + ORIFICE_SLOW * slow)
        * orifice_fall(flow_kg_s, density, viscosity, bore_m, hole_m).abs()
}

/// Uncertainty of a barb's fall, Pa: 40 % of it. No coefficient of whole barbs is published; the jet may
/// have recovered or not between entry and exit, and the edge may be broken or not (judgement).
pub fn barb_uncertainty(fall_pa: f64) -> f64 {
    BARB * fall_pa.abs()
}

/// Uncertainty of a fall that was measured at one flow and is taken to another, Pa.
///
/// At the rated flow it is as measured. Away from it the exponent is uncertain by ±0.125, half the way
/// from 1.75 (smooth turbulent channels, Blasius 1913) to 2 (sharp edges): 0.125·|ln x| of the fall,
/// x the flow over the rated flow.
pub fn rated_uncertainty(fall_pa: f64, flow_over_rated: f64) -> f64 {
    let x = flow_over_rated.abs();
    if x > 0.0 { RATED_EXPONENT * x.ln().abs() * fall_pa.abs() } else { 0.0 }
}

/// Uncertainty of a valve's fall at an opening, Pa, over and above that at full open: 20 % as it shuts.
///
/// IEC 60534-2-4 lets a flow coefficient deviate by ±10 % from its characteristic (from memory), which is
/// ±20 % of the fall; taken in proportion to what is shut, 1 − `share`.
pub fn valve_uncertainty(fall_pa: f64, share: f64) -> f64 {
    VALVE * ramp(1.0 - share) * fall_pa.abs()
}

/// Uncertainty of the losses at both ends of a tank, Pa: 0.1 velocity heads of the pipe.
///
/// Handbooks print 0.50 to 0.57 for a flush sharp entry, and the profile gives 1.00 to 1.06 for the exit
/// (turbulent). A pipe that stands out into the tank loses more.
pub fn tank_uncertainty(flow_kg_s: f64, density: f64, bore_m: f64) -> f64 {
    TANK_HEADS * signed_head(flow_kg_s, density, bore_m).abs()
}

/// Uncertainty of the head of a pump known by a measured curve, Pa.
///
/// √((0.07·H)² + (0.09·Q·dH/dQ)²): ±7 % of head and ±9 % of flow, the wider acceptance grade of ISO 9906
/// (3B, from memory), which is what a series-made pump with a catalogue curve is held to.
/// `head_pa` H, `flow_times_slope_pa` Q·dH/dQ.
pub fn pump_curve_uncertainty(head_pa: f64, flow_times_slope_pa: f64) -> f64 {
    (PUMP_HEAD * head_pa).hypot(PUMP_FLOW * flow_times_slope_pa)
}

/// Uncertainty of the head of a pump known by two numbers of its label, Pa.
///
/// The root of the sum of three squares: 10 % of the pressure at shut-off, H₀(1 − x²)/10; 10 % of the free
/// flow, 2x²H₀/10; and the shape between, half the way from the parabola H₀(1 − x²) to the straight line,
/// H₀(x − x²)/2; x the flow over the free flow, 0 to 1. Labels are rounded up more often than down (common
/// practice, no source).
pub fn pump_label_uncertainty(shut_off_pa: f64, flow_over_free: f64) -> f64 {
    let x = ramp(flow_over_free);
    let numbers = (LABEL * (1.0 - x * x)).hypot(2.0 * LABEL * x * x);
    numbers.hypot(0.5 * (x - x * x)) * shut_off_pa
}

/// Share by which a film by the formulas for tubes may be off, −.
///
/// Turbulent: Gnielinski's formula meets measurements within 10 % where the older ones miss by up to
/// 25 % (Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, section 8.5, from memory). Between
/// Re 2300 and 4000 the flow may be either: 30 %, fading in and out (judgement, no source). Laminar: the
/// solutions are exact for a given profile and wall, but differ by 20 % between a wall of one
/// temperature (Nu 3.66) and one of one heat flux (4.36); films of real walls lie between, hence 5 %
/// beside the mean that is used for metal (judgement, no source).
pub fn film_share(reynolds: f64) -> f64 {
    let between =
        ramp((reynolds - 1800.0) / 500.0).min(ramp((6000.0 - reynolds) / 2000.0)) * FILM_BETWEEN;
    let turbulent = ramp((reynolds - 1800.0) / 500.0);
    between.max(FILM_LAMINAR + (FILM_TURBULENT - FILM_LAMINAR) * turbulent)
}

/// Share by which a film that was rated at one flow may be off at another, −: its exponent with flow
/// is uncertain by ±0.1, half the way from 0.6 (short fins, banks of tubes) to 0.8 (long smooth
/// tubes), so 0.1·|ln x|, x the flow over the rated flow; no more than one half.
pub fn rated_film_share(flow_over_rated: f64) -> f64 {
    let x = flow_over_rated.abs();
    if x > 0.0 { (FILM_EXPONENT * x.ln().abs()).min(0.5) } else { 0.5 }
}

/// How slow the air between louvred fins is, 0 to 1: 1 at Re 100 on the louvre pitch and below, 0 from 250, in between by the
/// logarithm of Re.
fn slowness(reynolds: f64) -> f64 {
    ramp((SLOW_END / reynolds.max(1e-300)).ln() / (SLOW_END / SLOW).ln())
}

/// Share by which the film of the air on fins may be off, −: 15 %, and 30 % in slow air between louvres, `reynolds` on the louvre
/// pitch; infinite for plain fins.
pub fn fin_film_share(reynolds: f64) -> f64 {
    FIN_FILM + (FIN_FILM_SLOW - FIN_FILM) * slowness(reynolds)
}

/// Share by which the fall of the air between fins may be off, −: 15 %, and 25 % in slow air; `reynolds` as for
/// [`fin_film_share`].
pub fn fin_fall_share(reynolds: f64) -> f64 {
    FIN_FALL + (FIN_FALL_SLOW - FIN_FALL) * slowness(reynolds)
}

/// Uncertainty of the pressure of a fan known by its curve, Pa.
///
/// √((0.10·p)² + (0.10·Q·dp/dQ)²): ±10 % of pressure and of flow, the widest tolerance grade of
/// ISO 13348:2007 (AN4, from memory), which is what a series-made fan with a catalogue curve is held to.
/// `pressure_pa` p, `flow_times_slope_pa` Q·dp/dQ.
pub fn fan_curve_uncertainty(pressure_pa: f64, flow_times_slope_pa: f64) -> f64 {
    (FAN * pressure_pa).hypot(FAN * flow_times_slope_pa)
}
