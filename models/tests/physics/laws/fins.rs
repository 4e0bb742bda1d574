use coolwright_models::laws::exchanger::{Arrangement, arranged_conductance};
use coolwright_models::laws::film::wall_viscosity_factor;
use coolwright_models::laws::fins::{
    AirDensities, LouvredFin, core_air_fall, fin_efficiency, louvred_colburn,
    louvred_friction_times_reynolds, plain_friction_times_reynolds, plain_nusselt,
    surface_efficiency,
};
use coolwright_models::laws::uncertainty::{fin_fall_share, fin_film_share};
use coolwright_solver::scalar::Scalar;

use super::support::{Law, assert_close, assert_derivatives, assert_near, references_in};

fn references(law: &str) -> Vec<super::support::Reference> {
    references_in("core_fins.csv", law)
}

/// Pitch, height, depth and thickness of the fins, pitch, angle and length of the louvres, pitch, depth and thickness of the
/// tubes.
fn louvred<S: Scalar>(told: &[S], hydraulic_diameter: S) -> LouvredFin<S> {
    let &[
        pitch,
        height,
        depth,
        thickness,
        louvre_pitch,
        louvre_angle,
        louvre_length,
        ref rest @ ..,
    ] = told
    else {
        panic!("ten lengths")
    };
    let &[tube_pitch, tube_depth, tube_thickness] = rest else { panic!("three of tubes") };
    LouvredFin {
        pitch,
        height,
        depth,
        thickness,
        louvre_pitch,
        louvre_angle,
        louvre_length,
        tube_pitch,
        tube_depth,
        tube_thickness,
        hydraulic_diameter,
    }
}

/// A core as in the trade: tubes of 1.8 mm at 9.8 mm, fins of 1.3 mm, louvres of 1.1 mm at 27°.
const CORE: [f64; 10] =
    [1.3e-3, 8e-3, 32e-3, 8e-5, 1.1e-3, 0.471_238_898, 6.6e-3, 9.8e-3, 32e-3, 1.8e-3];
const PASSAGE: f64 = 2.1e-3;

/// Against the correlations as another library carries them, worked out apart (`tests/reference/scripts/core_fins.py`).
#[test]
fn louvred_fins_agree_with_the_correlations_as_published_elsewhere() {
    for row in references("colburn") {
        let (re, told) = (row.arguments[0], &row.arguments[1..]);
        let got = louvred_colburn(re, &louvred(told, PASSAGE));
        assert_close(&format!("j at {:?}", row.arguments), got, row.value, 1e-12);
    }
    for row in references("friction") {
        let (re, diameter, told) = (row.arguments[0], row.arguments[1], &row.arguments[2..]);
        let got = louvred_friction_times_reynolds(re, &louvred(told, diameter)) / re;
        assert_close(&format!("f at {:?}", row.arguments), got, row.value, 1e-12);
    }
}

/// What the friction of louvred fins asks for is continuous, with its slope, and falls from no Reynolds number on: more flow
/// never falls less. In slow air f·Re stays.
#[test]
fn louvred_friction_has_no_jumps() {
    let deep = [1.4e-3, 7.9e-3, 42e-3, 1e-4, 1.2e-3, 0.471_238_898, 6.7e-3, 9.7e-3, 42e-3, 1.8e-3];
    for (told, passage) in [(&CORE, PASSAGE), (&deep, 2.3e-3)] {
        let fin = louvred(told, passage);
        let at = |re: f64| louvred_friction_times_reynolds(re, &fin);
        let mut before = at(1.0);
        for step in 1..3000 {
            let re = 1.0 + f64::from(step);
            let now = at(re);
            assert!(now >= before * (1.0 - 1e-12), "f·Re falls at Re {re}: {before} to {now}");
            assert!(now <= before * 1.02, "f·Re jumps at Re {re}: {before} to {now}");
            before = now;
        }
        // A jump is one however short the step is; so is one of the slope.
        let mut slope = 0.0;
        for step in 0..18_000 {
            let re = 90.0 + 0.01 * f64::from(step);
            let rise = (at(re + 0.01) - at(re)) / 0.01;
            let level = at(re) / re;
            assert!(rise.abs() < 3.0 * level, "f·Re jumps at Re {re}: {rise} of {level}");
            // In slow air f·Re is held, which is a corner.
            if re > 100.1 {
                assert!((rise - slope).abs() < 0.01 * level, "it has a corner at Re {re}");
            }
            slope = rise;
        }
        assert_close("slow", at(3.0), at(99.999), 1e-12);
    }
}

/// Rows of tubes by the library ht, whose formula is another one and holds for any number of rows.
#[test]
fn rows_of_tubes_have_the_effectiveness_of_the_library() {
    for row in references("rows") {
        let [rows, ratio, units] = row.arguments[..] else { panic!("three arguments") };
        let coolant = 1700.0;
        let air = ratio * coolant;
        let of = Arrangement { rows, passes: 1.0 };
        let whole = arranged_conductance(units * air, air, coolant, of);
        let heat = -(-whole / coolant).exp_m1() * coolant;
        assert_close(&format!("rows {:?}", row.arguments), heat / air, row.value, 1e-10);
    }
}

/// Passes of one row after the other, each with air as cold as in front, are what one pass is; with more rows they lie between
/// that of one row and no more than UA, and so does each row more.
#[test]
fn passes_and_rows_lie_between_what_they_must() {
    let (ua, air, coolant) = (2500.0, 1600.0, 2100.0);
    let at = |rows: f64, passes: f64| {
        arranged_conductance(ua, air, coolant, Arrangement { rows, passes })
    };
    assert_close("one row", at(1.0, 4.0), at(1.0, 1.0), 1e-15);
    let mut before = at(1.0, 1.0);
    for rows in [2.0, 3.0, 4.0] {
        let now = at(rows, 1.0);
        assert!(now > before && now < ua, "{rows} rows: {now} W/K, before {before}");
        before = now;
        // Two rows in two passes, worked out pass by pass: the coolant leaves the first as it enters the second.
        let half =
            arranged_conductance(ua / 2.0, air / 2.0, coolant, Arrangement { rows, passes: 1.0 });
        assert_close("two passes", at(rows, 2.0), 2.0 * half, 1e-12);
    }
}

/// An aluminium fin 75 mm long and 3 mm thick in 10 W/(m²K), its base 250 K over the air, gives 359 W for each metre, its tip
/// counted with half its thickness (Holman, Heat Transfer, example on a straight aluminium fin, from memory).
#[test]
fn a_textbook_fin_gives_its_heat() {
    let length = 0.0765;
    let heat = fin_efficiency(10.0, 200.0, 3e-3, length) * 10.0 * 2.0 * length * 250.0;
    assert_near("W/m", heat, 359.0, 0.5);
    // The chart of Incropera et al., figure 3.19, at an abscissa of 1: 0.63 (from memory).
    let (k, thickness) = (150.0, 1e-3);
    let length = (k * thickness / 25.0_f64).sqrt();
    assert_near("chart", fin_efficiency(25.0, k, thickness, length), 0.628, 0.005);
    assert_close("short fin", fin_efficiency(1e-3, 200.0, 1e-3, 1e-3), 1.0, 1e-8);
    // Near the series and away from it alike.
    let at = |film: f64| fin_efficiency(film, 180.0, 8e-5, 4e-3);
    let switch = 1e-6 * 180.0 * 8e-5 / (2.0 * 16e-6);
    assert_close("series", at(switch * 0.999), at(switch * 1.001), 1e-8);
    assert_close("all fin", surface_efficiency(1.0, 0.7), 0.7, 1e-15);
    assert_close("no fin", surface_efficiency(0.0, 0.7), 1.0, 1e-15);
}

/// Plain fins: developed values of Shah & London in the long passage; developing friction within the 10 % that is said of it, of
/// the entry-length formula of Shah & London 1978.
#[test]
fn plain_fins_are_short_channels() {
    assert_close("long plates", plain_nusselt(1e-9, 0.0), 7.541, 1e-9);
    assert_close("long plates", plain_friction_times_reynolds(0.0, 0.0), 24.0, 1e-12);
    assert_close("long square", plain_friction_times_reynolds(0.0, 1.0), 14.23, 1e-3);
    for row in references("developing") {
        let [aspect, x] = row.arguments[..] else { panic!("two arguments") };
        let got = plain_friction_times_reynolds(1.0 / x, aspect);
        assert_close(&format!("f·Re at {:?}", row.arguments), got, row.value, 0.10);
    }
}

/// Sieder & Tate 1936: (μ/μ_w)^0.14 in laminar flow; Gnielinski 1976: ^0.11 in turbulent flow.
#[test]
fn a_colder_wall_thins_the_film() {
    assert_close("laminar", wall_viscosity_factor(900.0, 0.5), 0.5_f64.powf(0.14), 1e-12);
    assert_close("turbulent", wall_viscosity_factor(9000.0, 0.5), 0.5_f64.powf(0.11), 1e-12);
    assert_close("the same", wall_viscosity_factor(3000.0, 1.0), 1.0, 1e-15);
    let middle = wall_viscosity_factor(3150.0, 0.5);
    assert_close("between", middle, 0.5_f64.powf(0.125), 1e-12);
}

/// The fall of Kays & London term by term: what the air is sped up by as it is warmed, ends without friction, and friction
/// alone; odd in the flow.
#[test]
fn the_fall_of_air_is_that_of_its_parts() {
    let cold = AirDensities { entering: 1.2, mean: 1.2, leaving: 1.2 };
    let warm = AirDensities { entering: 1.2, mean: 1.1, leaving: 1.0 };
    let flux = 6.0;
    let head = flux * flux / 2.4;
    let ends = core_air_fall(flux, &cold, 0.8, 0.0, 60.0);
    assert_close("ends", ends, head * (0.5 * 0.2 + 0.04), 1e-12);
    let sped = core_air_fall(flux, &warm, 1.0, 0.0, 60.0);
    // Momentum: the flux is the same, the velocity grows from g/ρ₁ to g/ρ₂.
    assert_close("sped up", sped, flux * flux * (1.0 / 1.0 - 1.0 / 1.2), 1e-12);
    let friction = core_air_fall(flux, &cold, 1.0, 2.0, 60.0);
    assert_close("friction", friction, 2.0 * flux * 60.0 / 2.4, 1e-12);
    let back = core_air_fall(-flux, &cold, 0.8, 2.0, 60.0);
    assert_close("backwards", back, -core_air_fall(flux, &cold, 0.8, 2.0, 60.0), 1e-12);
    assert_close("at rest", core_air_fall(0.0, &cold, 0.8, 2.0, 60.0), 0.0, 1e-12);
}

/// Nine in ten measurements within 15 %, as Chang & Wang say of theirs (from memory); twice that in air as slow as fans alone
/// move it, never less.
#[test]
fn slow_air_is_less_certain() {
    assert_close("fast", fin_film_share(800.0), 0.15, 1e-12);
    assert_close("slow", fin_film_share(60.0), 0.30, 1e-12);
    assert_close("fall, fast", fin_fall_share(800.0), 0.15, 1e-12);
    assert_close("plain", fin_film_share(f64::INFINITY), 0.15, 1e-12);
    let shares: Vec<f64> = [90.0, 120.0, 180.0, 240.0].map(fin_film_share).to_vec();
    assert!(shares.windows(2).all(|two| two[0] >= two[1]), "{shares:?}");
    assert!(shares[2] > 0.15 + 1e-3, "{shares:?}");
}

struct Colburn;

impl Law for Colburn {
    fn at<S: Scalar>(&self, inputs: &[S]) -> S {
        louvred_colburn(inputs[0], &louvred(&inputs[1..], S::from(PASSAGE)))
    }
}

struct Friction;

impl Law for Friction {
    fn at<S: Scalar>(&self, inputs: &[S]) -> S {
        louvred_friction_times_reynolds(inputs[0], &louvred(&inputs[2..], inputs[1]))
    }
}

struct Others;

impl Law for Others {
    fn at<S: Scalar>(&self, inputs: &[S]) -> S {
        let &[film, k, thickness, length, gz, aspect, flux] = inputs else { panic!("seven") };
        let fin = fin_efficiency(film, k, thickness, length);
        let density = AirDensities { entering: film / 80.0, mean: k / 200.0, leaving: gz / 40.0 };
        let friction = plain_friction_times_reynolds(gz, aspect);
        surface_efficiency(aspect, fin) * plain_nusselt(gz, aspect)
            + core_air_fall(flux, &density, aspect, friction, k)
            + wall_viscosity_factor(film * 30.0, k / 200.0)
    }
}

struct Arranged(f64, f64);

impl Law for Arranged {
    fn at<S: Scalar>(&self, inputs: &[S]) -> S {
        let of = Arrangement { rows: self.0, passes: self.1 };
        arranged_conductance(inputs[0], inputs[1], inputs[2], of)
    }
}

#[test]
fn laws_of_fins_have_their_derivatives() {
    for re in [40.0, 102.0, 118.0, 131.0, 180.0, 222.0, 240.0, 700.0] {
        let told = [&[re], &CORE[..]].concat();
        assert_derivatives("j", &Colburn, &told, &[0.0; 11], 1e-6);
        let told = [&[re, PASSAGE], &CORE[..]].concat();
        assert_derivatives("f·Re", &Friction, &told, &[0.0; 12], 1e-5);
    }
    for flux in [-6.0, 0.0, 6.0] {
        let point = [100.0, 180.0, 8e-5, 4e-3, 33.0, 0.2, flux];
        assert_derivatives("fins", &Others, &point, &[1.0; 7].map(|x| x * 1e-9), 1e-5);
    }
    for (rows, passes) in [(1.0, 1.0), (2.0, 1.0), (3.0, 2.0), (4.0, 3.0)] {
        let point = [2500.0, 1600.0, 2100.0];
        assert_derivatives("rows", &Arranged(rows, passes), &point, &[1.0; 3], 1e-6);
    }
}
