//! Heat as it was measured: coolant flow times rise, with its uncertainty after the GUM.

use coolwright_cases::stand::Table;
use coolwright_models::circuit::Circuit;
use coolwright_models::cycle::History;
use coolwright_models::fluids::Coolant;
use coolwright_models::gauge::{GaugePlace, Reads, Spot};
use coolwright_models::ids::Id;
use coolwright_models::model::Model;
use coolwright_models::parts::HeatPartner;
use coolwright_solver::propagate::{Uncertain, propagate};

use super::stand::Shows;

/// Heat between two thermometers with a flow meter.
#[derive(Clone, Debug)]
pub struct Balance {
    /// The circuit.
    pub circuit: String,
    /// The gauges: flow, upstream, downstream.
    pub gauges: [String; 3],
    /// What gives or takes heat between them.
    pub between: Vec<String>,
    /// The stretch of the log.
    pub phase: String,
    /// Heat that came into the coolant, W: measured, with its standard uncertainty, and with what was learnt.
    pub measured_w: f64,
    /// See `measured_w`.
    pub uncertainty_w: f64,
    /// See `measured_w`.
    pub learnt_w: f64,
}

/// Circuits in which heat cannot be measured, for want of a flow meter or of two thermometers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoBalance {
    /// The circuit.
    pub circuit: String,
    /// Whether a flow meter is missing; else a second thermometer in its run.
    pub no_flow: bool,
}

/// Where a gauge sits along its run: the part, and how far in it.
fn along(place: GaugePlace) -> Option<(usize, f64)> {
    match place {
        GaugePlace::Part { part, spot, .. } => Some((
            part,
            match spot {
                Spot::Inlet => 0.0,
                Spot::Along { .. } => 0.5,
                Spot::Outlet => 1.0,
            },
        )),
        GaugePlace::Junction(_) => None,
    }
}

fn run_of(place: GaugePlace) -> Option<usize> {
    match place {
        GaugePlace::Part { run, .. } => Some(run),
        GaugePlace::Junction(_) => None,
    }
}

/// What gives or takes heat in the parts of a circuit that are asked for.
fn partners(
    model: &Model,
    circuit: &Circuit,
    wanted: &dyn Fn(usize, usize) -> bool,
) -> Vec<String> {
    let mut found = Vec::new();
    for (r, run) in circuit.runs.iter().enumerate() {
        for (_, placed) in run.parts.iter().enumerate().filter(|(p, _)| wanted(r, *p)) {
            let path = match placed.part.partner() {
                Some(HeatPartner::Body(body)) => model.address(Id::Body(body)),
                Some(HeatPartner::Core(core)) => model.address(Id::Core(core)),
                None => continue,
            };
            if !found.contains(&path) {
                found.push(path);
            }
        }
    }
    found
}

/// What heat is measured by in a circuit.
struct Measures<'s> {
    flow: &'s Shows,
    up: &'s Shows,
    down: &'s Shows,
    between: Vec<String>,
    coolant: Coolant,
}

/// Finds a flow meter and two thermometers in one run of a circuit.
fn measures<'s>(
    model: &Model,
    c: usize,
    shows: &'s [Shows],
) -> Result<Measures<'s>, Option<NoBalance>> {
    let circuit = &model.circuits[c];
    let gauge = |shows: &Shows| &model.gauges[shows.gauge];
    let own: Vec<&Shows> = shows.iter().filter(|s| gauge(s).circuit == c).collect();
    if own.is_empty() {
        return Err(None);
    }
    let lacks = |no_flow| Some(NoBalance { circuit: circuit.name.clone(), no_flow });
    let flow = own.iter().find(|s| gauge(s).reads == Reads::Flow);
    let Some(flow) = flow else { return Err(lacks(true)) };
    let Some(run) = run_of(gauge(flow).place) else { return Err(lacks(false)) };
    let mut warm: Vec<(&Shows, (usize, f64))> = own
        .iter()
        .filter(|s| gauge(s).reads == Reads::Temperature && run_of(gauge(s).place) == Some(run))
        .filter_map(|s| Some((*s, along(gauge(s).place)?)))
        .collect();
    warm.sort_by(|a, b| a.1.0.cmp(&b.1.0).then(a.1.1.total_cmp(&b.1.1)));
    let (Some(&(up, first)), Some(&(down, last))) = (warm.first(), warm.last()) else {
        return Err(lacks(false));
    };
    if up.gauge == down.gauge {
        return Err(lacks(false));
    }
    let inside = |r: usize, p: usize| {
        let at = |end: (usize, f64)| end.0 as f64 + end.1;
        let middle = p as f64 + 0.5;
        r == run && at(first) < middle && middle < at(last)
    };
    let mut between = partners(model, circuit, &inside);
    let (mut up, mut down) = (up, down);
    if between.is_empty() {
        // All heat is taken and given in the rest of the circuit, from the last to the first.
        (up, down) = (down, up);
        between = partners(model, circuit, &|r, p| !inside(r, p));
    }
    let coolant = circuit.coolant.liquid(&model.values).map_err(|_| lacks(false))?;
    Ok(Measures { flow, up, down, between, coolant })
}

/// Mean flow, rise, temperature and flow times rise over rows.
fn mean_of(rows: impl Iterator<Item = [f64; 4]>) -> Option<[f64; 4]> {
    // Weight, flow, upstream, downstream.
    let [mut n, mut flow, mut up, mut down, mut both] = [0.0; 5];
    for [weight, v, a, b] in rows.filter(|row| row.iter().all(|x| x.is_finite())) {
        n += weight;
        flow += weight * v;
        up += weight * a;
        down += weight * b;
        both += weight * v * (b - a);
    }
    (n > 0.0).then(|| [flow / n, up / n, down / n, both / n])
}

/// Heat in W of means: `ρ c_p (V̇ ΔT)`, flow measured where the first thermometer is.
fn heat(coolant: &Coolant, [flow, up, down, both]: [f64; 4], off: &[f64]) -> f64 {
    let [v, a, b] = [off[0], off[1], off[2]];
    let mean_k = 0.5 * (up + down) + 0.5 * (a + b);
    let together = both + v * (down - up) + flow * (b - a) + v * (b - a);
    coolant.density(mean_k) * coolant.heat_capacity(mean_k) * together
}

/// Measured heat of every circuit where there is a flow meter between two thermometers, by stretch of the log.
pub(super) fn balances(
    model: &Model,
    shows: &[Shows],
    (table, phases): (&Table, &[(String, f64)]),
    history: &History,
) -> (Vec<Balance>, Vec<NoBalance>) {
    let (mut found, mut lacking) = (Vec::new(), Vec::new());
    for c in 0..model.circuits.len() {
        let measures = match measures(model, c, shows) {
            Ok(measures) => measures,
            Err(lacks) => {
                lacking.extend(lacks);
                continue;
            }
        };
        let Measures { flow, up, down, between, coolant } = &measures;
        let names: Vec<&str> = table.channels.iter().map(|channel| channel.name.as_str()).collect();
        let column = |shows: &Shows| {
            let place = names.iter().position(|name| *name == shows.column);
            place.map(|place| &table.columns[place])
        };
        let (Some(v), Some(a), Some(b)) = (column(flow), column(up), column(down)) else {
            continue;
        };
        let place = |shows: &Shows| history.catalogue.find(&shows.result);
        let (Some(pv), Some(pa), Some(pb)) = (place(flow), place(up), place(down)) else {
            continue;
        };
        let mut from_s = 0.0;
        for (phase, time_s) in phases {
            let to_s = from_s + time_s;
            let within = |t: f64| t >= from_s && t <= to_s;
            let rows = (0..table.times_s.len()).filter(|&k| within(table.times_s[k]));
            let measured = mean_of(rows.map(|k| [1.0, v[k], a[k], b[k]]));
            let steps = (1..history.times_s.len()).filter(|&k| within(history.times_s[k]));
            let predicted = mean_of(steps.map(|k| {
                let row = &history.rows[k];
                [history.times_s[k] - history.times_s[k - 1], row[pv], row[pa], row[pb]]
            }));
            from_s = to_s;
            let (Some(measured), Some(predicted)) = (measured, predicted) else { continue };
            let u = |shows: &Shows| shows.tolerance / 3.0_f64.sqrt();
            let inputs = Uncertain::independent(&[(0.0, u(flow)), (0.0, u(up)), (0.0, u(down))]);
            let result = propagate(&inputs, 1, |off, out| out[0] = heat(coolant, measured, off));
            let gauge = |shows: &Shows| model.gauges[shows.gauge].name.clone();
            found.push(Balance {
                circuit: model.circuits[c].name.clone(),
                gauges: [gauge(flow), gauge(up), gauge(down)],
                between: between.clone(),
                phase: phase.clone(),
                measured_w: result.values[0],
                uncertainty_w: result.uncertainty(0),
                learnt_w: heat(coolant, predicted, &[0.0; 3]),
            });
        }
    }
    (found, lacking)
}
