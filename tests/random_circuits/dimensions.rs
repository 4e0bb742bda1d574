//! Random cores that are known by their dimensions.

use super::draw::text;
use crate::common::Random;

/// A core of the same name that is known by its dimensions, with every field that one may have now and then. What is measured
/// of its falls may stay.
pub(crate) fn by_dimensions(random: &mut Random, core: &str) -> String {
    let (name, _) = core.split_once(": ").expect("a core has a name");
    let tubes = tubes(random);
    let mut fields = vec![format!("tubes: CoreTubes({})", tubes.fields.join(", "))];
    fields.push(format!("fins: Fins({})", fins(random, &tubes).join(", ")));
    if tubes.rated {
        fields.push("fall: (fall: \"20 kPa\", at: \"60 L/min\")".to_owned());
    }
    if random.chance(0.15) {
        fields.push("air_fall: (fall: \"150 Pa\", at: \"1.6 kg/s\")".to_owned());
    } else if random.chance(0.18) {
        let points = "(\"2 m/s\", \"40 Pa\"), (\"5 m/s\", \"180 Pa\")";
        fields.push(format!("air_falls: (by_velocity: [{points}])"));
    } else if random.chance(0.3) {
        fields.push(format!("air_falls_scale: {}", text(random.between(70.0, 140.0), "%")));
    }
    for (field, low, high, unit) in [
        ("conductance_scale", 70.0, 130.0, "%"),
        ("metal", 2.0, 9.0, "kJ/K"),
        ("face", 0.1, 0.4, "m2"),
        ("blocked", 0.0, 60.0, "%"),
    ] {
        if random.chance(0.2) {
            fields.push(format!("{field}: {}", text(random.between(low, high), unit)));
        }
    }
    if !tubes.tanks && random.chance(0.3) {
        fields.push("volume: \"3 L\"".to_owned());
    }
    format!("{name}: Core({})", fields.join(", "))
}

/// Drawn tubes, and what the fins between them have to know.
struct Tubes {
    fields: Vec<String>,
    /// Whether the height of the fins tells how many there are.
    by_height: bool,
    /// Depth of all rows, mm.
    depth_mm: f64,
    /// Least height of the fins, mm.
    height_mm: f64,
    /// Whether the fall of the coolant is told as measured.
    rated: bool,
    /// Whether the coolant in its tanks is told.
    tanks: bool,
}

fn tubes(random: &mut Random) -> Tubes {
    let across = random.between(200.0, 500.0);
    let thickness = random.between(1.6, 2.4);
    let rows = 1 + random.below(4);
    let depth = random.between(12.0, 40.0);
    let height = random.between(5.0, 10.0);
    let passes = 1 + random.below(3);
    let mut fields = vec![
        format!("length: {}", text(random.between(200.0, 800.0), "mm")),
        format!("across: {}", text(across, "mm")),
        format!("depth: {}", text(depth, "mm")),
    ];
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // some tens
    let count = (across / (height + thickness)) as usize / passes * passes;
    // Passes share the tubes equally, so they must be counted.
    let by = if passes > 1 { 0 } else { random.below(3) };
    match by {
        0 => fields.push(format!("count: {count}")),
        1 => fields.push(format!("pitch: {}", text(height + thickness, "mm"))),
        _ => {}
    }
    let rated = random.chance(0.2);
    let tanks = random.chance(0.3);
    let mut some = |chance: f64, field: String| {
        if random.chance(chance) {
            fields.push(field);
        }
    };
    some(0.6, format!("thickness: {}", text(thickness, "mm")));
    some(0.5, "wall: \"0.35 mm\"".to_owned());
    some(0.3, "of: Brass".to_owned());
    some(0.3, "conductivity: \"170 W/(m·K)\"".to_owned());
    some(0.3, "turbulators: 1.5".to_owned());
    if rows > 1 {
        fields.push(format!("rows: {rows}"));
    }
    if passes > 1 {
        fields.push(format!("passes: {passes}"));
    }
    if !rated {
        fields.push("roughness: \"2 µm\", loss: 1.8".to_owned());
    }
    if tanks {
        fields.push("tanks: \"0.8 L\"".to_owned());
    }
    let depth_mm = rows as f64 * depth;
    Tubes { fields, by_height: by == 2, depth_mm, height_mm: height, rated, tanks }
}

fn fins(random: &mut Random, tubes: &Tubes) -> Vec<String> {
    let pitch = random.between(1.1, 2.5);
    let mut fields = if random.chance(0.6) {
        vec![format!("pitch: {}", text(pitch, "mm"))]
    } else if random.chance(0.5) {
        vec![format!("count: {}", 25.4 / pitch)]
    } else {
        vec![format!("count: {}, over: \"10 cm\"", 100.0 / pitch)]
    };
    if tubes.by_height {
        fields.push(format!("height: {}", text(tubes.height_mm, "mm")));
    }
    let mut some = |chance: f64, field: String| {
        if random.chance(chance) {
            fields.push(field);
        }
    };
    some(0.4, format!("depth: {}", text(1.1 * tubes.depth_mm, "mm")));
    some(0.5, "thickness: \"0.09 mm\"".to_owned());
    some(0.3, "of: Copper".to_owned());
    some(0.3, "conductivity: \"200 W/(m·K)\"".to_owned());
    if random.chance(0.6) {
        fields.push(format!("louvre_pitch: {}", text(random.between(0.9, 1.5), "mm")));
        if random.chance(0.5) {
            fields.push(format!("louvre_angle: {}", text(random.between(20.0, 32.0), "°")));
        }
        if random.chance(0.3) {
            fields.push(format!("louvre_length: {}", text(0.7 * tubes.height_mm, "mm")));
        }
    }
    fields
}
