//! Points close to one that is known, against points that are searched from the start.

use coolwright_models::ids::Id;
use coolwright_models::instance::Instance;
use coolwright_models::point::operating_point;
use coolwright_models::results::Results;
use coolwright_models::results::quantities as q;
use coolwright_models::uncertainty::uncertainty;

use crate::common::{demo_cases, near, read};

/// Every assumption of every demo with a steady state at both ends of its range: metal, flow and rise found beside the point are those
/// of a search of their own, to a hundred-thousandth of what they moved by and what such a search leaves open:
/// 1e-9 of a temperature and as much, in K and in kelvins' worth of flow.
#[test]
fn points_found_beside_a_known_one_are_those_searched_from_the_start() {
    let (mut close, mut tried, mut moved) = (0, 0, 0);
    for (name, text) in demo_cases() {
        let ready = read(&text);
        let (model, values) = (&ready.model, &ready.model.values);
        let base = operating_point(model, values.clone(), None).expect("a point");
        if !base.held.is_empty() {
            continue;
        }
        let known = uncertainty(model, values, &base).expect("an uncertainty").tangent;
        let known = known.expect("a small model");
        let mut instance = Instance::new(model);
        let mut alone = Instance::new(model);
        for assumption in &ready.assumptions {
            for end in [assumption.range.0, assumption.range.1] {
                let mut changed = values.clone();
                let writes: Vec<_> = assumption.slots.iter().map(|&slot| (slot, end)).collect();
                model.write(&mut changed, &writes);
                tried += 1;
                let Some(beside) = instance.beside(&changed, &known) else { continue };
                close += 1;
                let alone = alone.point(&changed, None).expect("a point");
                assert!(alone.held.is_empty(), "{name} {}: held", assumption.what);
                for (body, spec) in model.bodies.iter().enumerate() {
                    for (quantity, left_open) in
                        [(&q::METAL, 1e-6), (&q::COOLANT_FLOW, 1e-11), (&q::COOLANT_RISE, 1e-6)]
                    {
                        let of = |results: &Results| results.of(Id::Body(body), quantity);
                        let [got, want, was] = [beside, &alone.results, &base.results]
                            .map(|results| of(results).expect("a result"));
                        let what = format!("{name}, {}, {}", assumption.what, spec.name);
                        near(&what, got, want, 1e-5 * (want - was).abs() + left_open);
                        moved += usize::from((want - was).abs() > 1e3 * left_open);
                    }
                }
            }
        }
    }
    assert!(moved > 100, "{moved} results moved");
    assert!(tried > 60 && close * 4 > tried * 3, "{close} of {tried} are close");
}
