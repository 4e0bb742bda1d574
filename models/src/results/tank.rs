//! The pressure that a circuit hangs on: given, or that of the gas in its tank.

use super::Recorder;
use super::quantities as q;
use super::record::CircuitReader;
use crate::circuit::{Cushion, Hold, ReferencePoint};
use crate::fluids::{Coolant, pressure_at_pa};
use crate::ids::Id;
use crate::laws::cushion::{CapState, CapValves, Changed, Content, Gas, NORMAL_M3, ShutIn, gas};
use crate::parts::{GRAVITY, LawInputs, Part, TankRoom};
use crate::slots::Values;

/// The pressure at the reference of a circuit.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Held {
    /// What has to be added to every solved pressure, Pa.
    pub(super) shift: f64,
    /// Gauge pressure over the surface of the tank at the reference, or at the reference, Pa.
    gauge_pa: f64,
    /// Weight of the coolant above the ports of that tank, Pa.
    weight_pa: f64,
    /// The gas of a closed tank, and what the coolant has grown by, m³.
    gas: Option<(Gas, f64)>,
    /// What stands in the tank at the reference, m³: less than nothing where more is missing than it held.
    contents_m3: f64,
    /// What an open tank has lost over its edge.
    run_over: Option<Content>,
}

impl Held {
    /// Gauge pressure of the gas of a closed tank, Pa.
    pub(super) fn gas_pa(&self) -> Option<f64> {
        self.gas.map(|(gas, _)| gas.gauge_pa)
    }

    /// What the cap of a closed tank has kept in, or what has gone over the edge of an open one.
    pub(super) fn content(&self) -> Option<Content> {
        self.gas.map(|(gas, _)| gas.content).or(self.run_over)
    }
}

/// What the gas of a closed tank was when it was shut in.
pub(crate) fn shut_in(
    values: &Values,
    cushion: &Cushion,
    room: &TankRoom,
    coolant: &Coolant,
) -> ShutIn {
    let get = |slot| values.get(slot);
    let temperature_k = get(cushion.filled_at);
    ShutIn {
        volume_m3: get(room.air),
        temperature_k,
        pressure_pa: pressure_at_pa(get(cushion.filled_altitude)) + get(cushion.fill_pressure),
        vapour_pa: coolant.vapour_pressure(temperature_k),
    }
}

impl CircuitReader<'_> {
    /// What the pressures have to be shifted by so that the reference has its own, with the gas of a closed tank
    /// at the pressure that it had when the last step was taken, where there was one.
    ///
    /// A tank that is full to its cap answers a millikelvin with some kilopascals; within a step it stands, as what
    /// its cap has kept in does.
    pub(super) fn shift_within_step(&self) -> f64 {
        let gas_pa = self.simulator.gas_pa[self.c];
        let tank = self.circuit.reference.zip(self.circuit.reference_tank()).zip(gas_pa);
        let Some(((reference, room), gas_pa)) = tank else { return self.held().shift };
        let (solved_pa, temperature_k) = self.solved_inside(reference.at);
        gas_pa + self.weight(room, temperature_k) - solved_pa
    }

    /// What the pressures have to be shifted by so that the reference has its own.
    pub(super) fn held(&self) -> Held {
        let Some(reference) = self.circuit.reference else {
            return Held::default();
        };
        let (solved_pa, temperature_k) = self.solved_inside(reference.at);
        let values = &self.simulator.setup.values;
        match (reference.hold, self.circuit.reference_tank()) {
            (Hold::Given(slot), Some(room)) => {
                let gauge_pa = values.get(slot);
                let weight_pa = self.weight(room, temperature_k);
                let above = weight_pa - solved_pa;
                let (contents_m3, lost) = self.contents(room, temperature_k, (gauge_pa, above));
                let (shift, run_over) = (gauge_pa + above, Some(lost));
                Held { shift, gauge_pa, weight_pa, contents_m3, run_over, gas: None }
            }
            (Hold::Given(slot), None) => {
                let gauge_pa = values.get(slot);
                Held { shift: gauge_pa - solved_pa, gauge_pa, ..Held::default() }
            }
            (Hold::Cushion(cushion), Some(room)) => {
                let weight_pa = self.weight(room, temperature_k);
                let above = weight_pa - solved_pa;
                let (gas, grown) = self.gas(&cushion, room, temperature_k, above);
                Held {
                    shift: gas.gauge_pa + above,
                    gauge_pa: gas.gauge_pa,
                    weight_pa,
                    gas: Some((gas, grown)),
                    contents_m3: values.get(room.volume) - gas.volume_m3,
                    run_over: None,
                }
            }
            (Hold::Cushion(_), None) => Held { shift: -solved_pa, ..Held::default() },
        }
    }

    /// Solved total pressure at the reference, Pa, and its temperature, K: in a tank that of the
    /// coolant that stands still at its ports.
    fn solved_inside(&self, at: ReferencePoint) -> (f64, f64) {
        let settled = &self.simulator.settled;
        let layout = &self.simulator.setup.layout;
        match at {
            ReferencePoint::Junction(j) => {
                (settled.pressures[self.c][j], self.y[layout.junctions[self.c] + j])
            }
            ReferencePoint::Part(run, part) => {
                let inlet = self.room.points(run)[part];
                let index = self.first_part(run) + part;
                let state = settled.parts[index];
                let tank = self.circuit.runs[run].parts[part].part.as_tank();
                let inwards = tank.map_or(0.0, |tank| {
                    let place = LawInputs {
                        values: self.simulator.setup.values.reader().owning(state.own),
                        density: state.density,
                        viscosity: state.viscosity,
                    };
                    tank.fall_inwards(&place, settled.flows[self.c][run])
                });
                (inlet.total_pa - inwards, state.temperature_k)
            }
        }
    }

    /// Weight of the coolant above the ports of a tank, Pa.
    fn weight(&self, room: &TankRoom, temperature_k: f64) -> f64 {
        let setup = &self.simulator.setup;
        let density = setup.prepared.coolants[self.c].density(temperature_k);
        density * GRAVITY * setup.values.get(room.level)
    }

    /// What stands in a tank over which a pressure is given, m³, coolant and ice, and what has run over.
    ///
    /// `V_tank − V_air + ΔV_coolant − ΔV_hoses − m_lost/ρ`, since the start; what is above `V_tank` runs over and
    /// does not come back. `gauge_pa` is the pressure over it, `above_pa` what the pressures as solved have to
    /// be shifted by for each over that.
    fn contents(
        &self,
        room: &TankRoom,
        temperature_k: f64,
        (gauge_pa, above_pa): (f64, f64),
    ) -> (f64, Content) {
        let setup = &self.simulator.setup;
        let get = |slot| setup.values.get(slot);
        let coolant = &setup.prepared.coolants[self.c];
        let filled_k = get(self.circuit.start);
        let density = coolant.density(temperature_k);
        let grown = self.lighter_kg(filled_k) / density;
        let surface = (gauge_pa, get(room.level));
        let [swelling, more] = self.swelling(coolant.density(filled_k), surface, above_pa);
        let mut lost = self.simulator.contents[self.c].unwrap_or_default();
        let there = get(room.volume) - get(room.air) + grown
            - (swelling + more * gauge_pa)
            - lost.lost_kg / density;
        let over = (there - get(room.volume)).max(0.0);
        lost.lost_m3 += over;
        lost.lost_kg += over * density;
        (there - over, lost)
    }

    /// The gas of a closed tank, and what the coolant has grown by. `above_pa` is what the pressures
    /// as solved have to be shifted by for each over that of the gas.
    fn gas(
        &self,
        cushion: &Cushion,
        room: &TankRoom,
        temperature_k: f64,
        above_pa: f64,
    ) -> (Gas, f64) {
        let setup = &self.simulator.setup;
        let get = |slot| setup.values.get(slot);
        let coolant = &setup.prepared.coolants[self.c];
        let ambient_pa = setup.prepared.ambient_pa;
        let filled_k = get(cushion.filled_at);
        let expansion_m3 = self.lighter_kg(filled_k) / coolant.density(temperature_k);
        let surface = (get(cushion.fill_pressure), get(room.level));
        let [swelling_m3, swelling_m3_pa] =
            self.swelling(coolant.density(filled_k), surface, above_pa);
        let shut_in = shut_in(&setup.values, cushion, room, coolant);
        let content = self.simulator.contents[self.c].unwrap_or_else(|| shut_in.content());
        let changed = Changed {
            temperature_k,
            vapour_pa: coolant.vapour_pressure(temperature_k),
            expansion_m3,
            swelling_m3,
            swelling_m3_pa,
            density: coolant.density(temperature_k),
        };
        let cap =
            CapValves { ambient_pa, opens_pa: get(cushion.opens), vacuum_pa: get(cushion.vacuum) };
        (gas(shut_in.volume_m3, content, changed, cap), expansion_m3)
    }

    /// By how much less the circuit's volumes would hold now than at a temperature, kg.
    ///
    /// `Σ V (ρ_fill − ρ(T))` over all cells, tank and junctions included. The volumes themselves are taken
    /// as fixed: metal and rubber grow with heat too, which this leaves out.
    fn lighter_kg(&self, filled_k: f64) -> f64 {
        let coolant = &self.simulator.setup.prepared.coolants[self.c];
        let filled = coolant.density(filled_k);
        let mut sum = 0.0;
        self.each_volume(|volume_m3, state| {
            sum += volume_m3 * (filled - coolant.density(self.y[state]));
        });
        sum
    }

    /// All coolant in the circuit when it was filled, m³, without what ice displaces now.
    fn coolant_m3(&self) -> f64 {
        let mut sum = 0.0;
        self.each_volume(|volume_m3, _| sum += volume_m3);
        let setup = &self.simulator.setup;
        let density = setup.prepared.coolants[self.c].density(setup.values.get(self.circuit.start));
        for owner in &setup.layout.owners {
            if setup.layout.parts[owner.part].at.0 == self.c {
                sum += setup.added_kg(owner, &self.y[owner.states()]) / density;
            }
        }
        sum
    }

    /// Every volume of coolant in the circuit, m³, with its state.
    fn each_volume(&self, mut take: impl FnMut(f64, usize)) {
        let setup = &self.simulator.setup;
        let layout = &setup.layout;
        for (j, junction) in self.circuit.junctions.iter().enumerate() {
            take(junction.volume_m3(&setup.values), layout.junctions[self.c] + j);
        }
        for index in layout.circuit_parts[self.c]..layout.circuit_parts[self.c + 1] {
            let cells = layout.parts[index];
            let volume = setup.part(index).volume_m3(&setup.values);
            for state in cells.first..cells.first + cells.count {
                take(volume / cells.count as f64, state);
            }
        }
    }

    /// What hoses swell by since the filling, m³, if the gas stands at zero gauge, and for each Pa more.
    ///
    /// Each hose by the mean of the static pressures at its ends, against that of the still circuit when
    /// it was filled: that over the surface and the weight of the coolant from there. `filled` is the
    /// density then, `fill_pa` and `surface_m` the gauge pressure over the surface and its height.
    fn swelling(&self, filled: f64, (fill_pa, surface_m): (f64, f64), above_pa: f64) -> [f64; 2] {
        let values = &self.simulator.setup.values;
        let mut sums = [0.0, 0.0];
        for (r, run) in self.circuit.runs.iter().enumerate() {
            let swells = |part: &dyn Part| part.swelling_m3_pa(values);
            if run.parts.iter().all(|placed| swells(placed.part.as_ref()) == 0.0) {
                continue;
            }
            let (points, sites) = (self.room.points(r), self.room.sites(r));
            for (k, placed) in run.parts.iter().enumerate() {
                let slope = swells(placed.part.as_ref());
                let height = 0.5 * (sites[k].height_m + sites[k + 1].height_m);
                let now = 0.5 * (points[k].static_pa + points[k + 1].static_pa);
                let then = fill_pa + filled * GRAVITY * (surface_m - height);
                // Points are not shifted yet.
                sums[0] += slope * (now + above_pa - then);
                sums[1] += slope;
            }
        }
        sums
    }

    /// Records the gas of the circuit's tank, and of the coolant what has to do with it.
    pub(super) fn record_tank(&self, to: &mut impl Recorder) {
        to.put(Id::Circuit(self.c), &q::COOLANT_VOLUME, self.coolant_m3());
        let Some(id) = self.simulator.setup.model.reference_id(self.c) else { return };
        let Some(room) = self.circuit.reference_tank() else { return };
        to.put(id, &q::GAS_PRESSURE, self.room.held.gauge_pa);
        to.put(id, &q::PORTS_PRESSURE, self.room.held.gauge_pa + self.room.held.weight_pa);
        to.put(id, &q::LEVEL, self.simulator.setup.values.get(room.level));
        let contents_m3 = self.room.held.contents_m3;
        to.put(id, &q::CONTENTS, contents_m3);
        let Some((gas, grown)) = self.room.held.gas else {
            to.put(id, &q::LOST, self.room.held.run_over.map_or(0.0, |content| content.lost_m3));
            return;
        };
        to.put(id, &q::GAS_VOLUME, gas.volume_m3);
        to.put(id, &q::EXPANSION, grown);
        to.put(id, &q::SWELLING, gas.swelling_m3);
        to.put(id, &q::LOST, gas.content.lost_m3);
        to.put(id, &q::GAS_OUT, NORMAL_M3 * gas.content.gas_out);
        to.put(id, &q::GAS_IN, NORMAL_M3 * gas.content.gas_in);
        let cap = match gas.cap {
            CapState::LetsIn => -1.0,
            CapState::Shut => 0.0,
            CapState::Open => 1.0,
        };
        to.put(id, &q::CAP, cap);
    }
}
