//! The stated uncertainties against the spread of published values, and at their ends.

use std::f64::consts::PI;
use std::path::Path;

use coolwright_models::laws::fittings::{
    Bend, bend_fall, bore_change_fall, cone_fall, signed_head,
};
use coolwright_models::laws::friction::darcy_factor;
use coolwright_models::laws::tee::{TeeSet, tee_excess, tee_spread_pa};
use coolwright_models::laws::uncertainty::{
    bend_uncertainty, bore_change_uncertainty, cone_uncertainty, developing_uncertainty,
    friction_share, pump_label_uncertainty, rated_uncertainty,
};

use super::support::colebrook_factor;

/// A published coefficient: what it is of, and K.
struct Published {
    kind: String,
    numbers: [f64; 3],
    method: String,
    k: f64,
}

/// Handbook values as carried by the library `fluids` 1.3.1.
fn published() -> Vec<Published> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../tests/reference/laws_spread.csv");
    let text = std::fs::read_to_string(path).expect("the reference file is in the tree");
    let row = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |at: usize| cells[at].parse().unwrap_or(f64::NAN);
        Published {
            kind: cells[0].to_owned(),
            numbers: [number(1), number(2), number(3)],
            method: cells[4].to_owned(),
            k: number(5),
        }
    };
    text.lines().filter(|line| !line.starts_with('#')).skip(1).map(row).collect()
}

const DENSITY: f64 = 1000.0;
const BORE: f64 = 0.025;

/// Our fall and its uncertainty in velocity heads of the (smaller) bore, for a published value.
fn ours(row: &Published) -> [f64; 2] {
    let [a, b, c] = row.numbers;
    let viscosity = 1e-3;
    match row.kind.as_str() {
        "bend" => {
            let flow = c * PI * BORE * viscosity / 4.0;
            let law = Bend {
                bore_m: BORE,
                radius_over_bore: b,
                angle_rad: a.to_radians(),
                roughness_m: 5e-6,
            };
            let head = signed_head(flow, DENSITY, BORE);
            let straight = darcy_factor(c, 5e-6 / BORE) * a.to_radians() * b;
            let fall = bend_fall(flow, DENSITY, viscosity, &law);
            [fall / head + straight, bend_uncertainty(flow, DENSITY, viscosity, &law) / head]
        }
        "contraction" | "expansion" => {
            let small = BORE * a.sqrt();
            let (from, to) = if row.kind == "expansion" { (small, BORE) } else { (BORE, small) };
            let head = signed_head(1.0, DENSITY, small);
            let fall = bore_change_fall(1.0, DENSITY, from, to);
            [fall / head, bore_change_uncertainty(1.0, DENSITY, from, to) / head]
        }
        _ => {
            let small = BORE * b.sqrt();
            let (from, to) = if row.kind == "widening" { (small, BORE) } else { (BORE, small) };
            let head = signed_head(1.0, DENSITY, small);
            let angle = a.to_radians();
            let fall = cone_fall(1.0, DENSITY, from, to, angle);
            [fall / head, cone_uncertainty(1.0, DENSITY, (from, to), angle) / head]
        }
    }
}

#[test]
fn nine_in_ten_published_coefficients_lie_within_what_is_stated() {
    for kind in ["bend", "contraction", "expansion", "widening", "narrowing"] {
        let rows: Vec<Published> = published().into_iter().filter(|r| r.kind == kind).collect();
        assert!(rows.len() >= 8, "{kind}");
        let mut outside = Vec::new();
        for row in &rows {
            let [k, by] = ours(row);
            if (row.k - k).abs() > by {
                outside.push(format!("{} {:?}: {} for {k} ± {by}", row.method, row.numbers, row.k));
            }
        }
        assert!(10 * outside.len() <= rows.len(), "{kind}: {outside:#?}");
    }
}

#[test]
fn friction_holds_churchill_against_colebrook_and_both_regimes() {
    for reynolds in [4000.0, 6000.0, 1e4, 1e5, 1e6] {
        for rough in [0.0, 1e-4, 1e-3, 1e-2] {
            let ratio = darcy_factor(reynolds, rough) / colebrook_factor(reynolds, rough);
            let share = friction_share(reynolds, rough);
            assert!((ratio - 1.0).abs() <= share, "{reynolds} {rough}: {ratio} ± {share}");
            // Moody's chart as a whole: 15 % (White).
            assert!(reynolds < 5e3 || share <= 0.15, "{reynolds} {rough}: {share}");
        }
    }
    // Exact where laminar; either regime at Re 3000: f from 64/3000 to Blasius.
    assert_eq!(friction_share(1500.0, 1e-3), 0.0);
    let (f, by) = (darcy_factor(3000.0, 0.0), friction_share(3000.0, 0.0));
    let half = 0.5 * (0.3164 / 3000.0_f64.powf(0.25) - 64.0 / 3000.0);
    assert!((f * by - half).abs() < 1e-12, "{f} {by}");
    // 1.25 heads where there is length enough to develop, none in turbulent flow.
    assert_eq!(developing_uncertainty(1000.0, 56.0), 1.25);
    assert_eq!(developing_uncertainty(1000.0, 28.0), 0.625);
    assert_eq!(developing_uncertainty(3000.0, 1000.0), 0.0);
}

#[test]
fn a_tee_is_as_uncertain_as_its_sets_differ() {
    // All of 1 kg/s turns into an equal branch: Unified 1.23, Gardel 1.30, TP 410 1.30 differ by less
    // than the least, 0.4 velocity heads.
    let area = PI / 4.0 * BORE * BORE;
    let head = 1.0 / (2.0 * DENSITY * area * area);
    let doubt = tee_spread_pa([1.0, -1e-9, 1e-9 - 1.0], [area; 3], PI / 2.0, DENSITY);
    assert_eq!(doubt[0], 0.0);
    assert!((doubt[2] + 0.4 * head).abs() < 1e-6 * head, "{doubt:?}");
    // A narrow branch at half the flow: the sets lie far apart, and each within what is stated of
    // the middle.
    let (areas, flows) = ([area, area, 0.25 * area], [1.0, -0.5, -0.5]);
    let doubt = tee_spread_pa(flows, areas, PI / 2.0, DENSITY);
    let of = |set| tee_excess(set, flows, areas, PI / 2.0, DENSITY)[2];
    let [tp410, gardel] = [of(TeeSet::Tp410), of(TeeSet::Gardel)];
    assert!((doubt[2].abs() - 0.5 * (tp410 - gardel).abs()).abs() < 1e-9 * head, "{doubt:?}");
    assert!(doubt[2] < -head, "{doubt:?}");
    // Reversed, the losses of the legs that then supply are larger in the other direction.
    let back = tee_spread_pa(flows.map(|f| -f), areas, PI / 2.0, DENSITY);
    assert!(back[1] > 0.0 && back[2] > 0.0 && back[0] == 0.0, "{back:?}");
}

#[test]
fn opposed_joining_and_dividing_are_as_uncertain_as_handbooks_differ() {
    // Idelchik, diagram 7-29, 90° tee of equal bores: joining 1 + 1 + 3(q² - q), or 0.55 of it with the
    // factor A of joining flows; dividing 1 + k q², k 0.3 to 1.5.
    let area = PI / 4.0 * BORE * BORE;
    let head = 1.0 / (2.0 * DENSITY * area * area);
    let check = |flows: [f64; 3], areas: [f64; 3], printed: [f64; 2]| {
        let excess = tee_excess(TeeSet::Unified, flows, areas, PI / 2.0, DENSITY);
        let k = (excess[0] - excess[2]).abs() / head;
        let by = tee_spread_pa(flows, areas, PI / 2.0, DENSITY)[0].abs() / head;
        let most = printed[0].max(printed[1]).max(k);
        let least = printed[0].min(printed[1]).min(k);
        let want = (0.5 * (most - least)).max(0.4);
        assert!((by - want).abs() < 1e-9, "{flows:?}: {printed:?} for {k} ± {by}, not {want}");
        by
    };
    for q in [0.3_f64, 0.5, 0.7] {
        let bare = 2.0 + 3.0 * (q * q - q);
        let factor = (0.9 * (1.0 - q)).max(0.55);
        let joining = [q, 1.0 - q, -1.0];
        check(joining, [area; 3], [bare, factor * bare]);
        check(joining.map(|m| -m), [area; 3], [1.0 + 0.3 * q * q, 1.0 + 1.5 * q * q]);
    }
    // Legs of a quarter of the side's area, threaded: 1 + 1.5 (0.5·4)² against 1 + 0.3 (0.5·4)².
    let narrow = [0.25 * area, 0.25 * area, area];
    assert!(check([-0.5, -0.5, 1.0], narrow, [2.2, 7.0]) > 2.0);
    // The side leg as the run's: no difference is known of a leaning tee, so the least holds.
    let leaning = tee_spread_pa([0.5, 0.5, -1.0], [area; 3], PI / 4.0, DENSITY)[0] / head;
    assert!((leaning - 0.4).abs() < 1e-9, "{leaning}");
}

#[test]
fn ratings_and_labels_at_their_ends() {
    assert_eq!(rated_uncertainty(1e4, 1.0), 0.0);
    assert!((rated_uncertainty(4e4, -2.0) - 0.125 * 2.0_f64.ln() * 4e4).abs() < 1e-9);
    // 10 % of the shut-off pressure at no flow; of the free flow at its end, where H = H0(1 - x²).
    assert!((pump_label_uncertainty(1e5, 0.0) - 1e4).abs() < 1e-9);
    assert!((pump_label_uncertainty(1e5, 1.0) - 2e4).abs() < 1e-9);
}
