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
    /// It is open: gas, and coolant where no gas is left, has gone out.
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
    /// Coolant for which no room was left, m³: it went out through the cap.
    pub lost_m3: f64,
    /// What the cap does.
    pub cap: CapState,
}

/// To this much the pressure of a gas is found, Pa.
const CLOSE_PA: f64 = 1e-6;

/// Pressure of the gas over a tank from what was shut in and what has happened since.
///
/// (p − p_v(T))·V/T = (p₁ − p_v(T₁))·V₁/T₁, V = V₁ − ΔV_coolant + S₀ + S₁·(p − p_amb)
///
/// p between p_amb − vacuum and p_amb + opens: beyond them the cap opens. The dry gas is ideal and
/// saturated with vapour; what dissolves in the coolant is left out. The mass of dry gas is that of the
/// filling, whatever a cap has let out or in before: a circuit that has been hot once has less.
///
/// A dry pressure below zero at the filling (coolant that boils there) counts as none.
///
/// Sources: ideal gas and Dalton's law.
pub fn gas(shut_in: ShutIn, changed: Changed, cap: CapValves) -> Gas {
    let dry_pa = (shut_in.pressure_pa - shut_in.vapour_pa).max(0.0);
    let amount = dry_pa * shut_in.volume_m3 / shut_in.temperature_k * changed.temperature_k;
    let swelling = |gauge_pa: f64| changed.swelling_m3 + changed.swelling_m3_pa * gauge_pa;
    let room = |gauge_pa: f64| shut_in.volume_m3 - changed.expansion_m3 + swelling(gauge_pa);
    // Above zero where the gas at this pressure would need less room than there is. It rises with
    // the pressure wherever there is room.
    let spare = |gauge_pa: f64| {
        (cap.ambient_pa + gauge_pa - changed.vapour_pa) * room(gauge_pa).max(0.0) - amount
    };
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
    Gas {
        gauge_pa,
        volume_m3: volume_m3.max(0.0),
        swelling_m3: swelling(gauge_pa),
        lost_m3: (-volume_m3).max(0.0),
        cap: state,
    }
}
