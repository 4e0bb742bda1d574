//! Hot walls: boiling under the pressure at each piece, and what their hottest places come to.

use super::Recorder;
use super::quantities as q;
use super::record::CircuitReader;
use super::room::Room;
use crate::fluids::Saturated;
use crate::ids::Id;
use crate::laws::boiling::{critical_w_m2, onset_superheat_k};
use crate::simulate::Simulator;
use crate::wall::{HotWall, WALL_LAYERS, WallCell};

/// Writes what boiling depends on into the pieces of all hot walls, in the order of the layout, at the
/// temperatures `y` for which flows have been settled.
pub(crate) fn boiling_points(
    simulator: &Simulator<'_>,
    y: &[f64],
    room: &mut Room,
    walls: &mut [WallCell],
) {
    let setup = &simulator.setup;
    let (mut filled, mut pass) = (None, None);
    for ((body, contact), cell) in setup.layout.wall_contacts().zip(walls) {
        let nodes = setup.layout.bodies[body].wall.as_ref();
        let Some((wall, nodes)) = setup.model.bodies[body].wall.zip(nodes) else { continue };
        let (c, _, _) = setup.layout.parts[contact.part].at;
        if filled != Some(c) {
            CircuitReader::fill_within_step(simulator, c, y, &mut room.circuits[c]);
            filled = Some(c);
        }
        let coolant = &setup.prepared.coolants[c];
        if pass.is_none_or(|(part, _)| part != contact.part) {
            let middle = Saturated::at(coolant, pressure_pa(simulator, room, contact.part, 0.5));
            pass = Some((contact.part, middle));
        }
        let Some((_, middle)) = pass else { continue };
        let cells = setup.layout.parts[contact.part];
        let share = ((contact.states[0] - cells.first) as f64 + 0.5) / cells.count as f64;
        let pressure_pa = pressure_pa(simulator, room, contact.part, share);
        let temperature_k = coolant.boiling_point_k(pressure_pa);
        // Along one pass the pressure moves the boiling point, and nothing else by much.
        let at = Saturated { pressure_pa, temperature_k, ..middle };
        let off = setup.offsets.boiling[body];
        wall.boil_cell((&setup.values, off), &at, nodes.cells, cell);
        let [coolant, near] = contact.states;
        cell.coolant_k = y[coolant];
        let layer = |k: usize| y[near + nodes.cells * k];
        cell.layers_k = [y[near], layer(WALL_LAYERS - 2), layer(WALL_LAYERS - 1)];
    }
}

/// Static pressure at a share of the way through a part, Pa absolute.
fn pressure_pa(simulator: &Simulator<'_>, room: &Room, part: usize, share: f64) -> f64 {
    let (c, r, p) = simulator.setup.layout.parts[part].at;
    let points = room.circuits[c].points(r);
    let [start, end] = [points[p].static_pa, points[p + 1].static_pa];
    start + (end - start) * share + simulator.setup.prepared.ambient_pa
}

/// One piece of a hot wall of a model that has been evaluated.
pub(crate) struct Piece<'a> {
    /// The wall.
    pub wall: &'a HotWall,
    /// Its coolant side.
    pub cell: WallCell,
    /// Area of the piece, m².
    pub area: f64,
    /// Heat that comes in, W.
    pub heat_w: f64,
    /// Heat flux of its hottest place over the mean.
    pub peak: f64,
    /// What the law of the critical heat flux is off by, as a factor.
    pub critical_off: f64,
}

/// What a hot wall comes to at its hottest places.
#[derive(Clone, Copy, Debug)]
struct Hottest {
    /// On the side where the heat comes in, K.
    hot_k: f64,
    /// On the side of the coolant, K.
    surface_k: f64,
    /// By how much that is below the onset of boiling at the least, K.
    onset_k: f64,
    /// Largest heat flux over the critical one.
    critical: f64,
}

/// The pieces of the hot wall of a body.
pub(crate) fn pieces<'a>(
    simulator: &'a Simulator<'_>,
    body: usize,
) -> impl Iterator<Item = Piece<'a>> {
    let setup = &simulator.setup;
    let contacts = setup.layout.wall_contacts().zip(&simulator.settled.walls);
    let own = contacts.filter(move |((of, _), _)| *of == body);
    own.filter_map(move |(_, cell)| {
        let wall = setup.model.bodies[body].wall.as_ref()?;
        let count = setup.layout.bodies[body].wall.as_ref()?.cells as f64;
        Some(Piece {
            wall,
            cell: *cell,
            area: setup.values.get(wall.area) / count,
            heat_w: simulator.rates.border.bodies[body] / count,
            peak: setup.values.get(wall.peak),
            critical_off: setup.offsets.critical[body],
        })
    })
}

impl Piece<'_> {
    /// Whether boiling takes heat from its hottest place.
    pub(crate) fn is_boiling(&self) -> bool {
        self.hottest_surface().1 > self.cell.at.temperature_k
    }

    /// Heat flux at the hottest place on the side of the coolant, W/m², and the temperature of the surface
    /// there, K.
    pub(crate) fn hottest_surface(&self) -> (f64, f64) {
        let mean = self.cell.heat(self.cell.layers_k[0], self.cell.coolant_k);
        let at = self.cell.under(self.peak * mean.heat_w, self.cell.coolant_k);
        (at.heat_w / self.area, at.surface_k)
    }

    /// The hottest places: through the wall the temperature falls as many times as much as the heat flux is
    /// larger.
    fn hottest(&self) -> Hottest {
        let near_k = self.cell.layers_k[0];
        let mean_k = self.cell.heat(near_k, self.cell.coolant_k).surface_k;
        let (flux, surface_k) = self.hottest_surface();
        let face_k = self.cell.face_k(self.heat_w);
        let below = self.cell.at.temperature_k - self.cell.coolant_k;
        let critical = self.critical_off * critical_w_m2(&self.cell.at, below);
        let onset = onset_superheat_k(flux, self.cell.at.pressure_pa);
        // Under vapour nothing boils off any more: the film alone, which is the most that is left.
        let bare_k = self.cell.coolant_k + flux * self.area / self.cell.film;
        let surface_k = if flux > critical { bare_k.max(surface_k) } else { surface_k };
        Hottest {
            hot_k: surface_k + self.peak * (face_k - mean_k),
            surface_k,
            onset_k: self.cell.at.temperature_k + onset - surface_k,
            critical: (flux / critical).max(0.0),
        }
    }
}

/// Records the hot wall of a body.
pub(super) fn record(simulator: &Simulator<'_>, body: usize, to: &mut impl Recorder) {
    if simulator.setup.model.bodies[body].wall.is_none() {
        return;
    }
    let start = Hottest {
        hot_k: f64::NEG_INFINITY,
        surface_k: f64::NEG_INFINITY,
        onset_k: f64::INFINITY,
        critical: f64::NEG_INFINITY,
    };
    let all = pieces(simulator, body).map(|piece| piece.hottest());
    let worst = all.fold(start, |worst, at| Hottest {
        hot_k: worst.hot_k.max(at.hot_k),
        surface_k: worst.surface_k.max(at.surface_k),
        onset_k: worst.onset_k.min(at.onset_k),
        critical: worst.critical.max(at.critical),
    });
    let id = Id::Body(body);
    to.put(id, &q::WALL, worst.hot_k);
    to.put(id, &q::WALL_SURFACE, worst.surface_k);
    to.put(id, &q::ONSET_MARGIN, worst.onset_k);
    to.put(id, &q::CRITICAL_SHARE, worst.critical);
}
