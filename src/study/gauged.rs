//! What a gauge is off by of itself, where a limit is held against what it shows.

use coolwright_cases::lower::Ready;
use coolwright_models::gauge::Gauge;
use coolwright_models::ids::Id;

use super::Limit;

/// Half width of what the gauge under a limit is off by of itself, SI, as the case tells it; of a rise the errors of
/// its two gauges, which are off independently, as the root of the sum of squares. `None` where the limit is on no
/// reading, or no error is told.
pub(crate) fn own_error(ready: &Ready, limit: &Limit) -> Option<f64> {
    let model = &ready.model;
    let (path, name) = limit.of.rsplit_once(':')?;
    let error = |gauge: &Gauge| gauge.error.map(|slot| model.values.get(slot));
    let of = |id: Id| model.address(id) == path;
    if let Some(g) = (0..model.gauges.len()).find(|g| of(Id::Gauge(*g))) {
        return error(&model.gauges[g]).filter(|_| model.gauges[g].reading().name == name);
    }
    let r = (0..model.rises.len()).find(|r| of(Id::Rise(*r)))?;
    let rise = &model.rises[r];
    let [from, to] = [rise.from, rise.to].map(|g| error(&model.gauges[g]));
    if rise.shown(&model.gauges).name != name || from.or(to).is_none() {
        return None;
    }
    Some(from.unwrap_or(0.0).hypot(to.unwrap_or(0.0)))
}
