//! Liquid water.

use coolwright_models::fluids::{Base, Coolant, Share, water};

use super::table::{Table, near};

#[test]
fn water_meets_the_values_printed_by_iapws() {
    for row in Table::read("fluids_printed_iapws.csv").rows() {
        let (x, y) = (row.number("x"), row.number("y"));
        let got = match row.text("function") {
            "volume" => 1.0 / water::liquid(x, y).density,
            "enthalpy" => water::liquid(x, y).enthalpy,
            "heat_capacity" => water::liquid(x, y).heat_capacity,
            "saturation_pa" => water::saturation_pressure_pa(x),
            "saturation_k" => water::saturation_temperature_k(x),
            "viscosity" => water::viscosity(x, y),
            "conductivity" => water::conductivity(x, y),
            other => panic!("no function {other}"),
        };
        row.check("want", got, 5e-9);
    }
}

#[test]
fn water_meets_an_independent_program_at_more_states() {
    for row in Table::read("fluids_water_iapws.csv").rows() {
        let (t, p) = (row.number("t_k"), row.number("p_pa"));
        let state = water::liquid(t, p);
        row.check("density", state.density, 1e-8);
        // Near 0 °C the enthalpy is a small difference of large terms.
        row.check("enthalpy", state.enthalpy, 5e-8);
        row.check("heat_capacity", state.heat_capacity, 1e-8);
        row.check("viscosity", water::viscosity(t, state.density), 1e-8);
        row.check("conductivity", water::conductivity(t, state.density), 1e-8);
    }
}

#[test]
fn water_meets_the_scientific_formulation() {
    for row in Table::read("fluids_water.csv").rows() {
        let (t, p) = (row.number("t_k"), row.number("p_pa"));
        let state = water::liquid(t, p);
        row.check("density", state.density, 3e-5);
        row.check("heat_capacity", state.heat_capacity, 1e-3);
        row.check("viscosity", water::viscosity(t, state.density), 1e-3);
        row.check("conductivity", water::conductivity(t, state.density), 1e-3);
        row.check("saturation_pa", water::saturation_pressure_pa(t), 2.5e-4);
    }
}

#[test]
fn saturated_water_meets_the_scientific_formulation() {
    for row in Table::read("fluids_water_saturated.csv").rows() {
        let t = row.number("t_k");
        row.check("vapour_density", water::vapour_density(t), 1e-3);
        row.check("heat_of_evaporation", water::heat_of_evaporation(t), 1e-3);
        row.check("surface_tension", water::surface_tension(t), 3e-3);
    }
    // IAPWS R1-76(2014), table 1 (from memory): °C, mN/m.
    for (celsius, want) in [(50.0, 67.94), (100.0, 58.91), (150.0, 48.74), (200.0, 37.67)] {
        near("surface tension", water::surface_tension(celsius + 273.15) * 1e3, want, 0.006);
    }
}

/// IAPWS SR6-08 at 298.15 K and 0.1 MPa: 997.0470 kg/m³, 4181.45 J/(kg K), 889.997 µPa s. Our
/// coolant is taken at 0.2 MPa, which adds 0.0045 % to density (R7-97).
#[test]
fn water_as_a_coolant_meets_iapws_at_25_degrees() {
    let coolant = Coolant::new(Base::Water, Share::ByVolume(0.3)).expect("water ignores the share");
    near("density", coolant.density(298.15), 997.0470 * 1.000045, 0.01);
    near("heat capacity", coolant.heat_capacity(298.15), 4181.45, 0.5);
    near("viscosity", coolant.viscosity(298.15) * 1e6, 889.997, 0.1);
    assert!(coolant.volume_share().abs() < f64::EPSILON);
}
