//! The laws of cores, fans and the way of the air.

use super::Explained;
use super::built::BuiltCore;
use crate::air::{
    AirFall, AirPath, AtFan, CoreRating, CoreSide, Element, Inside, LEAST_CAPACITY, Met, Outside,
    Resistances,
};
use crate::fluids::water;
use crate::ids::Id;
use crate::laws::GRAVITY;
use crate::laws::card::Applied;
use crate::laws::cards::core as cards;
use crate::laws::cards::{fins, fluids};
use crate::laws::exchanger::Arrangement;
use crate::laws::quadrants::machine_rise;
use crate::parts::CORE_CELLS;
use crate::simulate::{Simulator, inside_met};

/// All of them, and those of the air of the site.
pub(super) fn explain(simulator: &Simulator<'_>, found: &mut Vec<Explained>) {
    found.extend(site(simulator).map(|law| Explained { id: Id::Site, law }));
    for (a, path) in simulator.setup.model.air_paths.iter().enumerate() {
        found.extend(ducts(simulator, a, path));
        for met in simulator.settled.gases[a].cores() {
            let laws = core_laws(simulator, met);
            found.extend(laws.into_iter().map(|law| Explained { id: Id::Core(met.core), law }));
        }
        for k in 0..path.fans.len() {
            let laws = fan_laws(simulator, a, path, k);
            found.extend(laws.map(|law| Explained { id: Id::Fan(a, k), law }));
        }
    }
}

/// The air of the site: pressure, vapour, density.
fn site(simulator: &Simulator<'_>) -> [Applied; 3] {
    let setup = &simulator.setup;
    let get = |slot| setup.values.get(slot);
    let (air, air_k) = (&setup.prepared.air, setup.prepared.air_k);
    let pressure = ("p", air.pressure_pa);
    let saturated = water::saturation_pressure_pa(air_k);
    let humidity = get(setup.model.site.humidity);
    [
        Applied::other(
            &fluids::ATMOSPHERE,
            &[("z", get(setup.model.site.altitude)), ("g", GRAVITY)],
        ),
        Applied::other(&fluids::HUMIDITY, &[pressure, ("φ", humidity), ("p_s", saturated)]),
        Applied::other(&fluids::AIR, &[pressure, ("T", air_k), ("ω", air.humidity_ratio)]),
    ]
}

/// The losses of every lane, the first with what the road speed gives.
fn ducts(simulator: &Simulator<'_>, a: usize, path: &AirPath) -> Vec<Explained> {
    let setup = &simulator.setup;
    let get = |slot| setup.values.get(slot);
    let density = setup.prepared.air.density(setup.prepared.air_k);
    let gas = &simulator.settled.gases[a];
    let mut laws = Vec::new();
    for (lane, &flow) in path.lanes.iter().zip(gas.flows()) {
        let mut losses = Vec::new();
        let mut ram = None;
        for element in &lane.elements {
            match *element {
                Element::Loss(loss) => {
                    let AirFall { fall, flow, density, exponent } = path.losses[loss];
                    let rated = [fall, flow, density, exponent].map(get);
                    let way = path.ways.iter().position(|way| way.loss == Some(loss));
                    let id = way.map_or(Id::AirPath(a), |way| Id::Lane(a, way));
                    losses.push((id, rated, gas.losses()[loss].density));
                }
                Element::Ram { share, speed } => ram = Some([get(share), get(speed)]),
                Element::Core(_) | Element::Fan(_) => {}
            }
        }
        if losses.is_empty() && ram.is_some() {
            losses.push((Id::AirPath(a), [0.0, 1.0, density, 2.0], density));
        }
        for (id, [fall, at, rated_density, exponent], behind) in losses {
            let way = path
                .ways
                .iter()
                .find(|way| matches!(id, Id::Lane(_, w) if path.ways[w].name == way.name));
            if let Some([area, coefficient]) = way.and_then(|way| way.gap) {
                let given = [("ζ", get(coefficient)), ("A", get(area)), ("ρ", behind), ("w", flow)];
                laws.push(Explained { id, law: Applied::other(&cards::GAP, &given) });
                continue;
            }
            let [share, speed] = ram.take().unwrap_or([0.0; 2]);
            let given = [
                ("Δ", fall),
                ("w", flow),
                ("w₀", at),
                ("ρ₀", rated_density),
                ("ρ", behind),
                ("n", exponent),
                ("k", share),
                ("ρ_s", density),
                ("v", speed),
            ];
            laws.push(Explained { id, law: Applied::other(&cards::DUCTS, &given) });
        }
    }
    laws
}

/// The laws of a core as the air met it.
fn core_laws(simulator: &Simulator<'_>, met: &Met) -> Vec<Applied> {
    let core = met.core;
    let setup = &simulator.setup;
    let get = |slot| setup.values.get(slot);
    let spec = &setup.model.cores[core];
    let side = &setup.prepared.cores[core];
    let inside = inside_met(simulator, met);
    let outside = Outside { flow: met.flow, air: &setup.prepared.air, film_k: met.film_k() };
    let whole = side.resistances(&setup.values, spec, &inside, &outside);
    let flow = inside.flow / spec.tubes(&setup.values);
    let open = spec.open(&setup.values);
    let heat_capacity: f64 = setup.prepared.air.heat_capacity(setup.prepared.air_k);
    let mean = 0.5 * (met.entering_k + met.leaving_k);
    let streams = [
        met.flow.abs(),
        heat_capacity,
        (inside.flow.abs() * inside.coolant[2]).max(LEAST_CAPACITY),
    ];
    let mut laws = vec![exchange(&whole, streams, spec.arrangement(&setup.values))];
    if let CoreRating::Built(built) = &spec.rating {
        let (values, sizes) = (&setup.values, built.sizes(&setup.values));
        let at = BuiltCore { values, built, met, inside, outside, sizes, open };
        laws.extend(at.heat());
        match spec.fall_of_fins {
            Some(scale) => laws.extend(at.fall(get(scale))),
            None => laws.push(fall_of_air(simulator, met, (mean, open))),
        }
        return laws;
    }
    laws.push(fall_of_air(simulator, met, (mean, open)));
    if let CoreRating::Table(table) = &spec.rating {
        let through = met.flow.abs() / open;
        let ua = table.at(&setup.values, flow.abs(), through);
        let alone = match table.air_flow[..] {
            [only] => (through / only).powf(-get(spec.air_exponent)),
            _ => 1.0,
        };
        let given = [
            ("U", ua),
            ("R_t", 1.0 / ua - side.wall - whole.air * open / alone),
            ("R_w", side.wall),
            ("a", alone),
            ("y", open),
        ];
        laws.push(Applied::other(&cards::TABLE, &given));
    }
    if let CoreRating::Point(point) = &spec.rating {
        laws.push(film(side, &Inside { flow, ..inside }, open));
        let given = [
            ("q", get(point.heat)),
            ("ΔT", get(point.inlet_difference)),
            ("m", get(point.coolant_flow)),
            ("w", get(point.air_flow)),
            ("c", get(point.coolant_heat_capacity)),
            ("c_a", crate::air::RATING_AIR_HEAT_CAPACITY),
        ];
        laws.push(Applied::other(&cards::RATING, &given));
        let given = [
            ("R₀", side.air),
            ("w", met.flow),
            ("w₀", side.air_flow),
            ("n", get(spec.air_exponent)),
            ("y", open),
        ];
        laws.push(Applied::other(&cards::AIR_SIDE, &given));
    }
    laws
}

/// What one cell does, by how many rows there are: `air` and its heat capacity, kg/s and J/(kg·K), and the capacity flow of
/// the coolant, W/K.
fn exchange(
    whole: &Resistances<f64>,
    [air, heat_capacity, coolant]: [f64; 3],
    of: Arrangement,
) -> Applied {
    let mut given = vec![
        ("R_a", whole.air),
        ("R_f", whole.film),
        ("R_w", whole.wall),
        ("w", air),
        ("c_a", heat_capacity),
        ("n", CORE_CELLS as f64),
    ];
    let card = if of.rows <= 1.0 {
        &cards::EXCHANGE
    } else if of.rows <= 2.0 {
        &fins::TWO_ROWS
    } else if of.rows <= 3.0 {
        &fins::THREE_ROWS
    } else {
        &fins::FOUR_ROWS
    };
    if of.rows > 1.0 {
        given.extend([("C", coolant), ("p", of.passes)]);
    }
    Applied::other(card, &given)
}

/// The fall of the air through a core.
fn fall_of_air(simulator: &Simulator<'_>, met: &Met, (mean_k, open): (f64, f64)) -> Applied {
    let setup = &simulator.setup;
    let get = |slot| setup.values.get(slot);
    let spec = &setup.model.cores[met.core];
    let density: f64 = setup.prepared.air.density(mean_k);
    if let Some(table) = &spec.fall_table {
        let of_density = table.at(&setup.values, open, met.flow, 1.0);
        return Applied::other(&cards::FALL_TABLE, &[("F", of_density), ("ρ", density)]);
    }
    let given = [
        ("Δ", get(spec.air_fall.fall)),
        ("ρ₀", get(spec.air_fall.density)),
        ("ρ", density),
        ("w", met.flow),
        ("w₀", get(spec.air_fall.flow)),
        ("n", get(spec.air_fall.exponent)),
        ("y", open),
    ];
    Applied::other(&cards::AIR_FALL_OF_CORE, &given)
}

fn film(side: &CoreSide, inside: &Inside<f64>, open: f64) -> Applied {
    let [viscosity, conductivity, heat_capacity] = inside.coolant;
    let [viscosity_0, conductivity_0, heat_capacity_0] = side.coolant;
    let given = [
        ("R₀", side.film),
        ("m", inside.flow),
        ("m₀", side.coolant_flow),
        ("s", crate::air::FILM_AT_REST),
        ("λ", conductivity),
        ("λ₀", conductivity_0),
        ("c", heat_capacity),
        ("c₀", heat_capacity_0),
        ("μ", viscosity),
        ("μ₀", viscosity_0),
        ("y", open),
    ];
    Applied::other(&cards::FILM, &given)
}

/// The laws of a fan: its fall or rise, its power, and what it warms.
fn fan_laws(simulator: &Simulator<'_>, a: usize, path: &AirPath, k: usize) -> [Applied; 3] {
    let values = &simulator.setup.values;
    let get = |slot| values.get(slot);
    let fan = &path.fans[k];
    let AtFan { flow, density, .. } = simulator.settled.gases[a].fans()[k];
    let speed = fan.speed(&values.reader::<f64>());
    let densities = [("ρ", density), ("ρ₁", get(fan.curve_density))];
    let volume_flow = flow / density;
    let at_rest = fan.at_rest(&values.reader());
    let own = if speed > 0.0 {
        let [rise, rest] = machine_rise(&fan.curve, &at_rest, speed, volume_flow);
        let given = [
            densities[0],
            densities[1],
            ("s", speed),
            ("H₁", rise / (speed * speed)),
            ("R", rest),
            ("Δ", at_rest.fall),
            ("y", at_rest.share(&fan.curve, speed, volume_flow)),
        ];
        Applied::other(&cards::FAN, &given)
    } else {
        let times = if flow < 0.0 { at_rest.backwards } else { 1.0 };
        let fall = [("Δ", at_rest.fall), ("Q", at_rest.flow), ("f", times)];
        let given = [densities[0], densities[1], fall[0], fall[1], fall[2], ("w", flow)];
        Applied::other(&cards::STOPPED_FAN, &given)
    };
    let power = [densities[0], densities[1], ("s", speed.max(0.0)), ("P₁", get(fan.power))];
    let capacity = simulator.setup.prepared.air.heat_capacity(simulator.setup.prepared.air_k);
    let warms = [
        ("P", fan.power_w(values, density)),
        ("w", flow),
        ("c", capacity),
        ("w_s", fan.slow_kg_s(values)),
    ];
    let laws = [(&cards::FAN_POWER, &power[..]), (&cards::FAN_WARMS, &warms[..])];
    let [power, warms] = laws.map(|(card, given)| Applied::other(card, given));
    [own, power, warms]
}
