//! Air that may come round again where a case says nothing of it, and limits that this would break.

use coolwright_cases::lower::LimitSpec;
use coolwright_cases::quantity::{Kind, parse};
use coolwright_models::fluids::Site;
use coolwright_models::ids::Id;
use coolwright_models::inputs::ROAD_SPEED;
use coolwright_models::point::OperatingPoint;
use coolwright_models::results::quantities as q;

use super::view::{View, named};
use super::{Finding, Findings, Severity};

/// Share of the air in front that has often been through before, where a vehicle stands and nothing parts front and back
/// (common practice, no source: 5 to 20 %).
const USUAL: f64 = 0.1;
/// Road speed from which on the wind keeps what has been through behind, m/s (common practice, no source).
const WIND_M_S: f64 = 6.0;

/// Limits that hold at the operating point, and would not where some air came round.
pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    let Some(point) = view.point else { return };
    let model = &view.ready.model;
    if model.inputs.value(&model.values, ROAD_SPEED) >= WIND_M_S {
        return;
    }
    for a in (0..model.air_paths.len()).filter(|&a| model.air_paths[a].round.is_none()) {
        let Some(warmer) = warmer(view, point, a) else { continue };
        let limits = broken(view, point, (a, warmer));
        if limits.is_empty() {
            continue;
        }
        let path = model.address(Id::AirPath(a));
        found.list.push(Finding {
            severity: Severity::Warning,
            beside: true,
            subject: "air that may come round",
            what: format!(
                "were {} of the air in front of `{path}` air that has been through, it would be {} warmer there, and {} would not hold",
                view.say(Kind::Fraction, USUAL),
                view.say(Kind::TemperatureDifference, warmer),
                named(&limits)
            ),
            places: std::iter::once(path.clone()).chain(limits).collect(),
            why: "standing still that much often comes round (common practice, no source), and nothing is said of it here, so none is counted".to_owned(),
            remedy: format!(
                "part front and back by seals and baffles and write `recirculation: \"0 %\"` in `{path}`, or write what share comes round"
            ),
        });
    }
}

/// By how much the air in front of a path would be warmer, K: what is to be given off stays the same, and so does what the
/// air warms by. `T_f − T = s (T_e − T)` with `T_e − T_f` held: `T_f − T = s/(1 − s) q/(w c_p)`. `None` where no air goes that way.
fn warmer(view: &View<'_>, point: &OperatingPoint, a: usize) -> Option<f64> {
    let model = &view.ready.model;
    let of = |id, quantity| point.results.of(id, quantity).filter(|value| value.is_finite());
    let flow = of(Id::AirPath(a), &q::AIR_MASS_FLOW).filter(|flow| *flow > 0.0)?;
    let cores = model.air_paths[a].cores.iter();
    let heat: f64 = cores.filter_map(|&core| of(Id::Core(core), &q::REJECTED)).sum();
    let [air_k, altitude, humidity] =
        [model.site.temperature, model.site.altitude, model.site.humidity]
            .map(|slot| model.values.get(slot));
    let air = Site::new(air_k, altitude, humidity).ok()?.air();
    let rise = heat / (flow * air.heat_capacity(air_k));
    Some(USUAL / (1.0 - USUAL) * rise).filter(|warmer| *warmer > 0.0)
}

/// The limits on temperatures of what this air cools that hold by less than that much.
fn broken(view: &View<'_>, point: &OperatingPoint, (a, warmer): (usize, f64)) -> Vec<String> {
    let model = &view.ready.model;
    let cooled = model.hangs_on(Id::AirPath(a));
    let near = |limit: &&LimitSpec| {
        let catalogue = &point.results.catalogue;
        let Some(at) = catalogue.find(&limit.of.value) else { return false };
        let (entry, value) = (&catalogue.entries()[at], point.results.values[at]);
        let most = limit.max.as_ref().and_then(|text| parse(Kind::Temperature, &text.value).ok());
        let margin = most.map(|most| most - value);
        entry.quantity.kind == Kind::Temperature
            && margin.is_some_and(|margin| margin >= 0.0 && margin < warmer)
            && model.hangs_on(entry.id).iter().any(|circuit| cooled.contains(circuit))
    };
    let limits = view.ready.limits.iter().filter(near);
    limits.map(|limit| format!("limits/{}", limit.name)).collect()
}
