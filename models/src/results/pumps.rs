//! Results of pumps: where each stands on its curve, what holds its speed, what it takes, and its
//! margin at the inlet.

use super::Recorder;
use super::quantities as q;
use crate::circuit::Arrangement;
use crate::ids::Id;
use crate::laws::pump::suction_head_m;
use crate::parts::{Duty, LawInputs, Pump, ViscousFactors};
use crate::slots::Values;

/// The coolant at the inlet of a pump.
#[derive(Clone, Copy, Debug)]
pub(super) struct Inlet {
    /// Absolute total pressure, Pa.
    pub(super) total_pa: f64,
    /// Absolute static pressure, Pa.
    pub(super) static_pa: f64,
    /// Absolute vapour pressure, Pa; no number where none is told.
    pub(super) vapour_pa: f64,
    /// Density, kg/m³.
    pub(super) density: f64,
}

/// Where a pump stands on its curve.
#[derive(Debug)]
pub(super) struct PumpPoint<'a> {
    pump: &'a Pump,
    /// Rise of total pressure, Pa.
    head: f64,
    /// Volume flow, m³/s.
    flow: f64,
    duty: Duty,
    /// Current from the supply, A.
    current: f64,
    /// Heat into the coolant, W.
    heat: f64,
    inlet: Inlet,
    /// Speed in rad/s, where it is known.
    turning: Option<f64>,
}

impl<'a> PumpPoint<'a> {
    /// The point of a pump at a mass flow (kg/s) with a rise of total pressure (Pa).
    pub(super) fn of(
        pump: &'a Pump,
        place: &LawInputs<'_, f64>,
        (flow_kg_s, head): (f64, f64),
        inlet: Inlet,
    ) -> Self {
        let values: &Values = place.values.values();
        let duty = pump.duty(place, flow_kg_s);
        let current = pump.drive.supply().map_or(0.0, |volts| duty.power_w / values.get(volts));
        Self {
            pump,
            head,
            flow: flow_kg_s / place.density,
            duty,
            current,
            heat: values.get(pump.heat_share) * duty.power_w,
            inlet,
            turning: pump.curve_speed.map(|slot| duty.speed * values.get(slot)),
        }
    }

    /// Current from the supply, A.
    pub(super) fn current(&self) -> f64 {
        self.current
    }

    /// Net positive suction head available, m.
    fn suction_head(&self) -> f64 {
        let Inlet { total_pa, vapour_pa, density, .. } = self.inlet;
        suction_head_m(total_pa, vapour_pa, density)
    }

    /// Net positive suction head required, m, where it is given.
    fn required(&self) -> Option<f64> {
        self.pump.suction_head_required_m(self.duty.speed, self.flow)
    }

    /// Net positive suction head available less required, m. A pump that stands still requires none.
    fn suction_head_margin(&self) -> f64 {
        self.suction_head() - self.required().unwrap_or(0.0)
    }

    fn margin(&self) -> f64 {
        self.inlet.static_pa - self.inlet.vapour_pa
    }

    /// Records a single pump.
    pub(super) fn record(&self, id: Id, to: &mut impl Recorder) {
        Whole::of(self).record(id, to);
        to.put(id, &q::SPEED, self.duty.speed);
        to.put(id, &q::SPEED_HELD, self.duty.held_by.number());
        if self.pump.curve_speed.is_some() {
            to.put(id, &q::TURNING, self.turning.unwrap_or(0.0));
        }
        if self.pump.viscous.is_some() {
            let one = [1.0, 1.0, 1.0, 0.0];
            let of = |f: ViscousFactors<f64>| [f.flow, f.head, f.efficiency, f.parameter];
            let [flow, head, efficiency, parameter] = self.duty.viscous.map_or(one, of);
            to.put(id, &q::VISCOUS_FLOW, flow);
            to.put(id, &q::VISCOUS_HEAD, head);
            to.put(id, &q::VISCOUS_EFFICIENCY, efficiency);
            to.put(id, &q::VISCOUS_PARAMETER, parameter);
        }
    }
}

/// A pump, or several equal ones under one name, as one.
#[derive(Debug)]
pub(super) struct Whole {
    electric: bool,
    head: f64,
    flow: f64,
    /// Hydraulic power, W.
    hydraulic: f64,
    power: f64,
    current: f64,
    heat: f64,
    margin: f64,
    suction_head: f64,
    /// Required, and the least margin, m.
    required: Option<(f64, f64)>,
}

impl Whole {
    fn of(unit: &PumpPoint<'_>) -> Self {
        Self {
            electric: unit.pump.drive.supply().is_some(),
            head: unit.head,
            flow: unit.flow,
            hydraulic: unit.head * unit.flow,
            power: unit.duty.power_w,
            current: unit.current,
            heat: unit.heat,
            margin: unit.margin(),
            suction_head: unit.suction_head(),
            required: unit
                .pump
                .suction_head
                .as_ref()
                .map(|_| (unit.required().unwrap_or(0.0), unit.suction_head_margin())),
        }
    }

    /// Several as one: heads add up in series, flows in parallel, where the head is the most of any, as one may
    /// stand behind its shut check valve. Margins are those of the pump that has the least, and of the same
    /// pump its suction heads.
    pub(super) fn all<'a>(
        mut units: impl Iterator<Item = PumpPoint<'a>>,
        arrangement: Arrangement,
    ) -> Option<Self> {
        let mut sum = Self::of(&units.next()?);
        for unit in units {
            let next = Self::of(&unit);
            match arrangement {
                Arrangement::Series => sum.head += next.head,
                Arrangement::Parallel => {
                    sum.head = sum.head.max(next.head);
                    sum.flow += next.flow;
                }
            }
            sum.hydraulic += next.hydraulic;
            sum.power += next.power;
            sum.current += next.current;
            sum.heat += next.heat;
            sum.margin = sum.margin.min(next.margin);
            let margin = |whole: &Self| whole.required.map_or(whole.suction_head, |(_, m)| m);
            if margin(&next) < margin(&sum) {
                (sum.suction_head, sum.required) = (next.suction_head, next.required);
            }
        }
        Some(sum)
    }

    pub(super) fn record(&self, id: Id, to: &mut impl Recorder) {
        to.put(id, &q::HEAD, self.head);
        to.put(id, &q::FLOW, self.flow);
        if self.electric {
            to.put(id, &q::POWER, self.power);
            to.put(id, &q::CURRENT, self.current);
        } else {
            to.put(id, &q::SHAFT_POWER, self.power);
        }
        let efficiency = if self.power > 0.0 { self.hydraulic / self.power } else { 0.0 };
        to.put(id, &q::PUMP_EFFICIENCY, efficiency);
        to.put(id, &q::PUMP_HEAT, self.heat);
        to.put(id, &q::SUCTION_MARGIN, self.margin);
        to.put(id, &q::SUCTION_HEAD, self.suction_head);
        if let Some((required, margin)) = self.required {
            to.put(id, &q::SUCTION_HEAD_REQUIRED, required);
            to.put(id, &q::SUCTION_HEAD_MARGIN, margin);
        }
    }
}
