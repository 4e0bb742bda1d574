//! Hot walls against closed forms and printed laws.

use std::f64::consts::PI;

use coolwright_models::fluids::{Coolant, Saturated, water};
use coolwright_models::laws::boiling::critical_w_m2;

use crate::common::{at, column, constant, cycle, near, phases, read, solve};

/// A body with a hot wall in water from a tap.
fn tap(heat: &str, wall: &str, flow: &str) -> String {
    format!(
        r#"Case(
            site: Site(air: "20 °C", altitude: "0 m"),
            circuits: {{ "c": Circuit(coolant: Water, start: "60 °C", bore: "30 mm", runs: {{
                "r": Run(from: "in", to: "out", parts: {{ "p": Pass(cooler: "c") }}),
            }}, junctions: {{
                "in": Open(flow: "{flow}", temperature: "60 °C"),
                "out": Open(pressure: "0 kPa", temperature: "60 °C"),
            }}) }},
            coolers: {{ "c": Cooler(heat: "{heat}", metal: Aluminium("1 kg"), fall: (fall: "0.1 kPa", at: "60 L/min"),
                wall: Wall({wall})) }},
        )"#
    )
}

const IRON: &str = r#"area: "0.05 m2", of: Iron, thickness: "10 mm", film: "9 kW/(m2·K)", at: "60 L/min",
    fluid_temperature: "60.6 °C""#;

/// Heat goes straight through: q/h and q L/k in series, at the place where the coolant leaves.
#[test]
fn a_wall_that_does_not_boil_is_film_and_metal_in_series() {
    // The film is that of the coolant at the mean of its cells, a tenth of a kelvin above the rating.
    let results = solve(&tap("5 kW", &format!("{IRON}, peak: 1"), "60 L/min"));
    let flux = 5e3 / 0.05;
    let leaves = at(&results, "c/r/p:out");
    let (film, metal) = (flux / 9e3, flux * 0.010 / 46.0);
    near("surface", at(&results, "coolers/c:wall_surface"), leaves + film, 0.02);
    near("hot side", at(&results, "coolers/c:wall"), leaves + film + metal, 0.02);
    near("heat", at(&results, "coolers/c:heat"), 5e3, 1e-3);
    // Nothing heats the bulk of the metal but the coolant beside it.
    near("bulk", at(&results, "coolers/c:metal"), leaves, 1e-3);
    let twice = solve(&tap("5 kW", &format!("{IRON}, peak: 2"), "60 L/min"));
    let want = leaves + 2.0 * (film + metal);
    near("hottest place", at(&twice, "coolers/c:wall"), want, 0.04);
    assert!(at(&results, "coolers/c:onset_margin") > 0.0, "it does not boil");
}

/// Above its boiling point the surface stands where film and boiling together take the heat: the surface of
/// the program in the law as it is printed, with numbers of water at 100 °C from a steam table (Incropera et
/// al., table A.6, from memory: μ 279e-6, c 4217, Pr 1.76, L 2257e3, ρ 957.9 and 0.596, σ 0.0589).
#[test]
fn a_wall_that_boils_takes_the_heat_by_film_and_bubbles() {
    let wall = format!("{IRON}, peak: 1, surface: 0.0128").replace("60.6", "64.2");
    let results = solve(&tap("30 kW", &wall, "60 L/min"));
    let flux = 30e3 / 0.05;
    let surface = at(&results, "coolers/c:wall_surface");
    // The static pressure of the moving water: 1 L/s in 30 mm.
    let velocity = 1e-3 / (PI / 4.0 * 0.030_f64.powi(2));
    let boils = water::saturation_temperature_k(101_325.0 - 0.5 * 981.0 * velocity * velocity);
    assert!(surface > boils + 3.0, "it boils: {surface}");
    let bubbles = (9.80665 * (957.9 - 0.596) / 0.0589_f64).sqrt();
    let each = 4217.0 / (0.0128 * 2257e3 * 1.76);
    let by_boiling = 279e-6 * 2257e3 * bubbles * (each * (surface - boils)).powi(3);
    let by_film = 9e3 * (surface - at(&results, "c/r/p:out"));
    // Printed properties have three digits: 1 % of viscosity and of the Prandtl number is 4 % of what boils.
    let share = by_boiling / flux;
    near("heat flux", by_film + by_boiling, flux, flux * (0.01 + 0.05 * share));
    assert!(share > 0.1 && share < 0.9, "both take part: {share}");
    assert!(at(&results, "coolers/c:onset_margin") < 0.0, "it boils");
    let at_rest = Saturated::at(&Coolant::water(), 101_325.0);
    let critical = critical_w_m2(&at_rest, boils - at(&results, "c/r/p:out"));
    near(
        "share",
        at(&results, "coolers/c:critical_share"),
        flux / critical,
        0.01 * flux / critical,
    );
}

/// Beyond the critical heat flux nothing boils off any more: the surface is that of the film alone, q/h above its
/// coolant, far above where bubbles would have held it.
#[test]
fn beyond_the_critical_flux_the_film_is_alone() {
    let wall = format!("{IRON}, peak: 1, conductivity: \"385 W/(m·K)\"");
    let results =
        solve(&tap("350 kW", &wall.replace("60.6", "110"), "60 L/min").replace("0 kPa", "400 kPa"));
    let flux = 350e3 / 0.05;
    assert!(at(&results, "coolers/c:critical_share") > 1.0, "vapour covers it");
    let surface = at(&results, "coolers/c:wall_surface") - at(&results, "c/r/p:out");
    near("surface", surface, flux / 9e3, 0.05 * flux / 9e3);
}

/// Carslaw & Jaeger, Conduction of Heat in Solids, section 2.9: a constant heat flux q into a thick wall warms
/// its face by 2 q √(t/(π k ρ c)), until the heat is through. The layers of 30 mm of iron have it within 3 % from
/// two seconds on.
#[test]
fn heat_goes_into_a_thick_wall_by_the_root_of_time() {
    let wall = r#"area: "0.05 m2", of: Iron, thickness: "30 mm", film: "9 kW/(m2·K)", at: "60 L/min", peak: 1"#;
    let ready = read(&tap("10 kW", wall, "60 L/min"));
    let (conductivity, capacity) = (46.0, 7200.0 * 500.0);
    for time in [2.0, 4.0, 7.0, 10.0] {
        let history = cycle(&ready.model, &ready.model.values, &constant(time));
        let warmer = column(&history, "coolers/c:wall").last().expect("an end") - 333.15;
        let want = 2.0 * 10e3 / 0.05 * (time / (PI * conductivity * capacity)).sqrt();
        near(&format!("after {time} s"), warmer, want, 0.03 * want);
    }
}

/// Where the coolant stands still the film goes and boiling takes its place: the wall stays within some tens of
/// kelvins of the boiling point, where the film alone would leave it hundreds above.
#[test]
fn boiling_holds_a_wall_that_the_flow_has_left() {
    let moving = solve(&tap("10 kW", IRON, "60 L/min"));
    let slow = solve(&tap("10 kW", IRON, "6 L/min"));
    let [moving, slow] =
        [moving, slow].map(|results| at(&results, "coolers/c:wall_surface") - 373.15);
    assert!(moving < slow && slow > 0.0 && slow < 40.0, "{moving} {slow}");
}

/// A tank that is full to its cap answers a millikelvin of its coolant with some kilopascals, and so does the boiling
/// point at a hot wall: a cycle goes through it in no more steps than a few times those with room in the tank.
#[test]
fn a_full_tank_does_not_hold_a_cycle_up() {
    let vehicle = |air: &str| {
        format!(
            r#"Case(
                site: Site(air: "25 °C", altitude: "0 m"),
                circuits: {{ "c": Circuit(coolant: Water, start: "85 °C", bore: "35 mm", filled_at: "20 °C", runs: {{
                    "r": Run(parts: {{
                        "tank": Tank(volume: "6 L", air: "{air}", cap: Cap(opens: "110 kPa", vacuum: "5 kPa")),
                        "pump": Pump(shut_off: "100 kPa", free_flow: "250 L/min"),
                        "block": Pass(cooler: "c"),
                        "core": CoreSide(core: "k"),
                    }}) }}) }},
                coolers: {{ "c": Cooler(share: "100 %", metal: Aluminium("40 kg"), volume: "50 L",
                    fall: (fall: "30 kPa", at: "150 L/min"),
                    wall: Wall(area: "0.15 m2", of: Aluminium, thickness: "8 mm", film: "8 kW/(m2·K)", at: "150 L/min")) }},
                cores: {{ "k": Core(rated: (heat: "100 kW", coolant: "150 L/min", air: "2.5 kg/s", difference: "60 K")) }},
                air_paths: {{ "p": AirPath(cores: ["k"], fans: {{ "f": Fan(shut_off: "300 Pa", free_flow: "9000 m3/h") }}) }},
                duty: Duty(power: "150 kW", repeat: 2, phases: {{
                    "pull": Phase(time: "12 s"), "rest": Phase(time: "120 s", power: "20 %") }}),
            )"#
        )
    };
    let steps = |air: &str| {
        let ready = read(&vehicle(air));
        let history = cycle(&ready.model, &ready.model.values, &phases(&ready));
        let boils = column(&history, "coolers/c:onset_margin");
        assert!(boils.iter().any(|margin| *margin < 0.0), "the wall boils");
        history.statistics.steps
    };
    let (full, roomy) = (steps("0.5 L"), steps("5 L"));
    assert!(full < 20 * roomy, "{full} steps, {roomy} with room in the tank");
}
