//! The laws of cores, fans and the way of the air.

use super::Explained;
use crate::air::{AirPath, CoreRating, CoreSide};
use crate::fluids::water;
use crate::ids::Id;
use crate::laws::GRAVITY;
use crate::laws::card::Applied;
use crate::laws::cards::core as cards;
use crate::laws::cards::fluids;
use crate::laws::curve::pump_rise;
use crate::parts::{CORE_CELLS, CoolantAt};
use crate::simulate::Simulator;

/// All of them, and those of the air of the site.
pub(super) fn explain(simulator: &Simulator<'_>, found: &mut Vec<Explained>) {
    found.extend(site(simulator).map(|law| Explained { id: Id::Site, law }));
    for (a, path) in simulator.setup.model.air_paths.iter().enumerate() {
        let law = ducts(simulator, a, path);
        found.push(Explained { id: Id::AirPath(a), law });
        for (place, &core) in path.cores.iter().enumerate() {
            let laws = core_laws(simulator, a, place, core);
            found.extend(laws.into_iter().map(|law| Explained { id: Id::Core(core), law }));
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

fn ducts(simulator: &Simulator<'_>, a: usize, path: &AirPath) -> Applied {
    let setup = &simulator.setup;
    let get = |slot| setup.values.get(slot);
    let given = [
        ("Δ", get(path.fall)),
        ("w", simulator.settled.air[a].flow),
        ("w₀", get(path.fall_flow)),
        ("k", get(path.ram_share)),
        ("ρ", setup.prepared.air.density(setup.prepared.air_k)),
        ("v", get(setup.model.drive.road_speed)),
    ];
    Applied::other(&cards::DUCTS, &given)
}

/// The laws of a core at its place in a path, front to back.
fn core_laws(simulator: &Simulator<'_>, a: usize, place: usize, core: usize) -> Vec<Applied> {
    let setup = &simulator.setup;
    let get = |slot| setup.values.get(slot);
    let spec = &setup.model.cores[core];
    let side = &setup.prepared.cores[core];
    let air = &simulator.settled.air[a];
    let index = setup.layout.core_parts[core];
    let (c, r, _) = setup.layout.parts[index].at;
    let temperature_k = simulator.settled.parts[index].temperature_k;
    let local = CoolantAt::of(&setup.prepared.coolants[c], temperature_k);
    let flow = simulator.settled.flows[c][r];
    let coolant = [local.viscosity, local.conductivity, local.heat_capacity];
    let whole = side.resistances(&setup.values, spec, (flow, coolant), air.flow);
    let open = 1.0 - get(spec.blocked);
    let heat_capacity: f64 = setup.prepared.air.heat_capacity(setup.prepared.air_k);
    let (before, behind) = (air.temperatures[place], air.temperatures[place + 1]);
    let mean = 0.5 * (before + behind);
    let mut laws = vec![
        film(side, flow, &local, open),
        Applied::other(
            &cards::EXCHANGE,
            &[
                ("R_a", whole.air),
                ("R_f", whole.film),
                ("R_w", whole.wall),
                ("w", air.flow.abs()),
                ("c_a", heat_capacity),
                ("n", CORE_CELLS as f64),
            ],
        ),
        Applied::other(
            &cards::AIR_FALL_OF_CORE,
            &[
                ("Δ", get(spec.air_fall)),
                ("ρ₀", get(spec.air_fall_density)),
                ("ρ", setup.prepared.air.density(mean)),
                ("w", air.flow),
                ("w₀", get(spec.air_fall_flow)),
                ("n", get(spec.air_fall_exponent)),
                ("y", open),
            ],
        ),
    ];
    if let CoreRating::Point(point) = &spec.rating {
        let given = [
            ("q", get(point.heat)),
            ("T", get(point.inlet_difference)),
            ("m", get(point.coolant_flow)),
            ("w", get(point.air_flow)),
            ("c", get(point.coolant_heat_capacity)),
            ("c_a", crate::air::RATING_AIR_HEAT_CAPACITY),
        ];
        laws.push(Applied::other(&cards::RATING, &given));
        let given = [
            ("R₀", side.air),
            ("w", air.flow),
            ("w₀", side.air_flow),
            ("n", get(spec.air_exponent)),
            ("y", open),
        ];
        laws.push(Applied::other(&cards::AIR_SIDE, &given));
    }
    laws
}

fn film(side: &CoreSide, flow: f64, local: &CoolantAt, open: f64) -> Applied {
    let [viscosity_0, conductivity_0, heat_capacity_0] = side.coolant;
    let given = [
        ("R₀", side.film),
        ("m", flow),
        ("m₀", side.coolant_flow),
        ("s", crate::air::FILM_AT_REST),
        ("λ", local.conductivity),
        ("λ₀", conductivity_0),
        ("c", local.heat_capacity),
        ("c₀", heat_capacity_0),
        ("μ", local.viscosity),
        ("μ₀", viscosity_0),
        ("y", open),
    ];
    Applied::other(&cards::FILM, &given)
}

/// The laws of a fan: its fall or rise, and its power.
fn fan_laws(simulator: &Simulator<'_>, a: usize, path: &AirPath, k: usize) -> [Applied; 2] {
    let values = &simulator.setup.values;
    let get = |slot| values.get(slot);
    let fan = &path.fans[k];
    let density = simulator.settled.air[a].fan_density;
    let flow = simulator.settled.air_runs[a][k + 1];
    let speed = get(fan.speed);
    let densities = [("ρ", density), ("ρ₁", get(fan.curve_density))];
    let own = if speed > 0.0 {
        let rise = pump_rise(&fan.curve, 1.0, flow / density / speed);
        let given = [densities[0], densities[1], ("s", speed), ("H₁", rise)];
        Applied::other(&cards::FAN, &given)
    } else {
        let fall = [("Δ", get(fan.stopped_fall)), ("Q", get(fan.stopped_flow))];
        let given = [densities[0], densities[1], fall[0], fall[1], ("w", flow)];
        Applied::other(&cards::STOPPED_FAN, &given)
    };
    let power = [densities[0], densities[1], ("s", speed.max(0.0)), ("P₁", get(fan.power))];
    [own, Applied::other(&cards::FAN_POWER, &power)]
}
