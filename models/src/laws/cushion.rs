//! The gas over the coolant of a closed tank, under a cap that opens both ways.

use coolwright_solver::roots::bracketed;

/// The gas of a tank as it was shut in when the circuit was filled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShutIn {
    /// Its volume, m³.
    pub volume_m3: f64,
    /// Its temperature, K.
    pub temperature_k: f64,
    /// Its pressure, vapour included, Pa absolute.
    pub pressure_pa: f64,
    /// Vapour pressure of the coolant at that temperature, Pa absolute.
    pub vapour_pa: f64,
}

impl ShutIn {
    /// What a cap keeps in then.
    ///
    /// N = (p₁ − p_v(T₁))·V₁/T₁
    ///
    /// A dry pressure below zero (coolant that boils there) counts as none.
    pub fn content(&self) -> Content {
        let dry_pa = (self.pressure_pa - self.vapour_pa).max(0.0);
        Content { gas: dry_pa * self.volume_m3 / self.temperature_k, ..Content::default() }
    }
}

/// What a cap has kept in, and what it has let out and in since the filling.
///
/// Dry gas is counted as p·V/T, in Pa·m³/K: its amount times the gas constant.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Content {
    /// Dry gas over the surface.
    pub gas: f64,
    /// Dry gas that has gone out.
    pub gas_out: f64,
    /// Dry air that has come in.
    pub gas_in: f64,
    /// Coolant that has gone out, kg.
    pub lost_kg: f64,
    /// The same, m³, as warm as it was when it went.
    pub lost_m3: f64,
}

/// Volume of gas at 15 °C and 101.325 kPa (ISO 13443), m³, for each Pa·m³/K of it.
pub const NORMAL_M3: f64 = 288.15 / 101_325.0;

/// What has happened to the room for the gas since.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Changed {
    /// Temperature of the gas, K: that of the coolant in the tank.
    pub temperature_k: f64,
    /// Vapour pressure of the coolant at that temperature, Pa absolute.
    pub vapour_pa: f64,
    /// What the coolant has grown by, m³: it takes this from the gas.
    pub expansion_m3: f64,
    /// What the hoses would have swollen by if the gas stood at zero gauge, m³.
    pub swelling_m3: f64,
    /// What they swell more for each Pa over that, m³/Pa, zero or more.
    pub swelling_m3_pa: f64,
    /// Density of the coolant in the tank, kg/m³.
    pub density: f64,
}

/// A cap: a valve that opens outwards and one that opens inwards. It holds nothing between them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CapValves {
    /// Pressure of the air around it, Pa absolute.
    pub ambient_pa: f64,
    /// Gauge pressure at which it opens outwards, Pa, above zero.
    pub opens_pa: f64,
    /// Pressure below the air around it at which it lets air in, Pa, zero or more.
    pub vacuum_pa: f64,
}

/// What a cap does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CapState {
    /// It lets air in: the pressure would be lower without it.
    LetsIn,
    /// It is shut.
    Shut,
    /// It is open: gas goes out, and coolant where no gas is left.
    Open,
}

/// The gas as it is now.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gas {
    /// Gauge pressure over the surface, Pa.
    pub gauge_pa: f64,
    /// Its volume, m³.
    pub volume_m3: f64,
    /// What the hoses have swollen by, m³.
    pub swelling_m3: f64,
    /// What the cap does.
    pub cap: CapState,
    /// What is kept in after that.
    pub content: Content,
}

/// To this much the pressure of a gas is found, Pa.
const CLOSE_PA: f64 = 1e-6;

/// Pressure of the gas over a tank that holds a content, and what the cap makes of that content.
///
/// (p − p_v(T))·V/T = N, V = V₁ − ΔV_coolant + S₀ + S₁·(p − p_amb) + m_lost/ρ
///
/// p between p_amb − vacuum and p_amb + opens: beyond them the cap opens, and N becomes what stays at the
/// pressure of the cap; where no room is left, coolant goes out. The dry gas is ideal and saturated with
/// vapour; what dissolves in the coolant is left out. Over time each state is worked out from the content
/// that the one before has left: what went out comes back only as air, through the vacuum valve.
///
/// Sources: ideal gas and Dalton's law.
pub fn gas(filled_m3: f64, content: Content, changed: Changed, cap: CapValves) -> Gas {
    let amount = content.gas * changed.temperature_k;
    let swelling = |gauge_pa: f64| changed.swelling_m3 + changed.swelling_m3_pa * gauge_pa;
    let grown = changed.expansion_m3 - content.lost_kg / changed.density;
    let room = |gauge_pa: f64| filled_m3 - grown + swelling(gauge_pa);
    let holds =
        |gauge_pa: f64| (cap.ambient_pa + gauge_pa - changed.vapour_pa) * room(gauge_pa).max(0.0);
    // Above zero where the gas at this pressure would need less room than there is. It rises with
    // the pressure wherever there is room.
    let spare = |gauge_pa: f64| holds(gauge_pa) - amount;
    let (least, most) = (-cap.vacuum_pa, cap.opens_pa);
    let (gauge_pa, state) = if spare(most) <= 0.0 {
        (most, CapState::Open)
    } else if spare(least) >= 0.0 {
        (least, CapState::LetsIn)
    } else {
        // The ends differ in sign, so there is a root; numbers that are none end at the cap.
        bracketed(spare, least, most, CLOSE_PA)
            .map_or((most, CapState::Open), |root| (root.x, CapState::Shut))
    };
    let volume_m3 = room(gauge_pa);
    let mut left = content;
    let stays = holds(gauge_pa).max(0.0) / changed.temperature_k;
    match state {
        CapState::Open => {
            left.gas = stays.min(content.gas);
            left.gas_out += content.gas - left.gas;
            let lost_m3 = (-volume_m3).max(0.0);
            left.lost_m3 += lost_m3;
            left.lost_kg += lost_m3 * changed.density;
        }
        CapState::LetsIn => {
            left.gas = stays.max(content.gas);
            left.gas_in += left.gas - content.gas;
        }
        CapState::Shut => {}
    }
    Gas {
        gauge_pa,
        volume_m3: volume_m3.max(0.0),
        swelling_m3: swelling(gauge_pa),
        cap: state,
        content: left,
    }
}
