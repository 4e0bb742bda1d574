//! A circuit in text: pumps, runs, and where the pressure goes.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::{Circuit, Joint, Run};
use coolwright_models::fluids::{Coolant, Share};
use coolwright_models::laws::tee::TeeSet;
use coolwright_models::slots::Values;

use super::pumps::{in_group, pumps};
use super::{Shown, coolant, section, wrapped};
use crate::write::Style;
use crate::write::table::Table;

/// Everything about a circuit.
pub(super) fn circuit(
    style: &Style,
    ready: &Ready,
    values: &Values,
    index: usize,
    shown: &Shown<'_>,
) -> String {
    let circuit = &ready.model.circuits[index];
    let mut out =
        format!("\nCIRCUIT `{}`: {}\n", circuit.name, coolant(style, ready, index, values));
    out.push_str(&summary(circuit, shown));
    out.push_str(&properties(style, circuit, values, shown));
    out.push_str(&pumps(style, circuit, values, shown));
    out.push_str(&runs(circuit, shown));
    out.push_str(&pressures(style, circuit, shown));
    out
}

/// The extremes of a circuit in one line.
fn summary(circuit: &Circuit, shown: &Shown<'_>) -> String {
    let cell = |name| shown.at(&circuit.name, name);
    format!(
        "  hottest coolant {}, lowest pressure {}, least margin against boiling {}\n",
        cell("hottest"),
        cell("lowest_pressure"),
        cell("boil_margin")
    )
}

/// What the coolant is like where it is coldest and where it is hottest.
fn properties(style: &Style, circuit: &Circuit, values: &Values, shown: &Shown<'_>) -> String {
    let share = Share::ByVolume(values.get(circuit.coolant.share));
    let Ok(coolant) = Coolant::new(circuit.coolant.base, share) else { return String::new() };
    let inlets = circuit.runs.iter().flat_map(|run| {
        let path = format!("{}/{}", circuit.name, run.path);
        run.parts.iter().filter_map(move |p| shown.value(&format!("{path}/{}", p.name), "in"))
    });
    let hottest = shown.value(&circuit.name, "hottest").unwrap_or(f64::NAN);
    let coldest = inlets.fold(hottest, f64::min);
    let at = |k: f64| {
        format!(
            "at {}: density {}, heat capacity {}, viscosity {}",
            style.quantity(Kind::Temperature, k),
            style.quantity(Kind::Density, coolant.density(k)),
            style.quantity(Kind::SpecificHeat, coolant.heat_capacity(k)),
            style.quantity(Kind::Viscosity, coolant.viscosity(k)),
        )
    };
    let mut out = format!("  {}\n", at(coldest));
    if hottest - coldest > 0.05 {
        out.push_str(&format!("  {}\n", at(hottest)));
    }
    out
}

/// Runs: where they go, what flows, what they fall.
fn runs(circuit: &Circuit, shown: &Shown<'_>) -> String {
    if circuit.runs.iter().filter(|run| !run.parts.is_empty()).count() < 2 {
        return String::new();
    }
    let mut table = Table::new(&[
        "<run",
        "<from",
        "<to",
        "flow",
        "\u{b1}",
        "mass flow",
        "total pressure\nfrom",
        "total pressure\nto",
    ]);
    for run in circuit.runs.iter().filter(|run| !run.parts.is_empty()) {
        let path = format!("{}/{}", circuit.name, run.name);
        let junction = |index: usize| {
            let name = &circuit.junctions[index].name;
            (name.clone(), shown.at(&format!("{}/{name}", circuit.name), "pressure"))
        };
        let ((from, from_at), (to, to_at)) = (junction(run.from), junction(run.to));
        table.row([
            run.name.clone(),
            from,
            to,
            shown.at(&path, "flow"),
            shown.at(&path, "flow_uncertainty"),
            shown.at(&path, "mass_flow"),
            from_at,
            to_at,
        ]);
    }
    let table = table.without_empty_columns();
    section("  Runs (mass flows add up to zero at every junction)", table)
}

/// The budget of a circuit while it is put down.
struct Budget<'a> {
    style: &'a Style,
    circuit: &'a Circuit,
    shown: &'a Shown<'a>,
    /// Head of all pumps along a way around, Pa.
    driven: f64,
    table: Table,
    /// The largest difference between a run's parts and its junctions, Pa.
    open: f64,
}

/// Where the pressure goes, part after part.
fn pressures(style: &Style, circuit: &Circuit, shown: &Shown<'_>) -> String {
    let table =
        Table::new(&["<run and part", "<", "fall", "\u{b1}", "of pump\nhead", "by\nheight"]);
    let driven = driving_head(circuit, shown);
    let mut budget = Budget { style, circuit, shown, driven, table, open: 0.0 };
    for run in circuit.runs.iter().filter(|run| !run.parts.is_empty()) {
        budget.run(run);
    }
    let open = style.quantity(Kind::PressureDifference, budget.open);
    let mut out = section(
        "  Where the pressure goes (falls of total pressure; a pump\u{2019}s is below zero)",
        budget.table.without_empty_columns(),
    );
    out.push_str(&format!(
        "  The line of a run is its parts{} added up: the total pressure at its start less that at its end\n  \
         (checked for every run; largest difference {open}). Around a closed loop that is 0: the falls are\n  \
         what the pumps give.\n",
        " and heights"
    ));
    out.push_str(&tee_sets(circuit));
    out
}

/// Which published formulas the tees and headers follow.
fn tee_sets(circuit: &Circuit) -> String {
    let mut out = String::new();
    for set in [TeeSet::Unified, TeeSet::Gardel, TeeSet::Crane] {
        let mut names: Vec<&str> = Vec::new();
        for junction in &circuit.junctions {
            if matches!(junction.joint, Joint::Tee { set: of, .. } if of == set) {
                // The tees of a header carry its name and a number.
                let name = junction.name.split('.').next().unwrap_or_default();
                if !names.contains(&name) {
                    names.push(name);
                }
            }
        }
        if !names.is_empty() {
            out.push_str(&wrapped(&format!("{} by the {}.", names.join(", "), set.words()), 2));
        }
    }
    if !out.is_empty() {
        out.insert_str(0, "  Tees and headers:\n");
    }
    out
}

impl Budget<'_> {
    fn run(&mut self, run: &Run) {
        let path = format!("{}/{}", self.circuit.name, run.name);
        let pressure = |junction: usize| {
            let name = &self.circuit.junctions[junction].name;
            self.shown.value(&format!("{}/{name}", self.circuit.name), "pressure").unwrap_or(0.0)
        };
        let ends = pressure(run.from) - pressure(run.to);
        let tees = [(run.from, "entry_fall"), (run.to, "exit_fall")].map(|(junction, name)| {
            let tee = matches!(self.circuit.junctions[junction].joint, Joint::Tee { .. });
            let value = |name: &str| self.shown.value(&path, name).unwrap_or(0.0);
            if tee {
                (junction, value(name), value(&format!("{name}_uncertainty")))
            } else {
                (junction, 0.0, 0.0)
            }
        });
        let mut sum = tees[0].1 + tees[1].1;
        for placed in &run.parts {
            sum += self.of(run, &placed.name, "fall") + self.of(run, &placed.name, "lift");
        }
        self.open = self.open.max((ends - sum).abs());
        // A piece of a header is one line: its tees at both ends and the short length between them.
        let piece = run.automatic && run.parts.iter().all(|placed| placed.automatic);
        let name = |junction: usize| self.circuit.junctions[junction].name.clone();
        let (from, to) = (name(run.from), name(run.to));
        let way =
            if run.from == run.to { "closed loop".to_owned() } else { format!("{from} to {to}") };
        if piece {
            let first = &run.parts[0].name;
            let own = self.of(run, first, "fall_uncertainty");
            let doubt = own.hypot(tees[0].2).hypot(tees[1].2);
            self.row(run, (run.name.clone(), "header"), (sum, doubt), Some(first));
            return;
        }
        self.row(run, (run.name.clone(), &way), (sum, 0.0), None);
        self.tee(run, &from, (tees[0].1, tees[0].2));
        for placed in &run.parts {
            let fall = self.of(run, &placed.name, "fall");
            if !(placed.automatic && fall.abs() < LEAST_FALL) {
                let name = Some(placed.name.as_str());
                let label = format!("  {}", placed.name);
                let doubt = self.of(run, &placed.name, "fall_uncertainty");
                self.row(run, (label, placed.part.word()), (fall, doubt), name);
            }
        }
        self.tee(run, &to, (tees[1].1, tees[1].2));
    }

    fn of(&self, run: &Run, part: &str, name: &str) -> f64 {
        let path = format!("{}/{}/{part}", self.circuit.name, run.path);
        self.shown.value(&path, name).unwrap_or(0.0)
    }

    fn tee(&mut self, run: &Run, junction: &str, (fall, doubt): (f64, f64)) {
        if fall.abs() >= LEAST_FALL {
            self.row(run, (format!("  at {junction}"), "tee"), (fall, doubt), None);
        }
    }

    /// A row: of a part, of a tee, or of a whole run, with its fall and what that may be off by.
    fn row(
        &mut self,
        run: &Run,
        (label, word): (String, &str),
        (fall, doubt): (f64, f64),
        part: Option<&str>,
    ) {
        let pressure = |pa: f64| self.style.quantity(Kind::PressureDifference, pa);
        let lift = part.map_or(0.0, |part| self.of(run, part, "lift"));
        let height = if lift == 0.0 { dash() } else { pressure(lift) };
        let share = if part.is_some() || word == "tee" { share(fall, self.driven) } else { dash() };
        self.table.row([
            label,
            word.to_owned(),
            pressure(fall),
            if doubt == 0.0 { dash() } else { pressure(doubt) },
            share,
            height,
        ]);
    }
}

/// A fall smaller than this of a part that stands by itself is not worth a line, Pa.
const LEAST_FALL: f64 = 0.5;

fn dash() -> String {
    "-".to_owned()
}

fn share(fall: f64, driven: f64) -> String {
    if driven <= 0.0 {
        return dash();
    }
    let percent = (1000.0 * fall / driven).round() / 10.0;
    // Never minus zero.
    format!("{:.1} %", percent + 0.0)
}

/// The head of all pumps that stand one behind the other; of those side by side, once, Pa.
fn driving_head(circuit: &Circuit, shown: &Shown<'_>) -> f64 {
    let head = |path: &str| shown.value(&format!("{}/{path}", circuit.name), "head").unwrap_or(0.0);
    let mut sum: f64 = circuit.groups.iter().map(|group| head(&group.path)).sum();
    for (r, run) in circuit.runs.iter().enumerate() {
        for (p, placed) in run.parts.iter().enumerate() {
            if placed.part.as_pump().is_some() && !in_group(&circuit.groups, (r, p)) {
                sum += head(&format!("{}/{}", run.path, placed.name)).max(0.0);
            }
        }
    }
    sum
}
