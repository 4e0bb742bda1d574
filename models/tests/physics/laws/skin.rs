//! Heat from hoses, tanks and blocks to the air around.

use coolwright_models::fluids::Site;
use coolwright_models::laws::skin::{
    Outside, Shape, blown_round, blown_wall, radiation, rising_round, rising_wall,
};

use super::support::{assert_close, references_in};

/// Against ht 1.2.0 (`tests/reference/scripts/skins.py`).
#[test]
fn air_that_rises_and_blows_is_that_of_a_library() {
    type Law = fn(f64, f64) -> f64;
    let laws: [(&str, Law); 4] = [
        ("rising_round", rising_round),
        ("rising_wall", rising_wall),
        ("blown_round", blown_round),
        ("blown_wall", blown_wall),
    ];
    for (name, law) in laws {
        for reference in references_in("skins.csv", name) {
            let [number, prandtl] = reference.arguments[..] else { panic!("two numbers") };
            assert_close(name, law(number, prandtl), reference.value, 1e-12);
        }
    }
}

/// Incropera et al., Fundamentals of Heat and Mass Transfer, example 9.4 (from memory): a pipe of 0.1 m with steam in it, its
/// surface at 165 °C in a room at 23 °C, emissivity 0.85: Ra 5.073e6, Nu 23.3, film 0.0313 · 23.3/0.1 = 7.29 W/(m²·K), 325 and 441 W/m by air and by radiation.
#[test]
fn a_steam_pipe_gives_off_what_is_printed() {
    let air = Site::new(296.15, 0.0, 0.0).expect("a site").air();
    let outside =
        Outside { shape: Shape::Lying, size_m: 0.1, air: &air, air_k: 296.15, speed_m_s: 0.0 };
    let surface_k = 438.15;
    let met = outside.met(surface_k);
    // The table of air that it was worked out with has 1.4 % less density, which enters squared.
    assert_close("Rayleigh number", met.rayleigh, 5.073e6, 0.04);
    let [rising, blown] = outside.nusselt(&met);
    assert_close("Nusselt number", rising, 23.3, 0.015);
    assert!(blown == 0.0);
    let by_air = outside.film(surface_k) - radiation(surface_k, 296.15);
    assert_close("film", by_air, 7.29, 0.015);
    let round = std::f64::consts::PI * 0.1 * (surface_k - 296.15);
    let by_glow = radiation(surface_k, 296.15) * 0.85 / 0.9;
    assert_close("heat of a metre", (by_air + by_glow) * round, 325.0 + 441.0, 0.01);
}

/// What comes through a wall is what leaves its surface, whatever stands in the air and however it blows.
#[test]
fn the_surface_stands_where_both_sides_agree() {
    let air = Site::new(303.15, 500.0, 0.5).expect("a site").air();
    for shape in [Shape::Lying, Shape::Upright] {
        for (inside_k, speed_m_s) in [(373.15, 0.0), (273.15, 0.0), (363.15, 12.0), (303.15, 0.0)] {
            let outside = Outside { shape, size_m: 0.04, air: &air, air_k: 303.15, speed_m_s };
            let wall = Shape::Lying.wall(0.03, 0.005, 0.25);
            let (through, surface_k) = outside.through(inside_k, wall);
            let from_inside = (inside_k - surface_k) / wall;
            let to_air = outside.film(surface_k) * (surface_k - 303.15);
            let size = (through * (inside_k - 303.15)).abs();
            assert!((from_inside - to_air).abs() <= 2e-3 * size + 1e-9, "{from_inside} {to_air}");
        }
    }
}
