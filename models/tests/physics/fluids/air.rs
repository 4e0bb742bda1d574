//! The atmosphere and moist air.

use coolwright_models::fluids::{Air, Site, air, atmosphere, water};
use coolwright_solver::scalar::Dual;

use super::table::{Table, near};

#[test]
fn the_standard_atmosphere_meets_its_table() {
    for row in Table::read("fluids_printed_atmosphere.csv").rows() {
        let height = row.number("geopotential_m");
        let (t, p) =
            (atmosphere::standard_temperature_k(height), atmosphere::standard_pressure_pa(height));
        near("temperature", t, row.number("temperature_k"), 0.005);
        row.check("pressure_pa", p, 6e-6);
        row.check("density", Air::dry(p).density(t), 6e-6);
    }
    // Geometric altitudes, a printed table of ISO 2533: bar to four digits.
    for (altitude, bar) in [(1000.0, 0.8988), (2000.0, 0.7950), (5000.0, 0.5405)] {
        let site = Site::new(288.15, altitude, 0.0).expect("in range");
        near("pressure", site.pressure_pa() / 1e5, bar, 5.1e-5);
    }
}

/// Çengel & Boles, Thermodynamics, example 14-1: a room of 75 m³ at 25 °C, 100 kPa, 75 %: 85.61 kg
/// of dry air and 1.3 kg of vapour, humidity ratio 0.0152, 63.8 kJ per kg of dry air. The book
/// reads its steam table and takes R = 0.287 and c_p = 1.005 kJ/(kg K) and 298 K for 25 °C, which is
/// undone here.
#[test]
fn a_room_of_moist_air_meets_the_textbook() {
    let site = Site::new(298.15, 0.0, 0.75).and_then(|site| site.with_pressure(100e3)).expect("ok");
    let ratio = site.humidity_ratio();
    let mass = site.density() * 75.0;
    let book = (298.0 / 298.15) * (0.287 / 0.28705287);
    near("dry air", mass / (1.0 + ratio), 85.61 * book, 0.01);
    near("vapour", mass * ratio / (1.0 + ratio), 1.3, 0.05);
    near("humidity ratio", ratio, 0.0152, 0.00006);
}

#[test]
fn dry_air_meets_the_real_gas_as_far_as_stated() {
    for row in Table::read("fluids_air.csv").rows() {
        let t = row.number("t_k");
        let air = Air::dry(101325.0);
        row.check("ideal_heat_capacity", air.heat_capacity(t), 2.5e-4);
        if t >= 250.0 {
            row.check("viscosity", air.viscosity(t), 2e-3);
            row.check("conductivity", air.conductivity(t), 4e-3);
            row.check("viscosity_300kpa", air.viscosity(t), 3e-3);
            row.check("conductivity_300kpa", air.conductivity(t), 8e-3);
            row.check("heat_capacity", air.heat_capacity(t), 3e-3);
            row.check("density", air.density(t), 1e-3);
            row.check("density_300kpa", air.at_pressure(3e5).density(t), 3e-3);
        }
    }
}

#[test]
fn moist_air_meets_the_real_mixture_as_far_as_stated() {
    for row in Table::read("fluids_moist_air.csv").rows() {
        let (t, p) = (row.number("t_k"), row.number("p_pa"));
        let moist = Air { pressure_pa: p, humidity_ratio: row.number("humidity_ratio") };
        let bars = p / 1e5;
        row.check("density", moist.density(t), 2e-3);
        row.check("heat_capacity", moist.heat_capacity(t), 3e-3 * bars.max(1.0));
        if t > 273.15 {
            let vapour_pa = row.number("relative_humidity") * water::saturation_pressure_pa(t);
            let ratio = air::humidity_ratio(vapour_pa, p);
            row.check("humidity_ratio", ratio, 6e-3 * bars.max(1.0));
            near("dew point", moist.dew_point_k(), row.number("dew_point_k"), 0.12 * bars.max(1.0));
        }
    }
}

#[test]
fn air_carries_derivatives() {
    type Law = (&'static str, fn(&Air, Dual<1>) -> Dual<1>);
    let air = Air { pressure_pa: 250e3, humidity_ratio: 0.02 };
    let laws: [Law; 6] = [
        ("density", |a, t| a.density(t)),
        ("heat capacity", |a, t| a.heat_capacity(t)),
        ("enthalpy", |a, t| a.enthalpy(t)),
        ("viscosity", |a, t| a.viscosity(t)),
        ("conductivity", |a, t| a.conductivity(t)),
        ("saturated humidity ratio", |a, t| a.saturated_humidity_ratio(t)),
    ];
    for t in [230.0, 273.15, 320.0, 395.0] {
        for (name, law) in laws {
            let h = 1e-3;
            let value = |t: f64| law(&air, Dual::variable(t)).value;
            let want = (value(t + h) - value(t - h)) / (2.0 * h);
            let got = law(&air, Dual::variable(t)).slope();
            near(&format!("{name} at {t} K"), got, want, 1e-6 * want.abs() + 1e-12);
        }
        let slope = air.enthalpy(Dual::variable(t)).slope();
        near("slope of enthalpy", slope, air.heat_capacity(t), 1e-9 * slope);
    }
    near("enthalpy at 0 °C", air.enthalpy(273.15), 0.0, 1e-9);
    assert!(air.saturated_humidity_ratio(420.0).is_infinite());
    assert!(air.heat_capacity(5.0).is_finite() && air.enthalpy(5.0).is_finite());
}

#[test]
fn sites_that_cannot_be_are_refused() {
    assert!(Site::new(f64::NAN, 0.0, 0.5).is_err());
    assert!(Site::new(300.0, 12e3, 0.5).is_err());
    assert!(Site::new(300.0, 0.0, 1.5).is_err());
    assert!(Site::new(343.0, 9000.0, 1.0).is_err(), "more vapour than air");
    let site = Site::new(300.0, 0.0, 0.5).expect("in range");
    assert!(site.with_pressure(10e3).is_err());
    // Dry air has no dew point; air at saturation is at it.
    let dry = Site::new(300.0, 0.0, 0.0).expect("in range");
    assert!(dry.dew_point_k().abs() < f64::EPSILON);
    let wet = Site::new(300.0, 0.0, 1.0).expect("in range");
    near("dew point", wet.dew_point_k(), 300.0, 1e-6);
    near("relative humidity", wet.air().relative_humidity(300.0), 1.0, 1e-12);
}
