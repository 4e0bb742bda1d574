//! Tables of heat at the powers that the duty asks for: beyond their rows they go on straight.

use super::LoweredDuty;
use super::context::Context;
use crate::file::Case;
use crate::quantity::{Kind, Power, spoken};
use crate::text::Spanned;

/// Refuses what would make cold out of heat, or heat out of cold, beyond the rows of a table; where a
/// table goes on beyond its rows without that, it is noted.
pub(super) fn check(context: &mut Context<'_>, case: &Case, duty: &LoweredDuty) {
    let value = |address: &str| context.slot(address).map(|slot| context.values.get(slot));
    let (Some(full), Some(point)) = (value("duty:power"), value("duty:point")) else { return };
    let phases = duty.phases.iter().map(|phase| phase.power_share);
    let point_slot = context.slot("duty:point");
    let logged = duty.tracks.iter().filter(|(slot, _)| Some(*slot) == point_slot);
    let logged = logged.flat_map(|(_, track)| track.corners().map(|time| track.around(time)[0]));
    let told = std::iter::once(point).chain(phases).chain(logged);
    let mut powers: Vec<f64> = told.map(|s| s * full).collect();
    powers.sort_by(f64::total_cmp);
    powers.dedup();
    let engines = case.engines.iter().map(|(name, spec)| ("engines", name, spec.table.as_ref()));
    let coolers = case.coolers.iter().map(|(name, spec)| ("coolers", name, spec.table.as_ref()));
    for (group, name, table) in engines.chain(coolers) {
        if let Some(table) = table {
            of_body(context, &format!("{group}/{}", name.value), table, &powers);
        }
    }
}

fn of_body(
    context: &mut Context<'_>,
    body: &str,
    table: &Spanned<Vec<(Power, Power)>>,
    powers: &[f64],
) {
    let rows: Vec<[f64; 2]> = table.value.iter().map(|(p, q)| [p.si(), q.si()]).collect();
    let [first, second, ..] = rows[..] else { return };
    let [.., before, last] = rows[..] else { return };
    let watts = |si: f64| spoken(Kind::HeatRate, si);
    let on = |[x0, y0]: [f64; 2], [x1, y1]: [f64; 2], x: f64| y0 + (y1 - y0) * (x - x0) / (x1 - x0);
    let mut beyond = false;
    for &power in powers {
        let (heat, row) = if power < first[0] {
            (on(first, second, power), first)
        } else if power > last[0] {
            (on(before, last, power), last)
        } else {
            continue;
        };
        beyond = true;
        if heat * row[1] < 0.0 {
            context.error(
                table.span,
                format!(
                    "the table of heat of `{body}` comes to {} at {}, which is beyond its rows: give it a row \
                     for that power",
                    watts(heat),
                    watts(power)
                ),
                format!("its nearest row is {} at {}", watts(row[1]), watts(row[0])),
            );
            return;
        }
    }
    if beyond {
        let (least, most) = (watts(first[0]), watts(last[0]));
        context.notes.push(format!(
            "The duty asks for the heat of `{body}` beyond its table of {least} to {most}: it goes on straight."
        ));
    }
}
