//! Gauges.

use super::{Comes, Writer};
use crate::gauge::{GaugePlace, Reads, Spot};
use crate::ids::Id;
use crate::kind::Kind;
use crate::results::Quantity;
use crate::results::quantities as q;

impl Writer<'_> {
    /// A gauge: what is there, and what it is known to show above that.
    pub(super) fn gauge(&mut self, g: usize, quantity: &'static Quantity) {
        self.there(g, quantity);
        let gauge = &self.simulator.setup.model.gauges[g];
        let is_off = self.simulator.setup.values.get(gauge.offset) != 0.0;
        if !is_off || quantity == &q::TRUE_TEMPERATURE {
            return;
        }
        let kind = match gauge.reads {
            Reads::Pressure => Kind::PressureDifference,
            Reads::Temperature => Kind::TemperatureDifference,
            Reads::Flow => Kind::VolumeFlow,
        };
        self.number("b", gauge.offset, kind);
        if let Comes::Formula(formula) = &mut self.reason.comes {
            formula.push_str(" + b");
        }
    }

    /// A rise: what two gauges show.
    pub(super) fn rise(&mut self, r: usize) {
        let model = self.simulator.setup.model;
        let rise = &model.rises[r];
        for (at, gauge) in [("to", rise.to), ("from", rise.from)] {
            let spec = &model.gauges[gauge];
            let sign = if spec.reads == Reads::Pressure { "p" } else { "T" };
            self.result(&format!("{sign}_{at}"), Id::Gauge(gauge), spec.reading());
        }
    }

    /// What is there where a gauge sits.
    fn there(&mut self, g: usize, quantity: &'static Quantity) {
        let gauge = &self.simulator.setup.model.gauges[g];
        if quantity == &q::READING_LAGGING {
            self.own("T", &q::TRUE_TEMPERATURE);
            if let Some(sheath) = gauge.sheath {
                self.number("τ₀", sheath.lag, Kind::Time);
                if let Some(at) = sheath.at {
                    self.number("Q₀", at, Kind::VolumeFlow);
                }
            }
            return;
        }
        let c = gauge.circuit;
        match gauge.place {
            GaugePlace::Part { run, part, spot } => {
                let id = Id::Part(c, run, part);
                let inlet = matches!(spot, Spot::Inlet);
                let (what, sign) = match gauge.reads {
                    Reads::Pressure if inlet => (&q::PRESSURE_IN, "p"),
                    Reads::Pressure => (&q::PRESSURE_OUT, "p"),
                    Reads::Temperature if inlet => (&q::COOLANT_IN, "T"),
                    Reads::Temperature => (&q::COOLANT_OUT, "T"),
                    Reads::Flow => (&q::MASS_FLOW, "m"),
                };
                let along = matches!(spot, Spot::Along { .. });
                if gauge.reads == Reads::Flow {
                    self.result(sign, Id::Run(c, run), what);
                    let at = if inlet { &q::COOLANT_IN } else { &q::COOLANT_OUT };
                    if let Some(temperature_k) = self.results.of(id, at).filter(|_| !along) {
                        self.density("ρ", c, temperature_k);
                        self.is("m/ρ");
                    }
                    return;
                }
                if along {
                    let before = if sign == "p" { &q::PRESSURE_IN } else { &q::COOLANT_IN };
                    self.result(&format!("{sign}_in"), id, before);
                    self.result(&format!("{sign}_out"), id, what);
                    return;
                }
                self.result(sign, id, what);
                self.same();
            }
            GaugePlace::Junction(junction) => {
                let id = Id::Junction(c, junction);
                if gauge.reads == Reads::Temperature {
                    self.result("T", id, &q::JUNCTION_TEMPERATURE);
                    return self.same();
                }
                self.result("p_t", id, &q::JUNCTION_PRESSURE);
                self.reason.comes = Comes::Together;
            }
        }
    }
}
