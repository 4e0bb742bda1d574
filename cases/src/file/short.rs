//! Names that are written as full addresses, made the short ones that the file asks for: a run's `from` may be
//! `main/tee` for `tee` of the circuit `main`, a pass may name `coolers/charge` for `charge`.

use super::{Case, ChargeStage, Circuit, Junction, PartSpec, Run};
use crate::text::{Map, Spanned};

impl Case {
    /// Makes all names short.
    pub(crate) fn shorten(&mut self) {
        for (name, circuit) in self.circuits.iter_mut() {
            circuit.shorten(&name.value);
        }
        for (_, core) in self.cores.iter_mut() {
            cut(core.piece.iter_mut().map(|piece| &mut piece.value.of), "cores");
        }
        for (_, path) in self.air_paths.iter_mut() {
            let lanes = path.lanes.iter_mut().flat_map(|(_, lane)| &mut lane.cores);
            cut(path.cores.iter_mut().chain(lanes), "cores");
            for (_, fan) in path.fans.iter_mut() {
                cut(&mut fan.curve, "fan_curves");
                cut(&mut fan.supply, "supplies");
            }
        }
        for (_, path) in self.charge_air.iter_mut() {
            for (_, stage) in path.stages.iter_mut() {
                if let ChargeStage::ChargeCooler(stage) = stage {
                    cut([&mut stage.cooler], "coolers");
                }
            }
        }
        for (_, limit) in self.limits.iter_mut() {
            let during = limit.during.iter_mut().flat_map(|during| &mut during.value);
            cut(during, "duty");
        }
    }
}

impl Case {
    /// The field of an air path in which something of it stands.
    pub(crate) fn in_path(&self, path: &str, thing: &str) -> &'static str {
        let path = self.air_paths.get(path);
        if path.is_some_and(|path| path.lanes.contains(thing)) { "lanes" } else { "fans" }
    }
}

impl Circuit {
    fn shorten(&mut self, circuit: &str) {
        cut(&mut self.pressure_at, circuit);
        for tap in self.bleeds.iter_mut().chain(&mut self.drains) {
            let is_part = |path: &str| has_part(&self.runs, path);
            if tap.value.matches('/').count() == 2 || !is_part(&tap.value) {
                cut([tap], circuit);
            }
        }
        for (_, run) in self.runs.iter_mut() {
            cut(run.from.iter_mut().chain(&mut run.to), circuit);
            for (_, part) in run.parts.iter_mut() {
                shorten_part(part, circuit);
            }
        }
        for (_, junction) in self.junctions.iter_mut() {
            match junction {
                Junction::Tee { straight: (a, b), side, .. } => {
                    cut([a, b, side], circuit);
                }
                Junction::Header { inlet, outlet, outlets, inlets, .. } => {
                    let ends = inlet.iter_mut().chain(outlet);
                    cut(ends.chain(outlets).chain(inlets), circuit);
                }
                Junction::Joint {} | Junction::Tank { .. } | Junction::Open { .. } => {}
            }
        }
    }
}

fn shorten_part(part: &mut PartSpec, circuit: &str) {
    match part {
        PartSpec::Pass { cooler, .. } => cut([cooler], "coolers"),
        PartSpec::Jacket { engine, .. } => cut([engine], "engines"),
        PartSpec::CoreSide { core, .. } => cut([core], "cores"),
        PartSpec::ExchangerSide { exchanger, .. } => cut([exchanger], "exchangers"),
        PartSpec::Pump { curve, supply, .. } => {
            cut(curve, "pump_curves");
            cut(supply, "supplies");
        }
        PartSpec::Thermostat { of: Some(of), .. } if of.value.matches('/').count() == 2 => {
            cut([of], circuit);
        }
        _ => {}
    }
}

/// Whether there is a part at `run/part`.
fn has_part(runs: &Map<Run>, path: &str) -> bool {
    path.split_once('/')
        .is_some_and(|(run, part)| runs.get(run).is_some_and(|run| run.parts.contains(part)))
}

/// Cuts what stands before the names of things in their full addresses.
fn cut<'a>(names: impl IntoIterator<Item = &'a mut Spanned<String>>, before: &str) {
    for name in names {
        let rest = name.value.strip_prefix(before).and_then(|rest| rest.strip_prefix('/'));
        if let Some(rest) = rest.map(str::to_owned) {
            name.value = rest;
        }
    }
}
