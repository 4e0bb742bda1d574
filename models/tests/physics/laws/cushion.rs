//! The gas under a cap, against the gas laws worked by hand and a printed formula for sizing tanks.

use coolwright_models::fluids::Coolant;
use coolwright_models::laws::cushion::{
    self, CapState, CapValves, Changed, Content, Gas, NORMAL_M3, ShutIn,
};

const AIR_PA: f64 = 101_325.0;

fn cap(opens_kpa: f64) -> CapValves {
    CapValves { ambient_pa: AIR_PA, opens_pa: opens_kpa * 1e3, vacuum_pa: 5e3 }
}

fn dry(volume_m3: f64, temperature_k: f64) -> ShutIn {
    ShutIn { volume_m3, temperature_k, pressure_pa: AIR_PA, vapour_pa: 0.0 }
}

fn still(temperature_k: f64, expansion_m3: f64) -> Changed {
    Changed {
        temperature_k,
        vapour_pa: 0.0,
        expansion_m3,
        swelling_m3: 0.0,
        swelling_m3_pa: 0.0,
        density: 1000.0,
    }
}

/// The gas as it was shut in, in another state.
fn gas(shut_in: ShutIn, changed: Changed, cap: CapValves) -> Gas {
    cushion::gas(shut_in.volume_m3, shut_in.content(), changed, cap)
}

fn near(what: &str, got: f64, want: f64, share: f64) {
    assert!((got - want).abs() <= share * want.abs().max(1e-9), "{what}: got {got}, want {want}");
}

/// Boyle: 2 L at 101.325 kPa pressed to 1.5 L stand at 135.1 kPa; Gay-Lussac: warmed from 300 to 360 K
/// at the same volume, at 121.59 kPa.
#[test]
fn a_dry_cushion_follows_boyle_and_gay_lussac() {
    let pressed = gas(dry(2e-3, 300.0), still(300.0, 0.5e-3), cap(500.0));
    near("pressed", pressed.gauge_pa + AIR_PA, AIR_PA * 2.0 / 1.5, 1e-9);
    near("its volume", pressed.volume_m3, 1.5e-3, 1e-9);
    let warmed = gas(dry(2e-3, 300.0), still(360.0, 0.0), cap(500.0));
    near("warmed", warmed.gauge_pa + AIR_PA, AIR_PA * 1.2, 1e-9);
    assert_eq!(warmed.cap, CapState::Shut);
}

/// Dalton: the vapour of water stands beside the dry gas. Filled at 20 °C (2.3388 kPa) with 1 L, warmed to
/// 90 °C (70.117 kPa) with 0.4 L of expansion: (101.325 − 2.3388) · 1/0.6 · 363.15/293.15 + 70.117 =
/// 274.49 kPa absolute. Vapour pressures: IAPWS-IF97, printed in steam tables (from memory).
#[test]
fn vapour_stands_beside_the_dry_gas() {
    let shut_in = ShutIn { vapour_pa: 2338.8, ..dry(1e-3, 293.15) };
    let changed = Changed { vapour_pa: 70_117.0, ..still(363.15, 0.4e-3) };
    let got = gas(shut_in, changed, cap(500.0));
    near("pressure, Pa abs", got.gauge_pa + AIR_PA, 274_490.0, 1e-4);
}

/// A compression tank, ASHRAE Handbook, HVAC Systems and Equipment 2000, ch. 12, eq. (12), without the
/// term of the pipes' own growth: V_t = V_s (v₂/v₁ − 1)/(p_a/p₁ − p_a/p₂), isothermal, as reprinted in
/// public sizing sheets with v = 0.01602 ft³/lb at 40 °F and 0.01677 at 220 °F.
///
/// A tank of that size, filled from atmospheric pressure to 18.7 psia, must stand at 39.7 psia when hot.
#[test]
fn a_tank_sized_by_the_printed_formula_ends_at_its_pressure() {
    const PSI: f64 = 6894.757;
    let (p_a, p_1, p_2) = (14.696 * PSI, 18.7 * PSI, 39.7 * PSI);
    let system_m3 = 11.36;
    let grown = system_m3 * (0.01677 / 0.01602 - 1.0);
    let tank_m3 = grown / (p_a / p_1 - p_a / p_2);
    let shut_in = ShutIn {
        volume_m3: tank_m3 * p_a / p_1,
        temperature_k: 300.0,
        pressure_pa: p_1,
        vapour_pa: 0.0,
    };
    let valves = CapValves { ambient_pa: p_a, opens_pa: 50.0 * PSI, vacuum_pa: 5e3 };
    let got = gas(shut_in, still(300.0, grown), valves);
    near("hot pressure", got.gauge_pa + p_a, p_2, 1e-9);
    // The expansion itself, by our densities of water; the printed volumes have four digits.
    let water = Coolant::water();
    let ratio = water.density(277.594) / water.density(377.594);
    near("v₂/v₁", ratio, 0.01677 / 0.01602, 0.5 / 1602.0 + 0.5 / 1677.0);
}

/// With hoses that swell by S₁ for each Pa, p is the root of (p_a + g)(V₁ − ΔV + S₁ g) = p₁ V₁: a quadratic.
#[test]
fn swelling_hoses_give_the_root_of_a_quadratic() {
    let (v, e, s) = (1e-3, 0.4e-3, 0.5e-9);
    let changed = Changed { swelling_m3_pa: s, ..still(300.0, e) };
    let got = gas(dry(v, 300.0), changed, cap(500.0));
    let (a, b, c) = (s, v - e + s * AIR_PA, AIR_PA * (v - e) - AIR_PA * v);
    let g = (-b + (b * b - 4.0 * a * c).sqrt()) / (2.0 * a);
    near("gauge pressure", got.gauge_pa, g, 1e-9);
    near("swelling", got.swelling_m3, s * g, 1e-9);
}

/// The cap is a ceiling and a floor. Where no room is left, coolant goes out.
#[test]
fn the_cap_opens_above_and_below() {
    let open = gas(dry(1e-3, 300.0), still(300.0, 0.6e-3), cap(100.0));
    assert_eq!((open.gauge_pa, open.cap), (100e3, CapState::Open));
    near("gas left", open.volume_m3, 0.4e-3, 1e-9);
    assert_eq!(open.content.lost_m3, 0.0);
    let full = gas(dry(1e-3, 300.0), still(300.0, 1.3e-3), cap(100.0));
    assert_eq!((full.gauge_pa, full.volume_m3, full.cap), (100e3, 0.0, CapState::Open));
    near("lost", full.content.lost_m3, 0.3e-3, 1e-9);
    // Cooled by 30 K without a change of volume: 10 % below the air, but the cap lets air in at 5 kPa.
    let cold = gas(dry(1e-3, 300.0), still(270.0, 0.0), cap(100.0));
    assert_eq!((cold.gauge_pa, cold.cap), (-5e3, CapState::LetsIn));
    // A cushion of nothing holds nothing: any growth opens the cap, none leaves it at the vacuum valve.
    let none = gas(dry(0.0, 300.0), still(300.0, 1e-6), cap(100.0));
    assert_eq!(none.cap, CapState::Open);
}

/// The pressure rises with growth and with temperature, without a jump, up to the cap.
#[test]
fn the_pressure_never_jumps() {
    let at = |t: f64, e: f64| -> Gas { gas(dry(1e-3, 300.0), still(t, e), cap(100.0)) };
    let mut last = at(300.0, 0.0).gauge_pa;
    for step in 1..=2000 {
        let here = at(300.0, f64::from(step) * 1e-6).gauge_pa;
        assert!(here >= last - 1e-6 && here - last < 500.0, "step {step}: {last} to {here} Pa");
        last = here;
    }
}

/// A litre of gas pressed to 0.4 L under a cap of 100 kPa loses what 0.4 L at 201.325 kPa do not hold; back
/// at its old volume it stands at 201.325 · 0.4 kPa absolute, were it not for the vacuum valve, which lets in
/// what is missing to 96.325 kPa. The amounts are those of p·V at one temperature (Boyle).
#[test]
fn what_a_cap_lets_out_comes_back_as_air() {
    let valves = cap(100.0);
    let shut_in = dry(1e-3, 300.0);
    let hot = cushion::gas(1e-3, shut_in.content(), still(300.0, 0.6e-3), valves);
    let kept = 201_325.0 * 0.4e-3 / 300.0;
    near("kept", hot.content.gas, kept, 1e-12);
    near("gone", hot.content.gas_out, AIR_PA * 1e-3 / 300.0 - kept, 1e-12);
    let cold = cushion::gas(1e-3, hot.content, still(300.0, 0.0), valves);
    assert_eq!((cold.gauge_pa, cold.cap), (-5e3, CapState::LetsIn));
    near("come in", cold.content.gas_in, (96_325.0 - 80_530.0) * 1e-3 / 300.0, 1e-12);
    // Hot again: the cap does not open before the gas is back at the 201.325 kPa that it left.
    let again = cushion::gas(1e-3, cold.content, still(300.0, 0.5e-3), valves);
    assert_eq!(again.cap, CapState::Shut);
    near("again", again.gauge_pa + AIR_PA, 2.0 * 96_325.0, 1e-9);
    // A normal litre: n R T/p at 15 °C and 101.325 kPa.
    near("a litre at 288.15 K", NORMAL_M3 * dry(1e-3, 288.15).content().gas, 1e-3, 1e-12);
}

/// Coolant that has gone out leaves room: cooled back to the filling, the gas has that much more than before.
#[test]
fn coolant_that_has_gone_out_is_missing_when_cold() {
    let valves = cap(100.0);
    let hot = cushion::gas(1e-3, dry(1e-3, 300.0).content(), still(300.0, 1.3e-3), valves);
    let changed = Changed { density: 1040.0, ..still(300.0, 0.0) };
    let cold = cushion::gas(1e-3, hot.content, changed, valves);
    // 0.3 L of 1000 kg/m³ are 0.3/1.04 L of 1040 kg/m³.
    near("room", cold.volume_m3, 1e-3 + 0.3e-3 / 1.04, 1e-12);
    assert_eq!(cold.cap, CapState::LetsIn);
    assert_eq!(cold.content.lost_m3.to_bits(), hot.content.lost_m3.to_bits());
    let same =
        cushion::gas(1e-3, Content { gas: 0.0, ..hot.content }, still(300.0, 1.3e-3), valves);
    near("nothing more goes", same.content.lost_m3, 0.3e-3, 1e-9);
}
