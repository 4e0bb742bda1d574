//! What stands out in a case's plumbing, with the reason.

use coolwright_cases::lower::Ready;
use coolwright_models::parts::bore_area;
use coolwright_models::point::check_pumps;
use coolwright_models::simulate::Simulator;
use coolwright_models::solve::SolveError;

/// Velocity beyond which a pressure line costs head and erodes aluminium, m/s (common practice, no
/// source: pressure side at most 3 to 4).
const FAST: f64 = 4.0;
/// Velocity beyond which a suction line starves its pump, m/s (common practice, no source: at most
/// 1.5 to 2).
const FAST_SUCTION: f64 = 2.0;

/// Solves the flows at the start temperatures and lists what stands out.
///
/// # Errors
/// When the flows do not come to rest, or a pump is driven backwards.
pub fn findings(ready: &Ready) -> Result<Vec<String>, SolveError> {
    let model = &ready.model;
    let mut simulator = Simulator::new(model, model.values.clone())
        .map_err(|error| SolveError::prepare(model, error))?;
    let start = simulator.start();
    simulator.evaluate(&start).map_err(|e| SolveError::unsettled(&simulator.setup, e))?;
    check_pumps(&simulator)?;
    let mut found = Vec::new();
    for (c, circuit) in model.circuits.iter().enumerate() {
        for (r, run) in circuit.runs.iter().enumerate() {
            let flow = simulator.settled.flows[c][r].abs();
            let bores = run.part_bores();
            for (p, placed) in run.parts.iter().enumerate() {
                if placed.part.word() != "hose" || placed.automatic {
                    continue;
                }
                let index = simulator.setup.layout.run_parts[c][r] + p;
                let area = bore_area(model.values.get(bores[p][0]));
                let velocity = flow / (simulator.settled.parts[index].density * area);
                let before_pump = run.parts[p + 1..]
                    .iter()
                    .find(|q| !q.automatic)
                    .is_some_and(|q| q.part.as_pump().is_some());
                let (most, where_) = if before_pump {
                    (FAST_SUCTION, "a suction line; its pump may starve")
                } else {
                    (FAST, "beyond common practice; it costs head as its square")
                };
                if velocity > most {
                    found.push(format!(
                        "`{}/{}/{}`: {velocity:.1} m/s in {} (over {most:.0} m/s)",
                        circuit.name, run.path, placed.name, where_
                    ));
                }
            }
        }
    }
    Ok(found)
}
