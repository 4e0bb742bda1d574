//! Pump curves: points or a polynomial, with what belongs to them.

use std::sync::Arc;

use coolwright_models::fluids::Coolant;
use coolwright_models::laws::curve::Curve;
use coolwright_models::parts::{GRAVITY, PumpPower};

use super::{best_power, curve, ends, label, label_points, points};
use crate::diagnostic::Problem;
use crate::file::{Polynomial, PumpCurve};
use crate::lower::context::{Bound, Context, Given};
use crate::lower::usual::{PUMP_POWER, SHAFT_POWER};
use crate::lower::{fluid_of, named};
use crate::quantity::{
    self, Fraction, InWords, Kind, PressureDifference, RotationalSpeed, VolumeFlow, spoken,
};
use crate::text::{Span, Spanned};

/// Density of water at 20 °C, kg/m³ (IAPWS SR6-08: 998.21).
const WATER: f64 = 998.2;
/// Temperature at which curves in water are measured unless they say another, K.
const CURVE_TEMPERATURE: f64 = 293.15;
/// Where the best point lies when no efficiency is known, as a share of the free flow (common
/// practice, no source).
const BEST_SHARE: f64 = 0.7;
/// Speeds that pumps turn at, rad/s: 10 to 60000 rpm.
const PUMP_SPEED: Bound =
    Bound::Within(10.0 * std::f64::consts::TAU / 60.0, 60e3 * std::f64::consts::TAU / 60.0);

/// A pump as its curve tells it.
#[derive(Clone, Debug)]
pub(in crate::lower) struct PumpData {
    pub curve: Arc<Curve>,
    /// Flows between which the curve was given, m³/s.
    pub given: [f64; 2],
    /// Whether it comes from the two numbers of a label.
    pub by_label: bool,
    /// Density of its fluid, kg/m³.
    pub density: f64,
    /// Kinematic viscosity of its fluid, m²/s.
    pub viscosity: f64,
    /// Rotational speed, rad/s, where it is told.
    pub at_speed: Option<f64>,
    /// Power over flow at full speed, W, where the file tells it.
    pub power: Option<Arc<Curve>>,
    /// Net positive suction head required over flow, m, where the file tells it.
    pub suction_head: Option<Arc<Curve>>,
    /// Rise without flow, Pa, and flow without rise, m³/s.
    pub shut_off: f64,
    pub free_flow: f64,
    /// Voltage at which it was measured, V, where the file tells it.
    pub voltage: Option<f64>,
}

impl PumpData {
    /// The most hydraulic power on the curve, W.
    pub(in crate::lower) fn best_power(&self) -> f64 {
        best_power(&self.curve, self.free_flow)
    }

    /// Flow (m³/s) and head (m) at the best point: that of the highest efficiency, or 70 % of the free
    /// flow where no efficiency is known.
    pub(in crate::lower) fn best_point(&self) -> [f64; 2] {
        let efficiency = |flow: f64, power: &Curve| {
            flow * self.curve.value(flow) / power.value(flow).max(f64::MIN_POSITIVE)
        };
        let best = self.power.as_ref().map_or(BEST_SHARE, |power| {
            let shares = (1..=100).map(|k| f64::from(k) / 100.0);
            let at = |share: f64| efficiency(share * self.free_flow, power);
            shares.max_by(|a, b| at(*a).total_cmp(&at(*b))).unwrap_or(BEST_SHARE)
        });
        let flow = best * self.free_flow;
        [flow, self.curve.value(flow) / (self.density * GRAVITY)]
    }
}

/// A pump from its label.
pub(in crate::lower) fn labelled_pump(
    context: &mut Context<'_>,
    address: &str,
    shut_off: PressureDifference,
    free_flow: VolumeFlow,
    at_speed: Option<RotationalSpeed>,
) -> Option<PumpData> {
    let [rise, flow] = label(
        context,
        address,
        (shut_off, Bound::Within(1e2, 5e6)),
        (free_flow, Bound::Within(1e-6, 1.0)),
    );
    let curve = Curve::falling_ends(label_points(rise, flow)).ok()?;
    Some(PumpData {
        curve: Arc::new(curve),
        given: [0.0, flow],
        by_label: true,
        density: WATER,
        viscosity: Coolant::water().viscosity(CURVE_TEMPERATURE) / WATER,
        at_speed: at_speed.map(|n| {
            let number = (Kind::RotationalSpeed, n.si(), n.span());
            let at = format!("{address}:at_speed");
            context.structural(&at, number, PUMP_SPEED, "speed of the label")
        }),
        power: None,
        suction_head: None,
        shut_off: rise,
        free_flow: flow,
        voltage: None,
    })
}

/// A pump from its curve.
pub(in crate::lower) fn pump(
    context: &mut Context<'_>,
    (name, span): (&str, Span),
    spec: &PumpCurve,
) -> Option<PumpData> {
    let (curve, points, given) = match (&spec.points, &spec.polynomial) {
        (Some(list), None) => {
            let points = points(context, list, spec.rising.unwrap_or(false), "head")?;
            let given = [points[0][0], points[points.len() - 1][0]];
            (curve(context, points.clone(), list.span)?, Some(points), given)
        }
        (None, Some(polynomial)) => {
            let curve = polynomial_curve(context, polynomial, spec.rising.unwrap_or(false))?;
            let given = [0.0, curve.range().1];
            (curve, None, given)
        }
        _ => {
            let message =
                format!("the curve `{name}` needs `points` or `polynomial`, and not both");
            let help =
                "for example `points: [(\"{one VolumeFlow}\", \"{one PressureDifference}\"), …]`";
            context.problems.push(Problem::error(span, message).label("this curve").help(help));
            return None;
        }
    };
    let (density, viscosity) = fluid(context, spec);
    let at_speed = spec.at_speed.map(|n| context.checked(n, PUMP_SPEED, "speed of the curve"));
    let (shut_off, free_flow) = ends(&curve);
    let shape = Shape { curve: &curve, points: points.as_deref() };
    let power = told(power(context, spec, &shape))?;
    let suction_head = told(suction_head(context, spec, &shape))?;
    let curve = Arc::new(curve);
    Some(PumpData {
        curve,
        given,
        by_label: false,
        density,
        viscosity,
        at_speed,
        power,
        suction_head,
        shut_off,
        free_flow,
        voltage: spec.voltage.map(crate::quantity::Voltage::si).filter(|volts| *volts > 0.0),
    })
}

/// The curve of a polynomial.
fn polynomial_curve(
    context: &mut Context<'_>,
    spec: &Spanned<Polynomial>,
    rising: bool,
) -> Option<Curve> {
    let Polynomial { rise, flow, coefficients, to } = &spec.value;
    let rise = unit(context, Kind::PressureDifference, rise)?;
    let flow = unit(context, Kind::VolumeFlow, flow)?;
    let to = context.checked(*to, Bound::Within(1e-6, 1.0), "last flow of the polynomial");
    if !(1..=12).contains(&coefficients.value.len()) {
        let message = "a polynomial has between 1 and 12 coefficients";
        context.error(coefficients.span, message, "that of the power 0 first");
        return None;
    }
    let si = |(k, c): (i32, &quantity::Number)| c.si() * rise / flow.powi(k);
    let coefficients: Vec<f64> = (0..).zip(&coefficients.value).map(si).collect();
    let curve = match Curve::of_polynomial(&coefficients, to) {
        Ok(curve) => curve,
        Err(error) => {
            context.error(spec.span, error.to_string(), "this polynomial");
            return None;
        }
    };
    let value = |x: f64| curve.value(x);
    if value(0.0) <= 0.0 {
        let message = "the head of the polynomial without flow must be above zero";
        context.error(spec.span, message, "look at the coefficient of the power 0");
        return None;
    }
    let steps: Vec<f64> = (0..=200).map(|k| value(to * f64::from(k) / 200.0)).collect();
    let rises = curve.rises() || steps.windows(2).any(|pair| pair[1] > pair[0]);
    if rises && !rising {
        let help = "a falling curve is usual; add `rising: true` if it really rises";
        let problem = Problem::error(spec.span, "the head of the polynomial rises with flow");
        context.problems.push(problem.label("somewhere between no flow and `to`").help(help));
        return None;
    }
    if value(to * 1.001) >= value(to) {
        let message =
            "the polynomial must fall where it ends: beyond `to` it goes on as a straight line";
        context.error(spec.span, message, "choose a smaller `to`");
        return None;
    }
    Some(curve)
}

/// The size of a unit that stands by itself, in SI.
fn unit(context: &mut Context<'_>, kind: Kind, text: &Spanned<String>) -> Option<f64> {
    match quantity::parse(kind, &format!("1 {}", text.value)) {
        Ok(size) => Some(size),
        Err(error) => {
            let message = format!("`{}` is not the unit of {}", text.value, kind.name());
            let help = error.help.into_iter().next();
            context.problems.push(
                Problem::error(text.span, message)
                    .label("a unit alone, as in `\"kPa\"`")
                    .help_if(help),
            );
            None
        }
    }
}

/// Density (kg/m³) and kinematic viscosity (m²/s) of the fluid of a curve.
fn fluid(context: &mut Context<'_>, spec: &PumpCurve) -> (f64, f64) {
    let kelvin = spec.fluid_temperature.map_or(CURVE_TEMPERATURE, |t| {
        context.checked(t, Bound::Within(243.15, 393.15), "temperature of the curve's fluid")
    });
    if let Some(fluid) = &spec.fluid
        && (spec.density.is_some() || spec.viscosity.is_some())
    {
        let message = "a curve has `fluid`, or `density` and `viscosity`, and not both";
        context.error(fluid.span, message, "the fluid gives both");
    }
    let coolant = spec.fluid.as_ref().map_or_else(Coolant::water, |mix| {
        let of = named(context, &mix.value);
        fluid_of(&of, &context.values)
    });
    let plain = spec.fluid.is_none() && spec.fluid_temperature.is_none();
    let own = if plain { WATER } else { coolant.density(kelvin) };
    let density = spec.density.map_or(own, |d| {
        context.checked(d, Bound::Within(500.0, 2000.0), "density of the curve's fluid")
    });
    let viscosity = spec.viscosity.map_or_else(
        || coolant.viscosity(kelvin),
        |v| context.checked(v, Bound::Within(1e-4, 1.0), "viscosity of the curve's fluid"),
    );
    (density, viscosity / density)
}

/// A pump curve as lists and pairs are held against it.
struct Shape<'a> {
    curve: &'a Curve,
    /// Its points; none where it is a polynomial.
    points: Option<&'a [[f64; 2]]>,
}

/// Values over flow, SI, with their place; nothing where the file does not tell them.
type Samples = Option<(Span, Vec<[f64; 2]>)>;

/// A list of the file.
type List<'a, T> = Option<&'a Spanned<Vec<T>>>;

/// That something was wrong has been said.
struct Faulty;

/// A fault as `None`.
#[expect(clippy::option_option, reason = "absent and faulty are two different things")]
fn told<T>(answer: Result<Option<T>, Faulty>) -> Option<Option<T>> {
    answer.ok()
}

impl Shape<'_> {
    /// The values of a list, one for each point, or of pairs.
    fn samples<Q: Given>(
        &self,
        context: &mut Context<'_>,
        (list, pairs): (List<'_, Q>, List<'_, (VolumeFlow, Q)>),
        (bound, what): (Bound, &str),
    ) -> Result<Samples, Faulty> {
        match (list, pairs, self.points) {
            (None, None, _) => Ok(None),
            (Some(list), Some(pairs), _) => {
                let message = format!("the {what} of this curve is told twice");
                let problem = Problem::error(pairs.span, message).label("as pairs");
                context.problems.push(problem.also(list.span, "as a list"));
                Err(Faulty)
            }
            (Some(list), None, None) => {
                let message = format!("a polynomial has no points to list the {what} at");
                let help = "write pairs of flow and value, with `_at` behind the name of the list";
                let problem = Problem::error(list.span, message).label("one entry for each point?");
                context.problems.push(problem.help(help));
                Err(Faulty)
            }
            (Some(list), None, Some(points)) => {
                if list.value.len() != points.len() {
                    let (got, want) = (list.value.len(), points.len());
                    let message =
                        format!("this list has {got} entries, but the curve has {want} points");
                    context.error(list.span, message, "one entry for each point");
                    return Err(Faulty);
                }
                let values = list.value.iter().map(|v| context.checked(*v, bound, what));
                Ok(Some((list.span, points.iter().zip(values).map(|(p, v)| [p[0], v]).collect())))
            }
            (None, Some(pairs), _) => {
                let mut values = Vec::with_capacity(pairs.value.len());
                for (flow, value) in &pairs.value {
                    let flow = context.checked(*flow, Bound::NotNegative, "flow of a curve point");
                    values.push([flow, context.checked(*value, bound, what)]);
                }
                Ok(Some((pairs.span, values)))
            }
        }
    }
}

/// Power over flow from currents, powers or efficiencies.
fn power(
    context: &mut Context<'_>,
    spec: &PumpCurve,
    shape: &Shape<'_>,
) -> Result<Option<Arc<Curve>>, Faulty> {
    let faults = context.value_errors;
    let lists = (spec.power.as_ref(), spec.power_at.as_ref());
    let powers = shape.samples(context, lists, (Bound::Positive, "power"))?;
    let lists = (spec.current.as_ref(), spec.current_at.as_ref());
    let currents = shape.samples(context, lists, (Bound::Positive, "current"))?;
    let lists = (spec.efficiency.as_ref(), spec.efficiency_at.as_ref());
    let most = Bound::NotNegative;
    let efficiencies = shape.samples(context, lists, (most, "efficiency"))?;
    let (span, powers) = match (powers, currents, efficiencies) {
        (Some(powers), _, _) => powers,
        (None, Some((span, amperes)), _) => {
            let Some(voltage) = spec.voltage else {
                let message = "currents need the voltage at which they were measured";
                context.error(span, message, "add `voltage: \"13.5 V\"` to the curve");
                return Err(Faulty);
            };
            let volts = context.checked(voltage, Bound::Within(1.0, 1500.0), "voltage");
            (span, amperes.into_iter().map(|[flow, amps]| [flow, volts * amps]).collect())
        }
        (None, None, Some((span, shares))) => {
            check_efficiencies(context, spec)?;
            (span, powers_from_efficiency(&shares, shape.curve))
        }
        (None, None, None) => return Ok(None),
    };
    if context.value_errors == faults {
        over_unity(context, span, &powers, shape.curve)?;
    }
    over_flow(context, span, powers, "the power")
}

/// A pump that gives more power to the liquid than it takes does not exist.
fn over_unity(
    context: &mut Context<'_>,
    span: Span,
    powers: &[[f64; 2]],
    curve: &Curve,
) -> Result<(), Faulty> {
    let gives = |flow: f64| flow * curve.value(flow);
    let over = powers.iter().find(|&&[flow, power]| gives(flow) > power * (1.0 + 1e-9));
    let Some(&[flow, power]) = over else { return Ok(()) };
    let message = format!(
        "at {} this pump would take {} and give {}: {:.0} % efficiency",
        spoken(Kind::VolumeFlow, flow),
        spoken(Kind::Power, power),
        spoken(Kind::Power, gives(flow)),
        100.0 * gives(flow) / power
    );
    let help = "look for a slip in a unit: of the power, the current and its voltage, the flow or the head";
    context.problems.push(Problem::error(span, message).label("too little power").help(help));
    Err(Faulty)
}

/// A curve through at least two values.
fn over_flow(
    context: &mut Context<'_>,
    span: Span,
    values: Vec<[f64; 2]>,
    what: &str,
) -> Result<Option<Arc<Curve>>, Faulty> {
    if values.len() < 2 {
        context.error(span, format!("at least two points must tell {what}"), "too few");
        return Err(Faulty);
    }
    match Curve::new(values) {
        Ok(curve) => Ok(Some(Arc::new(curve))),
        Err(error) => {
            context.error(span, error.to_string(), "this curve");
            Err(Faulty)
        }
    }
}

/// An efficiency over 100 % is an error.
fn check_efficiencies(context: &mut Context<'_>, spec: &PumpCurve) -> Result<(), Faulty> {
    let list = spec.efficiency.iter().flat_map(|list| list.value.iter().copied());
    let pairs = spec.efficiency_at.iter().flat_map(|list| list.value.iter().map(|pair| pair.1));
    let over = |eta: &Fraction| eta.si() > 1.0 || eta.si() < 0.0;
    let Some(eta) = list.chain(pairs).find(over) else { return Ok(()) };
    let message = "an efficiency lies between 0 and 100 %";
    context.error(eta.span(), message, "no pump gives back more than it takes");
    Err(Faulty)
}

/// P = Q Δp/η at the points where water is moved against a pressure.
fn powers_from_efficiency(efficiencies: &[[f64; 2]], curve: &Curve) -> Vec<[f64; 2]> {
    let power = |&[flow, eta]: &[f64; 2]| {
        let moved = flow * curve.value(flow);
        (eta > 0.0 && moved > 0.0).then(|| [flow, moved / eta])
    };
    efficiencies.iter().filter_map(power).collect()
}

/// Net positive suction head required over flow.
fn suction_head(
    context: &mut Context<'_>,
    spec: &PumpCurve,
    shape: &Shape<'_>,
) -> Result<Option<Arc<Curve>>, Faulty> {
    let lists = (spec.npsh_required.as_ref(), spec.npsh_required_at.as_ref());
    let bound = Bound::Within(0.0, 100.0);
    match shape.samples(context, lists, (bound, "net positive suction head"))? {
        Some((span, heads)) => over_flow(context, span, heads, "the net positive suction head"),
        None => Ok(None),
    }
}

/// The power of a pump: told by its curve, or assumed from its best point.
pub(in crate::lower) fn power_of(
    context: &mut Context<'_>,
    address: &str,
    (data, engine): (&PumpData, bool),
) -> PumpPower {
    if let Some(curve) = &data.power {
        return PumpPower::Curve(curve.clone());
    }
    let best = data.best_power();
    let assumed = if engine { SHAFT_POWER.of(best) } else { PUMP_POWER.of(best) };
    PumpPower::Constant(context.assumed(&format!("{address}:power"), assumed))
}
