//! Laws against their own cards: what the formulas on a card give with the numbers of a place is what the
//! part, tee, core or fan there does.

use std::collections::BTreeSet;

use coolwright_models::air::{AtFan, Built, CoreRating, Met};
use coolwright_models::charge::StageKind;
use coolwright_models::circuit::{End, Joint};
use coolwright_models::explain::{self, Explained};
use coolwright_models::ids::Id;
use coolwright_models::laws::card::{Applied, Outside};
use coolwright_models::laws::tee::tee_excess;
use coolwright_models::parts::{CORE_CELLS, CoolantAt, LawInputs, bore_area};
use coolwright_models::results::{Results, quantities as q};
use coolwright_models::simulate::Simulator;

/// Holds all laws of a settled state to their cards, and gives the cards that were met. `Err` says which
/// law differs.
pub(crate) fn hold(simulator: &Simulator<'_>) -> Result<BTreeSet<&'static str>, String> {
    let laws = explain::explain(simulator);
    for index in 0..simulator.setup.layout.parts.len() {
        part(simulator, index)?;
    }
    for (c, circuit) in simulator.setup.model.circuits.iter().enumerate() {
        for (j, junction) in circuit.junctions.iter().enumerate() {
            if let Joint::Tee { .. } = junction.joint {
                tee(simulator, c, j).map_err(|what| format!("{}: {what}", junction.name))?;
            }
        }
    }
    air(simulator, &laws)?;
    charge_air(simulator, &laws)?;
    walls(simulator, &laws)?;
    bay(simulator, &laws)?;
    site(simulator, &laws)?;
    supplies(simulator, &laws)?;
    Ok(laws.iter().map(|explained| explained.law.card.key).collect())
}

/// Whether the formulas of a card hold as they stand: another law has not taken over.
fn own(law: &Applied) -> bool {
    law.outside().all(|(range, _)| range.outside != Outside::OtherLaw)
}

fn near(what: &str, got: f64, want: f64, scale: f64) -> Result<(), String> {
    let off = (got - want).abs();
    // Written so that a number that is none fails.
    if off <= 1e-9 * scale { Ok(()) } else { Err(format!("{what}: card {got}, law {want}")) }
}

/// The laws of a part's fall add up to it, and that of its film gives its conductance.
fn part(simulator: &Simulator<'_>, index: usize) -> Result<(), String> {
    let setup = &simulator.setup;
    let (c, r, _) = setup.layout.parts[index].at;
    let flow = simulator.settled.flows[c][r];
    let state = simulator.settled.parts[index];
    let (density, viscosity) = (state.density, state.viscosity);
    let place = LawInputs { values: setup.values.reader().owning(state.own), density, viscosity };
    let part = setup.part(index);
    let laws = explain::part(simulator, index);
    // Far from any flow that is one, numbers run out of range.
    if flow.abs() < 1e-12 || !laws.iter().all(own) {
        return Ok(());
    }
    let (mut sum, mut size) = (0.0, 0.0);
    for law in laws.iter().filter(|law| law.times != 0.0) {
        let fall =
            law.times * law.result().ok_or_else(|| format!("{} has no result", law.card.key))?;
        sum += fall;
        size += fall.abs();
    }
    // Near the end of a curve a small head is a difference of large ones.
    let shut_off = if part.as_pump().is_some() { part.fall_at(&place, 0.0).abs() } else { 0.0 };
    near(part.word(), sum, part.fall_at(&place, flow), size + shut_off)?;
    for law in laws.iter().filter(|law| law.card.key.starts_with("film.")) {
        let local = CoolantAt::of(&setup.prepared.coolants[c], state.temperature_k);
        let want = part.conductance_w_k(&setup.values, &local, flow);
        near(law.card.key, law.result().unwrap_or(f64::NAN), want, want)?;
    }
    let Some(pump) = part.as_pump() else { return Ok(()) };
    let duty = pump.duty(&place, flow);
    for law in &laws {
        let got = |sign| law.number(sign).unwrap_or(f64::NAN);
        match law.card.key {
            "pump.power" => near("power", got("P"), duty.power_w, duty.power_w)?,
            "pump.electric" | "pump.engine" => near("speed", got("s"), duty.speed, 1.0)?,
            "pump.current_limit" => near("limit", got("P"), duty.power_w, 1e3 * duty.power_w)?,
            "pump.viscous" => {
                let Some(factors) = duty.viscous else { continue };
                near("flow factor", got("c_Q"), factors.flow, 1.0)?;
                near("efficiency factor", got("c_η"), factors.efficiency, 1.0)?;
                near("parameter", got("B"), factors.parameter, factors.parameter)?;
            }
            _ => {}
        }
    }
    Ok(())
}

/// The coefficients on a tee's card, on the head of the leg that carries all of the flow, are its excesses.
fn tee(simulator: &Simulator<'_>, c: usize, j: usize) -> Result<(), String> {
    let setup = &simulator.setup;
    let Joint::Tee { legs, angle, set } = &setup.model.circuits[c].junctions[j].joint else {
        return Ok(());
    };
    let Some(law) = explain::joint(simulator, c, j).filter(own) else { return Ok(()) };
    let flows = legs.map(|leg| {
        let flow = simulator.settled.flows[c][leg.run];
        if leg.end == End::To { flow } else { -flow }
    });
    let areas = legs.map(|leg| bore_area(setup.values.get(leg.bore)));
    let density = simulator.settled.junction_density[c][j];
    let excess = tee_excess(*set, flows, areas, setup.values.get(*angle), density);
    let main = (0..3).max_by(|a, b| flows[*a].abs().total_cmp(&flows[*b].abs())).unwrap_or(0);
    let head = (flows[main] / areas[main]).powi(2) / (2.0 * density);
    // Flows whose squares are no numbers any more have no excess.
    if flows[main].abs() < 1e-100 {
        return Ok(());
    }
    let key = law.card.key;
    let number = |sign| law.number(sign).ok_or_else(|| format!("{key}: no {sign}"));
    // Losses are counted from the leg that supplies towards the one that is supplied.
    let sign = if flows[main] > 0.0 { -1.0 } else { 1.0 };
    let coefficients = if main == 2 {
        [(0, number("K_a")?), (1, number("K_b")?)]
    } else {
        [(2, number("K_s")?), (1 - main, number("K_r")?)]
    };
    for (leg, coefficient) in coefficients {
        let want = sign * (excess[leg] - excess[main]) / head;
        // Flows into a junction add up to zero but for rounding, which the law evens out.
        let scale = 1.0 + coefficient.abs() + areas[main] / areas[leg];
        near(key, coefficient, want, scale * scale)?;
    }
    Ok(())
}

/// Suction of pumps and the gas of closed tanks, at the states `y` that have been settled: the cards that
/// were met.
pub(crate) fn hold_pressures(
    simulator: &Simulator<'_>,
    y: &[f64],
) -> Result<BTreeSet<&'static str>, String> {
    let results = Results::read(simulator, y);
    let laws = explain::pressures(simulator, &results);
    for Explained { id, law } in laws.iter().filter(|explained| own(&explained.law)) {
        let got = law.result().unwrap_or(f64::NAN);
        if law.card.key == "pump.suction" {
            let want = results.of(*id, &q::SUCTION_HEAD).unwrap_or(f64::NAN);
            near("suction", got, want, want.abs() + 1.0)?;
        } else {
            let gauge = results.of(*id, &q::GAS_PRESSURE).unwrap_or(f64::NAN);
            let want = gauge + simulator.setup.prepared.ambient_pa;
            // The pressure of the gas is found to a millionth of a pascal.
            near("gas", got, want, 1e2 * want)?;
        }
    }
    Ok(laws.iter().map(|explained| explained.law.card.key).collect())
}

/// The air of the site.
fn site(simulator: &Simulator<'_>, laws: &[Explained]) -> Result<(), String> {
    let prepared = &simulator.setup.prepared;
    let density: f64 = prepared.air.density(prepared.air_k);
    for law in laws.iter().filter(|law| law.id == Id::Site).map(|law| &law.law) {
        let want = match law.card.key {
            "air.density" => density,
            "air.humidity" => prepared.air.humidity_ratio,
            _ => prepared.ambient_pa,
        };
        near(law.card.key, law.result().unwrap_or(f64::NAN), want, want.max(1e-6))?;
    }
    Ok(())
}

/// Cores, fans, and the way of the air.
fn air(simulator: &Simulator<'_>, laws: &[Explained]) -> Result<(), String> {
    for (a, path) in simulator.setup.model.air_paths.iter().enumerate() {
        let at = |id: Id| -> Vec<&Applied> {
            laws.iter().filter(|law| law.id == id).map(|law| &law.law).collect()
        };
        let of_path = at(Id::AirPath(a));
        let ducts = of_path.first().ok_or("no ducts")?;
        let mut stack = ducts.result().unwrap_or(f64::NAN);
        let gas = &simulator.settled.gases[a];
        for met in gas.cores() {
            let of_core = at(Id::Core(met.core));
            stack += held_core(simulator, met, &of_core)?;
        }
        for (w, way) in path.ways.iter().enumerate() {
            for law in at(Id::Lane(a, w)) {
                let fall = way.loss.map_or(f64::NAN, |loss| gas.losses()[loss].fall_pa);
                near("duct of a lane", law.result().unwrap_or(f64::NAN), fall, fall.abs())?;
            }
        }
        // Where the flow has been found, stack and fans balance.
        let one_way = path.ways.len() == 1 && path.fans.len() == 1;
        if let (true, Some(fan), true) = (one_way, path.fans.first(), gas.through().abs() > 1e-3) {
            let AtFan { flow, density, .. } = gas.fans()[0];
            let rise = -fan.fall(&simulator.setup.values.reader(), density, flow);
            near("stack", stack, rise, 1e3 * (stack.abs() + rise.abs()))?;
        }
        for (k, fan) in path.fans.iter().enumerate() {
            let AtFan { flow, density, .. } = gas.fans()[k];
            let values = &simulator.setup.values;
            let fall = fan.fall(&values.reader(), density, flow);
            for law in at(Id::Fan(a, k)) {
                let got = law.result().unwrap_or(f64::NAN);
                match law.card.key {
                    "fan.curve" => near("fan", -got, fall, fall.abs())?,
                    "fan.stopped" => near("stopped fan", got, fall, fall.abs())?,
                    "fan.warms" => {
                        let setup = &simulator.setup;
                        let capacity = setup.prepared.air.heat_capacity(setup.prepared.air_k);
                        let want = fan.warms(values, (density, flow), capacity);
                        near("fan's warmth", got, want, want)?;
                    }
                    _ => {
                        let want = fan.power_w(values, density);
                        near("fan's power", got, want, want)?;
                    }
                }
            }
        }
    }
    Ok(())
}

/// Charge air, stage by stage.
fn charge_air(simulator: &Simulator<'_>, laws: &[Explained]) -> Result<(), String> {
    let setup = &simulator.setup;
    for (law, a, s) in laws.iter().filter_map(|law| match law.id {
        Id::Stage(a, s) => Some((&law.law, a, s)),
        _ => None,
    }) {
        let at = &simulator.settled.charges[a].stages[s];
        let got = law.result().unwrap_or(f64::NAN);
        match (law.card.key, setup.model.charge_air[a].stages[s].kind) {
            // The mean temperature of the compression is found in a few rounds.
            ("charge.compressor", _) => near(law.card.key, got, at.leaving.temperature_k, 1e4)?,
            ("charge.soak" | "charge.air_cooled", _) => {
                near(law.card.key, got, at.leaving.temperature_k, 1e3)?;
            }
            ("charge.fall", _) => {
                let want = at.entering.pressure_pa - at.leaving.pressure_pa;
                near(law.card.key, got.min(0.9 * at.entering.pressure_pa), want, 1e6)?;
            }
            ("charge.rating", StageKind::Cooler { body }) => {
                let want = setup.prepared.charges[body];
                near(law.card.key, got, want, want)?;
            }
            ("charge.cell", _) => {
                let moist = laws.iter().find(|other| {
                    other.id == Id::Stage(a, s) && other.law.card.key == "charge.condensing"
                });
                let latent = moist.and_then(|law| law.law.result()).unwrap_or(0.0);
                let groups = &setup.layout.charges[a].groups;
                let first = groups.iter().find(|group| group.stage == s).ok_or("no group")?;
                let want = simulator.settled.charges[a].heat_w[first.nodes.start];
                near(law.card.key, got + latent, want, got.abs() + latent.abs() + 1e-6)?;
            }
            _ => {}
        }
    }
    Ok(())
}

/// What stands in the air of the bay: its heat by the conductance that was settled, within what the temperature of the surface
/// leaves open, and each Nusselt number in it.
fn bay(simulator: &Simulator<'_>, laws: &[Explained]) -> Result<(), String> {
    let setup = &simulator.setup;
    let bay_k = setup.values.get(setup.model.bay.air);
    let through = laws.iter().filter(|law| law.law.card.key == "bay.through");
    let settled = simulator.settled.exposed.iter().zip(&simulator.settled.exposed_k);
    for (law, (conductance, mean_k)) in through.zip(settled) {
        let want = conductance * (bay_k - mean_k);
        let got = law.law.result().unwrap_or(f64::NAN);
        near("heat of the bay", got, want, 1e7 * want.abs() + 1e3)?;
    }
    for law in laws.iter().filter(|law| law.law.card.key.starts_with("bay.")) {
        let (rises, blows) = match law.law.card.key {
            "bay.through" => continue,
            key => (key.starts_with("bay.rising"), key.starts_with("bay.blown")),
        };
        let through = laws.iter().find(|of| of.id == law.id && of.law.card.key == "bay.through");
        let through = through.ok_or("a skin without its heat")?;
        let sign = if rises { "Nu_r" } else { "Nu_b" };
        let want = through.law.number(sign).ok_or("a heat without its air")?;
        let got = law.law.result().unwrap_or(f64::NAN);
        near(law.law.card.key, got, want, want)?;
        assert!(rises || blows, "{}", law.law.card.key);
    }
    Ok(())
}

/// Supplies that sag: what they give is the power of their machines by the cards of these, over the voltage that they find.
fn supplies(simulator: &Simulator<'_>, laws: &[Explained]) -> Result<(), String> {
    let setup = &simulator.setup;
    for explained in laws.iter().filter(|of| of.law.card.key == "supply.sag") {
        let Id::Supply(s) = explained.id else { return Err("a supply that is none".to_owned()) };
        let supply = &setup.model.supplies[s];
        let sag = supply.sag.ok_or("a supply that does not sag")?;
        let is_fed = |law: &&Explained| match (law.id, law.law.card.key) {
            (Id::Part(c, r, p), "pump.power") => {
                let pump = setup.model.circuits[c].runs[r].parts[p].part.as_pump();
                pump.and_then(|pump| pump.drive.supply()) == Some(supply.voltage)
            }
            (Id::Fan(a, f), "fan.power") => {
                setup.model.air_paths[a].fans[f].voltage == supply.voltage
            }
            _ => false,
        };
        let watts: f64 = laws.iter().filter(is_fed).filter_map(|law| law.law.result()).sum();
        let volts = setup.values.get(supply.voltage);
        let want = sag.terminal_v(&setup.values, watts / volts);
        let got = explained.law.result().unwrap_or(f64::NAN);
        near("supply", got, want, setup.values.get(sag.open) + got.abs())?;
    }
    Ok(())
}

/// Hot walls: heat flux and boiling of the piece that the coolant meets first.
fn walls(simulator: &Simulator<'_>, laws: &[Explained]) -> Result<(), String> {
    let setup = &simulator.setup;
    for explained in laws.iter().filter(|of| of.law.card.key.starts_with("wall.")) {
        let Id::Body(body) = explained.id else { continue };
        let mut contacts = setup.layout.wall_contacts().zip(&simulator.settled.walls);
        let first = contacts.find(|((of, _), _)| *of == body);
        let (Some((_, cell)), Some(wall)) = (first, setup.model.bodies[body].wall) else {
            return Err("a law of a wall that is not there".to_owned());
        };
        let count = setup.layout.bodies[body].wall.as_ref().map_or(1, |nodes| nodes.cells);
        let area = setup.values.get(wall.area) / count as f64;
        let got = explained.law.result().unwrap_or(f64::NAN);
        let want = match explained.law.card.key {
            "wall.surface" => {
                let mean = cell.heat(cell.layers_k[0], cell.coolant_k).heat_w / area;
                mean * setup.values.get(wall.peak)
            }
            "wall.nucleate" => cell.boiling / area,
            _ => continue,
        };
        // Small heat is a difference of temperatures that are not.
        near(explained.law.card.key, got, want, want.abs() + cell.film / area)?;
    }
    Ok(())
}

/// The laws of a core that is known by its dimensions; gives the fall of the air, Pa, where they tell it.
fn held_built(
    simulator: &Simulator<'_>,
    (met, built): (&Met, &Built),
    laws: &[&Applied],
    resistance: &impl Fn(&str) -> f64,
) -> Result<f64, String> {
    let values = &simulator.setup.values;
    let open = 1.0 - values.get(simulator.setup.model.cores[met.core].blocked);
    let through = open * values.get(built.scale);
    let mut fall = 0.0;
    for law in laws.iter().filter(|law| own(law)) {
        let got = law.result().unwrap_or(f64::NAN);
        match law.card.key {
            "core.tube_wall" => near("wall of tubes", got, resistance("R_w"), got)?,
            // The air is kept from standing still by a millionth of its usual flow.
            "core.louvred_heat" | "core.plain_heat" if met.flow.abs() > 1e-3 => {
                near("air side of fins", got, resistance("R_a"), 1e3 * got)?;
            }
            "film.wall_viscosity" => {}
            key if key.starts_with("film.") => {
                near("film of a core", 1.0 / (got * through), resistance("R_f"), 1.0 / got)?;
            }
            "core.fins_fall" => {
                near("air through fins", got, met.fall_pa, met.fall_pa.abs())?;
                fall = got;
            }
            _ => {}
        }
    }
    Ok(fall)
}

/// The laws of one core; gives the fall of the air through it, Pa.
fn held_core(simulator: &Simulator<'_>, met: &Met, laws: &[&Applied]) -> Result<f64, String> {
    let setup = &simulator.setup;
    let core = met.core;
    let index = setup.layout.core_parts[core];
    let (c, r, _) = setup.layout.parts[index].at;
    let side = &setup.prepared.cores[core];
    let is_cell = |law: &&&Applied| law.card.key.starts_with("core.exchange");
    let cell = laws.iter().find(is_cell).ok_or("no exchange")?;
    let resistance = |sign: &str| cell.number(sign).unwrap_or(f64::NAN);
    let mut fall = 0.0;
    if let CoreRating::Built(built) = &setup.model.cores[core].rating {
        fall += held_built(simulator, (met, built), laws, &resistance)?;
    }
    for law in laws {
        let got = law.result().unwrap_or(f64::NAN);
        match law.card.key {
            "core.air_fall" => {
                near("core's air", got, met.fall_pa, met.fall_pa.abs())?;
                fall = got;
            }
            "core.rating" => {
                let want = 1.0 / (side.film + side.wall + side.air);
                near("rating", got, want, want)?;
            }
            "core.fall_table" => {
                near("core's air by a table", got, met.fall_pa, met.fall_pa.abs())?;
                fall = got;
            }
            "core.table" => near("air side by a table", got, resistance("R_a"), got.abs())?,
            "core.film" => near("film", got, resistance("R_f"), got.abs())?,
            "core.air_side" => near("air side", got, resistance("R_a"), got.abs())?,
            key if key.starts_with("core.exchange") && met.flow.abs() > 1e-3 => {
                let exchange = met.exchange;
                let at = simulator.settled.parts[index].temperature_k;
                let local = CoolantAt::of(&setup.prepared.coolants[c], at);
                let flow = simulator.settled.flows[c][r].abs();
                let x: f64 = got / (flow * local.heat_capacity).max(1e-12);
                let held = x / ((x / 3.0).powi(8) + 1.0);
                let raised = if held < 1e-9 { got } else { got * held.exp_m1() / held };
                let whole = 1.0 / (1.0 / exchange.coolant_wall + 1.0 / exchange.wall_air);
                // The air is kept from standing still by a millionth of its rated flow; and next to nothing is a difference from
                // one, of which rounding leaves the digits that the capacity flow of the air has over it.
                let heat_capacity: f64 = setup.prepared.air.heat_capacity(setup.prepared.air_k);
                let capacity = met.flow.abs() * heat_capacity / CORE_CELLS as f64;
                // In coolant next to rest it is held to what its air could take twice over.
                if exchange.wall_air <= 1.5 * capacity {
                    near("exchange", raised, whole, 1e3 * whole + capacity)?;
                }
            }
            _ => {}
        }
    }
    Ok(fall)
}
