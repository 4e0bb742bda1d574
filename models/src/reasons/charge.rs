//! Charge air and its stages.

use super::{Joins, Writer, sub};
use crate::charge::StageKind;
use crate::ids::Id;
use crate::kind::Kind;
use crate::results::Quantity;
use crate::results::quantities as q;

impl Writer<'_> {
    /// A way of charge air.
    pub(super) fn charge_air(&mut self, a: usize, quantity: &'static Quantity) {
        let path = &self.simulator.setup.model.charge_air[a];
        let last = path.stages.len().checked_sub(1).map(|last| Id::Stage(a, last));
        if quantity == &q::BOOST {
            self.own("p", &q::MANIFOLD_PRESSURE);
            self.result("p_a", Id::Site, &q::AMBIENT);
            self.is("p − p_a");
        } else if quantity == &q::MANIFOLD_DENSITY {
            self.own("p", &q::MANIFOLD_PRESSURE);
            self.own("T", &q::MANIFOLD);
        } else if quantity == &q::CHARGE_FLOW {
            self.number("w", path.flow, Kind::MassFlow);
            self.same();
        } else if quantity == &q::CHARGE_HEAT || quantity == &q::CHARGE_CONDENSED {
            let heat = quantity == &q::CHARGE_HEAT;
            for (s, stage) in path.stages.iter().enumerate() {
                if heat && !matches!(stage.kind, StageKind::Cooler { .. }) {
                    continue;
                }
                let what = if heat { &q::STAGE_HEAT } else { &q::STAGE_CONDENSED };
                self.result(&sub(if heat { "q" } else { "w" }, s + 1), Id::Stage(a, s), what);
            }
            self.all(Joins::Sum);
        } else if let Some(last) = last {
            let pressure = quantity == &q::MANIFOLD_PRESSURE;
            let (sign, what) =
                if pressure { ("p", &q::STAGE_PRESSURE_OUT) } else { ("T", &q::STAGE_OUT) };
            self.result(sign, last, what);
            self.same();
        }
    }

    /// A stage.
    pub(super) fn stage(&mut self, (a, s): (usize, usize), quantity: &'static Quantity) {
        let model = self.simulator.setup.model;
        let before = s.checked_sub(1).map(|before| Id::Stage(a, before));
        if quantity == &q::STAGE_IN {
            match before {
                Some(before) => {
                    self.result("T", before, &q::STAGE_OUT);
                    self.same();
                }
                None => self.number("T", model.site.temperature, Kind::Temperature),
            }
        } else if quantity == &q::STAGE_PRESSURE_IN {
            match before {
                Some(before) => {
                    self.result("p", before, &q::STAGE_PRESSURE_OUT);
                    self.same();
                }
                None => {
                    self.result("p_a", Id::Site, &q::AMBIENT);
                }
            }
        } else {
            self.own("T_in", &q::STAGE_IN);
            self.own("p_in", &q::STAGE_PRESSURE_IN);
            self.result("w", Id::ChargeAir(a), &q::CHARGE_FLOW);
            if let StageKind::Cooler { body } = model.charge_air[a].stages[s].kind {
                self.result("T_metal", Id::Body(body), &q::METAL_MEAN);
            }
            if quantity == &q::EFFECTIVENESS || quantity == &q::STAGE_HEAT {
                self.own("T_out", &q::STAGE_OUT);
            }
        }
    }
}
