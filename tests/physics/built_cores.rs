//! Cores that are known by their dimensions, through the whole program: against figures of the trade, limits that must hold,
//! and what may not be built.

use coolwright_cases::case::Reading;
use coolwright_cases::diagnostic::Problems;
use coolwright_cases::lower::Ready;
use coolwright_cases::text::Sources;
use coolwright_models::air::{AirTemperatures, CoreRating, CoreSide, Inside, Outside, Resistances};
use coolwright_models::fluids::Site;
use coolwright_models::ids::Id;
use coolwright_models::laws::exchanger::most_heat_w;
use coolwright_models::laws::uncertainty::Law;
use coolwright_models::parts::{CoolantAt, LawInputs};
use coolwright_models::uncertainty::uncertainty;

use crate::common::{at, near, point, read, said, solve};

/// Next to no fall of the air, so that its flow is that of the loss.
const NO_FALL: &str = r#"air_fall: (fall: "0.1 Pa", at: "2 kg/s")"#;
const TUBES: &str = r#"length: "600 mm", across: "400 mm", count: 40, thickness: "1.8 mm", depth: "32 mm", wall: "0.3 mm""#;
const FINS: &str = r#"pitch: "1.3 mm", thickness: "0.08 mm", louvre_pitch: "1.1 mm", louvre_angle: "27°", louvre_length: "6.8 mm""#;
/// Density of dry air of 30 °C at sea level, kg/m³ (ISO 2533: p/(287.05287 T)).
const DENSITY: f64 = 101_325.0 / (287.052_87 * 303.15);

/// A core in 50 % glycol that enters at 80 °C, in air of 30 °C.
fn case(core: &str, (litres_min, air_kg_s): (f64, f64)) -> String {
    let dynamic = 0.5 * DENSITY * 20.0 * 20.0;
    format!(
        r#"Case(
            site: Site(air: "30 °C", altitude: "0 m", humidity: "0 %"),
            circuits: {{ "c": Circuit(coolant: EthyleneGlycol(by_volume: "50 %"), start: "80 °C", bore: "38 mm", runs: {{ "line": Run(from: "in", to: "out", parts: {{
                "core": CoreSide(core: "core") }}) }}, junctions: {{ "in": Open(flow: "{litres_min} L/min", temperature: "80 °C"), "out": Open(pressure: "50 kPa", temperature: "80 °C") }}) }},
            cores: {{ "core": Core({core}) }},
            air_paths: {{ "front": AirPath(cores: ["core"], ram: "100 %", loss: (fall: "{dynamic} Pa", at: "{air_kg_s} kg/s", density: "{DENSITY} kg/m3")) }},
            duty: Duty(road_speed: "20 m/s"),
        )"#
    )
}

fn built(tubes: &str, fins: &str) -> String {
    format!("tubes: CoreTubes({tubes}), fins: Fins({fins})")
}

/// One core with what passes through it, worked out apart from any circuit.
struct Stand {
    ready: Ready,
}

impl Stand {
    fn new(core: &str) -> Self {
        Self { ready: read(&case(core, (90.0, 1.0))) }
    }

    /// Resistances with a coolant flow, L/min, of 50 % glycol at 80 °C, and air of a face velocity, m/s, that enters at 30 °C.
    fn resistances(&self, litres_min: f64, face_m_s: f64) -> Resistances<f64> {
        let model = &self.ready.model;
        let coolant = model.circuits[0].coolant.liquid(&model.values).expect("glycol");
        let at = CoolantAt::of(&coolant, 353.15);
        let inside = Inside {
            flow: litres_min / 60e3 * at.density,
            coolant: [at.viscosity, at.conductivity, at.heat_capacity],
            wall_viscosity: at.viscosity,
        };
        let air = Site::new(303.15, 0.0, 0.0).expect("a plain site").air();
        let outside = Outside { flow: self.air(face_m_s), air: &air, film_k: 323.15 };
        let core = &model.cores[0];
        let side = CoreSide::of(&model.values, core).expect("it can be built");
        side.resistances(&model.values, core, &inside, &outside)
    }

    /// Mass flow of the air of a face velocity, kg/s.
    fn air(&self, face_m_s: f64) -> f64 {
        let core = &self.ready.model.cores[0];
        face_m_s * DENSITY * self.ready.model.values.get(core.face.expect("a face"))
    }

    /// Fall of air of 30 °C that leaves as it came, Pa.
    fn fall(&self, face_m_s: f64) -> f64 {
        let air = Site::new(303.15, 0.0, 0.0).expect("a plain site").air();
        let k = 303.15;
        let temperatures = AirTemperatures { entering_k: k, leaving_k: k, film_k: k };
        let core = &self.ready.model.cores[0];
        core.fall_of_air(&self.ready.model.values, self.air(face_m_s), (&air, temperatures))
    }

    fn ua(&self, litres_min: f64, face_m_s: f64) -> f64 {
        let Resistances { film, wall, air } = self.resistances(litres_min, face_m_s);
        1.0 / (film + wall + air)
    }
}

/// Brazed louvred cores of the trade, 32 and 48 mm deep: tube pitch 9.8 mm, tubes of 1.8 mm, fins at 1.3 mm, louvres of 1.1 mm at
/// 27°, in air of 30 °C with 50 % glycol at 80 °C. Film of the air, W/(m²K), and fall, Pa, by face velocity, worked out apart from
/// the same published correlations with another reading of areas and ends (common practice, no source; good to 15 to 20 %).
#[test]
fn a_louvred_core_lies_near_the_figures_of_the_trade() {
    for (depth, rows) in [
        ("32", [(2.0, 118.0, 38.0), (3.0, 145.0, 66.0), (4.0, 168.0, 99.0), (6.0, 206.0, 179.0)]),
        ("48", [(2.0, 107.0, 53.0), (3.0, 132.0, 100.0), (4.0, 153.0, 149.0), (6.0, 188.0, 268.0)]),
    ] {
        let tubes = TUBES.replace("depth: \"32 mm\"", &format!("depth: \"{depth} mm\""));
        let stand = Stand::new(&built(&tubes, FINS));
        let model = &stand.ready.model;
        let CoreRating::Built(core) = &model.cores[0].rating else { panic!("by its dimensions") };
        let air = Site::new(303.15, 0.0, 0.0).expect("a plain site").air();
        for (face_m_s, film, fall) in rows {
            let flux = stand.air(face_m_s) / core.sizes(&model.values).free;
            let k = 323.15;
            let properties = [air.viscosity(k), air.conductivity(k), air.heat_capacity(k)];
            let got = core.air_film(&model.values, flux, properties);
            near(&format!("{depth} mm, {face_m_s} m/s, film"), got, film, 0.15 * film);
            near(
                &format!("{depth} mm, {face_m_s} m/s, fall"),
                stand.fall(face_m_s),
                fall,
                0.2 * fall,
            );
        }
    }
}

/// A core by its dimensions is what a rated core of the same heat is, at the flows of that heat.
#[test]
fn a_single_row_is_the_rated_core_of_the_same_heat() {
    let core = format!("{}, {NO_FALL}", built(TUBES, FINS));
    let flows = (90.0, 1.2);
    let first = solve(&case(&core, flows));
    let heat = at(&first, "cores/core:heat");
    let rated = format!(
        r#"rated: (heat: "{heat} W", coolant: "90 L/min", air: "{} kg/s", difference: "50 K", air_in: "30 °C"), {NO_FALL}"#,
        at(&first, "air_paths/front:mass_flow")
    );
    let second = solve(&case(&rated, flows));
    for address in ["cores/core:heat", "cores/core:ua"] {
        let want = at(&first, address);
        near(address, at(&second, address), want, 2e-3 * want);
    }
}

/// A core deeper and deeper comes to what a core of any size passes on with the air unmixed and the coolant mixed; with several
/// rows it may pass that, and never what any core can.
#[test]
fn an_endless_core_has_the_effectiveness_of_its_arrangement() {
    let flows = (30.0, 0.9);
    let deep = |rows: u32| {
        let tubes = TUBES
            .replace("depth: \"32 mm\"", &format!("depth: \"{} mm\", rows: {rows}", 400 / rows));
        let ready = read(&case(&format!("{}, {NO_FALL}", built(&tubes, FINS)), flows));
        let model = &ready.model;
        let results = point(model, &model.values).results;
        let coolant = model.circuits[0].coolant.liquid(&model.values).expect("glycol");
        let mean = 0.5 * (353.15 + at(&results, "c/line/core:out"));
        let capacities = [
            at(&results, "c/line:mass_flow") * coolant.heat_capacity(mean),
            at(&results, "air_paths/front:mass_flow") * 1006.0,
        ];
        (at(&results, "cores/core:heat"), capacities)
    };
    let (heat, [coolant, air]) = deep(1);
    let most = most_heat_w(coolant, air, 50.0);
    near("one row", heat, most, 0.01 * most);
    let (heat, [coolant, air]) = deep(4);
    let any = coolant.min(air) * 50.0;
    assert!(heat > 1.05 * most && heat < any, "four rows: {heat} W, one {most} W, any {any} W");
}

/// Fins of a metal that carries any heat are as warm as the tubes: then the air side is its film on all of its surface.
#[test]
fn fins_of_a_perfect_metal_are_all_surface() {
    let fins = format!("{FINS}, conductivity: \"1000 W/(m·K)\", thickness: \"0.5 mm\"")
        .replace("thickness: \"0.08 mm\", ", "");
    let fins = fins.replace("thickness: \"0.5 mm\"", "thickness: \"0.4 mm\"");
    let stand = Stand::new(&built(TUBES, &fins));
    let model = &stand.ready.model;
    let CoreRating::Built(core) = &model.cores[0].rating else { panic!("by its dimensions") };
    let sizes = core.sizes(&model.values);
    let air = Site::new(303.15, 0.0, 0.0).expect("a plain site").air();
    let properties = [air.viscosity(323.15), air.conductivity(323.15), air.heat_capacity(323.15)];
    let film = core.air_film(&model.values, stand.air(3.0) / sizes.free, properties);
    let got = stand.resistances(90.0, 3.0).air;
    let want = 1.0 / (film * sizes.surface);
    assert!(got > want, "a fin is never better than its metal: {got} K/W, {want} K/W");
    near("air side, K/W", got, want, 5e-3 * want);
}

/// What any builder knows: finer fins and deeper cores give more heat for more fall; steeper louvres and longer ones too;
/// turbulators and more passes help the coolant's film, and passes cost its pressure.
#[test]
fn more_surface_brings_more_heat_and_costs_more_fall() {
    let plain = Stand::new(&built(TUBES, FINS));
    let (ua, fall) = (plain.ua(90.0, 4.0), plain.fall(4.0));
    for (what, tubes, fins) in [
        ("finer fins", TUBES.to_owned(), FINS.replace("1.3 mm", "1.1 mm")),
        ("a deeper core", TUBES.replace("32 mm", "40 mm"), FINS.to_owned()),
        ("steeper louvres", TUBES.to_owned(), FINS.replace("27°", "30°")),
    ] {
        let other = Stand::new(&built(&tubes, &fins));
        assert!(other.ua(90.0, 4.0) > 1.005 * ua, "{what}: {} W/K, {ua}", other.ua(90.0, 4.0));
        assert!(other.fall(4.0) > 1.005 * fall, "{what}: {} Pa, {fall}", other.fall(4.0));
    }
    let bare = Stand::new(&built(TUBES, "pitch: \"1.3 mm\", thickness: \"0.08 mm\""));
    assert!(bare.ua(90.0, 4.0) < 0.85 * ua, "without louvres {} W/K, {ua}", bare.ua(90.0, 4.0));
    assert!(bare.fall(4.0) < 0.7 * fall, "without louvres {} Pa, {fall}", bare.fall(4.0));
    let film = plain.resistances(90.0, 4.0).film;
    let turbulators = Stand::new(&built(&format!("{TUBES}, turbulators: 2"), FINS));
    near("turbulators", turbulators.resistances(90.0, 4.0).film, film / 2.0, 1e-12);
    let twice = Stand::new(&built(&format!("{TUBES}, passes: 2"), FINS));
    assert!(twice.resistances(90.0, 4.0).film < 0.75 * film, "two passes have twice the velocity");
    let fall_of = |tubes: &str| {
        let results = solve(&case(&built(tubes, FINS), (90.0, 1.0)));
        at(&results, "c/line/core:fall")
    };
    let (once, passes) = (fall_of(TUBES), fall_of(&format!("{TUBES}, passes: 2")));
    assert!(passes > 3.0 * once, "two passes: {passes} Pa, one {once} Pa");
    let scaled = Stand::new(&format!("{}, conductance_scale: \"80 %\"", built(TUBES, FINS)));
    near("scaled", scaled.ua(90.0, 4.0), 0.8 * ua, 1e-9 * ua);
    let scaled = Stand::new(&format!("{}, air_falls_scale: \"120 %\"", built(TUBES, FINS)));
    near("scaled", scaled.fall(4.0), 1.2 * fall, 1e-9 * fall);
}

/// The coolant's fall by hand, laminar in two passes: f·Re of a rectangle of 1.2 × 31.4 mm (Shah & London 1978, from memory), the
/// ends of the tubes 1.5 velocity heads each pass, and those of the ports of 38 mm once.
#[test]
fn laminar_coolant_falls_as_by_hand() {
    let ready = read(&case(&built(&format!("{TUBES}, passes: 2, loss: 1.5"), FINS), (90.0, 1.0)));
    let values = ready.model.values.reader();
    let (density, viscosity, flow) = (1060.0, 4e-3, 0.5);
    let place = LawInputs { values, density, viscosity };
    let part = &ready.model.circuits[0].runs[0].parts[0].part;
    let (short, long, length) = (1.2e-3_f64, 31.4e-3_f64, 0.6);
    let a = short / long;
    let constant = 96.0
        * (1.0 - 1.3553 * a + 1.9467 * a.powi(2) - 1.7012 * a.powi(3) + 0.9564 * a.powi(4)
            - 0.2537 * a.powi(5));
    let (section, diameter) = (short * long, 2.0 * short * long / (short + long));
    let velocity = flow / 20.0 / section / density;
    let reynolds = density * velocity * diameter / viscosity;
    assert!(reynolds < 1000.0, "laminar: {reynolds}");
    let head = 0.5 * density * velocity * velocity;
    let pass = (constant / reynolds * length / diameter + 1.5) * head;
    let in_port = flow / density / (std::f64::consts::FRAC_PI_4 * 0.038 * 0.038);
    let want = 2.0 * pass + 1.5 * 0.5 * density * in_port * in_port;
    near("fall, Pa", part.fall_at(&place, flow), want, 2e-3 * want);
    near("backwards", part.fall_at(&place, -flow), -want, 2e-3 * want);
}

/// Thin air: at one mass flux the fall times the density stays (Kays & London), so half the density takes twice the fall.
#[test]
fn fall_times_density_follows_the_mass_flux() {
    let stand = Stand::new(&built(TUBES, FINS));
    let core = &stand.ready.model.cores[0];
    let temperatures = AirTemperatures { entering_k: 303.15, leaving_k: 303.15, film_k: 303.15 };
    let fall = |altitude: f64| {
        let air = Site::new(303.15, altitude, 0.0).expect("a plain site").air();
        let density: f64 = air.density(303.15);
        let values = &stand.ready.model.values;
        core.fall_of_air(values, 1.0, (&air, temperatures)) * density
    };
    near("Pa·kg/m³", fall(2200.0), fall(0.0), 1e-9 * fall(0.0));
}

/// Coolant, metal and face by hand: 40 tubes of 1.2 × 31.4 mm inside and as much again in the tanks; a strip of fins more than
/// tubes, aluminium of 2730 kg/m³ and 900 J/(kg·K).
#[test]
fn content_metal_and_face_follow_from_the_dimensions() {
    let ready = read(&case(&built(TUBES, FINS), (90.0, 1.0)));
    let number = |name: &str| {
        ready.model.values.get(ready.addresses[&format!("cores/core:{name}")].slots[0])
    };
    let tubes = 40.0 * 0.6 * 1.2e-3 * 31.4e-3;
    near("volume, m³", number("volume"), 2.0 * tubes, 1e-12);
    near("face, m²", number("face"), 0.24, 1e-12);
    let height = (0.4 - 40.0 * 1.8e-3) / 41.0;
    let walls = 40.0 * 0.6 * (1.8e-3 * 32e-3 - 1.2e-3 * 31.4e-3);
    let fins = 41.0 * (0.6 / 1.3e-3) * height * 32e-3 * 0.08e-3;
    let metal = 2730.0 * 900.0 * (walls + fins);
    near("metal, J/K", number("metal"), metal, 1e-9 * metal);
    // Told by pitch or by the height of the fins it is the same core.
    for (tubes, fins) in [
        (TUBES.replace("count: 40", "pitch: \"9.8 mm\""), FINS.to_owned()),
        (TUBES.replace("count: 40, ", ""), format!("{FINS}, height: \"8 mm\"")),
        (TUBES.to_owned(), FINS.replace("pitch: \"1.3 mm\", t", "count: 19.538461538, t")),
    ] {
        let other = read(&case(&built(&tubes, &fins), (90.0, 1.0)));
        let slot = other.addresses["cores/core:metal"].slots[0];
        near("the same metal", other.model.values.get(slot), metal, 1e-6 * metal);
    }
}

/// What the laws may be off by moves the heat of a core, more in slow air; each side counts with its resistance.
#[test]
fn a_core_by_its_dimensions_is_as_uncertain_as_its_laws() {
    let core = format!("{}, {NO_FALL}", built(TUBES, FINS));
    let share = |air_kg_s: f64| {
        let ready = read(&case(&core, (90.0, air_kg_s)));
        let base = point(&ready.model, &ready.model.values);
        let found = uncertainty(&ready.model, &ready.model.values, &base).expect("an uncertainty");
        let terms = found.terms.iter().filter(|term| term.from == Id::Core(0));
        assert!(terms.clone().any(|term| term.law == Law::CoreDimensions), "its own law");
        let ua = at(&base.results, "cores/core:ua");
        found.get("cores/core:ua").expect("a ±") / ua
    };
    let (fast, slow) = (share(1.2), share(0.12));
    assert!(fast > 0.08 && fast < 0.16, "{fast}");
    assert!(slow > 1.5 * fast && slow < 0.31, "{slow}, fast {fast}");
}

/// Slow air and coolant are said.
#[test]
fn slow_air_and_laminar_coolant_are_said() {
    let core = format!("{}, {NO_FALL}", built(TUBES, FINS));
    let said = |flows: (f64, f64)| {
        let model = read(&case(&core, flows)).model;
        said(&model, &point(&model, &model.values)).join("\n")
    };
    let slow = said((20.0, 0.05));
    assert!(slow.contains("Reynolds number of the air on the louvre pitch"), "{slow}");
    assert!(slow.contains("laminar") && slow.contains("c/line/core"), "{slow}");
    let fast = said((250.0, 1.2));
    assert!(!fast.contains("louvre pitch") && !fast.contains("laminar"), "{fast}");
}

fn fault(core: &str) -> String {
    let mut sources = Sources::new();
    let mut problems = Problems::new();
    let file = sources.add("case.ron", case(core, (90.0, 1.0)));
    let mut fetch = |name: &str| Err(format!("nothing is included, and not {name}"));
    let reading = Reading::new(&mut sources, file, &mut fetch, &mut problems);
    let _ = reading.and_then(|reading| reading.build(&mut problems));
    assert!(problems.has_errors(), "a core that cannot be: {core}");
    problems.render(&sources, false)
}

#[test]
fn cores_that_cannot_be_built_are_refused() {
    for (tubes, fins, why) in [
        (TUBES.replace("count: 40", "count: 230"), FINS.to_owned(), "leave no room for fins"),
        (
            TUBES.replace("wall: \"0.3 mm\"", "wall: \"0.9 mm\""),
            FINS.to_owned(),
            "no way for the coolant",
        ),
        (
            TUBES.replace("depth: \"32 mm\"", "depth: \"3 mm\"").replace("1.8 mm", "4 mm"),
            FINS.to_owned(),
            "thicker than deep",
        ),
        (format!("{TUBES}, passes: 3"), FINS.to_owned(), "no equal number of tubes"),
        (format!("{TUBES}, rows: 5"), FINS.to_owned(), "must lie between 1 and 4"),
        (TUBES.to_owned(), FINS.replace("6.8 mm", "8.8 mm"), "louvres are longer"),
        (TUBES.to_owned(), FINS.replace("0.08 mm", "0.7 mm"), "less than half of the way"),
        (TUBES.to_owned(), FINS.replace("0.08 mm", "0.02 mm"), "thinner than a fiftieth"),
        (TUBES.to_owned(), FINS.replace("\"1.1 mm\"", "\"17 mm\""), "half the depth"),
        (TUBES.to_owned(), format!("{FINS}, depth: \"120 mm\""), "not about as deep"),
        (TUBES.replace("count: 40, ", ""), FINS.to_owned(), "is not told"),
        (TUBES.to_owned(), format!("{FINS}, height: \"8 mm\""), "told twice"),
        (
            TUBES.to_owned(),
            FINS.replace("pitch: \"1.3 mm\", t", "t"),
            "by their `pitch`, or by their `count`",
        ),
        (TUBES.to_owned(), format!("{FINS}, over: \"1 in\""), "no `count` is told"),
    ] {
        let text = fault(&built(&tubes, &fins));
        assert!(text.contains(why), "{why}: {text}");
    }
    let rated =
        r#"rated: (heat: "20 kW", coolant: "60 L/min", air: "1.5 kg/s", difference: "50 K")"#;
    for (core, why) in [
        (format!("tubes: CoreTubes({TUBES})"), "has tubes and no fins"),
        (format!("fins: Fins({FINS})"), "has fins and no tubes"),
        (format!("{}, {rated}", built(TUBES, FINS)), "one of them, not several"),
        (format!("{}, coolant_share: \"20 %\"", built(TUBES, FINS)), "known by its rating"),
        (
            format!(
                "{}, fall: (fall: \"10 kPa\", at: \"60 L/min\")",
                built(&format!("{TUBES}, loss: 1.5"), FINS)
            ),
            "told twice",
        ),
    ] {
        let text = fault(&core);
        assert!(text.contains(why), "{why}: {text}");
    }
}
