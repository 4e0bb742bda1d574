//! Quantities as people write them, as they must not be written, and as they are shown.

use coolwright_cases::quantity::{Kind, UnitSystem, parse, parse_flow, show, to_unit};

/// Expected values follow by hand from the definitions: inch 25.4 mm, US gallon 231 in³, pound
/// 0.45359237 kg, standard gravity 9.80665 m/s², Btu/lb 2326 J/kg.
#[test]
fn quantities_are_read_as_people_write_them() {
    let cases: &[(Kind, &str, f64)] = &[
        (Kind::Length, "1.5 in", 0.0381),
        (Kind::Length, "1.5in", 0.0381),
        (Kind::Length, "1-1/2 in", 0.0381),
        (Kind::Length, "1 1/2 in", 0.0381),
        (Kind::Length, "1½ in", 0.0381),
        (Kind::Length, "3/4 in", 0.01905),
        (Kind::Length, "3/4\"", 0.01905),
        (Kind::Length, "¾″", 0.01905),
        (Kind::Length, "-32 mm", -0.032),
        (Kind::Length, "−32 mm", -0.032),
        (Kind::Length, ".5 m", 0.5),
        (Kind::Length, "5e-3 m", 0.005),
        (Kind::Length, "12 ft 6 in", 12.5 * 0.3048),
        (Kind::Length, "12'-6\"", 12.5 * 0.3048),
        (Kind::Length, "2'6\"", 2.5 * 0.3048),
        (Kind::Length, "2'6½″", 30.5 * 0.0254),
        (Kind::Length, "12ft6in", 12.5 * 0.3048),
        (Kind::Length, "5 ft 6-1/2 in", 66.5 * 0.0254),
        (Kind::Length, "5 ft, 6½ in", 66.5 * 0.0254),
        (Kind::Length, "-1 ft 6 in", -1.5 * 0.3048),
        (Kind::Length, "1 yd 1 ft 1 in", 49.0 * 0.0254),
        (Kind::Time, "1 h 2 min 5 s", 3725.0),
        (Kind::Time, "1:02:05", 3725.0),
        (Kind::Time, "5:29.2", 329.2),
        (Kind::Mass, "3 lb 8 oz", 3.5 * 0.45359237),
        (Kind::PressureDifference, "25 ftH2O", 25.0 * 304.8 * 9.80665),
        (Kind::PressureDifference, "25 ft of water", 25.0 * 304.8 * 9.80665),
        (Kind::Distance, "4700 ft", 1432.56),
        (Kind::Distance, "1450 m", 1450.0),
        (Kind::VolumeFlow, "12 gpm", 12.0 * 3.785411784e-3 / 60.0),
        (Kind::VolumeFlow, "12 GPM", 12.0 * 3.785411784e-3 / 60.0),
        (Kind::VolumeFlow, "45 L/min", 7.5e-4),
        (Kind::VolumeFlow, "45 l / min", 7.5e-4),
        (Kind::VolumeFlow, "3.6 m3/h", 1e-3),
        (Kind::VolumeFlow, "3.6 m³/h", 1e-3),
        (Kind::VolumeFlow, "3.6 m^3/h", 1e-3),
        (Kind::AirFlow, "2000 cfm", 2000.0 * 0.028316846592 / 60.0),
        (Kind::PressureDifference, "15 psi", 103421.3594),
        (Kind::PressureDifference, "15 psid", 103421.3594),
        (Kind::PressureDifference, "1.1 bar", 1.1e5),
        (Kind::AirPressureDifference, "1 inH2O", 249.08891),
        (Kind::AirPressureDifference, "1 in H2O", 249.08891),
        (Kind::AirPressureDifference, "1 inH₂O", 249.08891),
        (Kind::GaugePressure, "15 psig", 103421.3594),
        (Kind::GaugePressure, "15 psi", 103421.3594),
        (Kind::GaugePressure, "1 bar g", 1e5),
        (Kind::GaugePressure, "1 bar(g)", 1e5),
        (Kind::GaugePressure, "1 barg", 1e5),
        (Kind::GaugePressure, "100 kPa gauge", 1e5),
        (Kind::AbsolutePressure, "101 kPa abs", 1.01e5),
        (Kind::AbsolutePressure, "101 kPa(a)", 1.01e5),
        (Kind::AbsolutePressure, "101 kPa", 1.01e5),
        (Kind::AbsolutePressure, "15 psia", 103421.3594),
        (Kind::AbsolutePressure, "29.92 inHg", 29.92 * 25.4 * 13.5951 * 9.80665),
        (Kind::Temperature, "195 °F", 654.67 / 1.8),
        (Kind::Temperature, "195F", 654.67 / 1.8),
        (Kind::Temperature, "90 degC", 363.15),
        (Kind::Temperature, "90°C", 363.15),
        (Kind::Temperature, "-40 C", 233.15),
        (Kind::TemperatureDifference, "18 °F", 10.0),
        (Kind::TemperatureDifference, "6 °C", 6.0),
        (Kind::TemperatureDifference, "6 K", 6.0),
        (Kind::Temperature, "293.15 K", 293.15),
        (Kind::Power, "480 hp", 480.0 * 745.6998715822702),
        (Kind::Power, "350 kW", 3.5e5),
        (Kind::HeatRate, "60 Btu/min", 1055.05585262),
        (Kind::MassFlow, "24 lb/min", 24.0 * 0.45359237 / 60.0),
        (Kind::Fraction, "30 %", 0.3),
        (Kind::Fraction, "30%", 0.3),
        (Kind::Fraction, "0.3", 0.3),
        (Kind::Angle, "90°", std::f64::consts::FRAC_PI_2),
        (Kind::Angle, "90 deg", std::f64::consts::FRAC_PI_2),
        (Kind::Speed, "65 mph", 65.0 * 0.44704),
        (Kind::Time, "14 s", 14.0),
        (Kind::Time, "35 min", 2100.0),
        (Kind::RotationalSpeed, "1450 1/min", 1450.0 * std::f64::consts::TAU / 60.0),
        (Kind::RotationalSpeed, "6000 rpm", 200.0 * std::f64::consts::PI),
        (Kind::HeatCapacity, "700 kJ/K", 7e5),
        (Kind::SpecificHeat, "4.18 kJ/(kg·K)", 4180.0),
        (Kind::SpecificHeat, "4.18 kJ/kg K", 4180.0),
        (Kind::SpecificHeat, "4.18 kJ/kg/K", 4180.0),
        (Kind::SpecificHeat, "1 Btu/lb°F", 4186.8),
        (Kind::FilmCoefficient, "120 W/m²K", 120.0),
        (Kind::FilmCoefficient, "120 W/(m2 K)", 120.0),
        (Kind::FilmCoefficient, "120 W/(m^2*K)", 120.0),
        (Kind::Consumption, "360 g/kWh", 1e-7),
        (Kind::Number, "0.9", 0.9),
        (Kind::Count, "2", 2.0),
        (Kind::Volume, "5 gal", 5.0 * 3.785411784e-3),
        (Kind::Volume, "12 fl oz", 12.0 * 3.785411784e-3 / 128.0),
        (Kind::Area, "600 sq in", 600.0 * 6.4516e-4),
        (Kind::Density, "8.34 lb/gal", 8.34 * 0.45359237 / 3.785411784e-3),
        (Kind::HeatPerMass, "18400 BTU/lb", 18400.0 * 2326.0),
    ];
    for &(kind, text, want) in cases {
        let got = parse(kind, text).unwrap_or_else(|error| panic!("{text} as {kind:?}: {error}"));
        let near = (got - want).abs() <= 1e-9 * want.abs();
        assert!(near, "{text} as {kind:?}: got {got} in SI, want {want}");
    }
}

#[test]
fn a_flow_is_a_volume_or_a_mass() {
    assert_eq!(parse_flow("60 L/min"), Ok((Kind::VolumeFlow, 1e-3)));
    assert_eq!(parse_flow("0.5 kg/s"), Ok((Kind::MassFlow, 0.5)));
    let error = parse_flow("1 kW").expect_err("a power is no flow").to_string();
    assert!(error.contains("expected a volume flow or a mass flow, found a power"), "{error}");
}

#[test]
fn what_is_no_quantity_is_refused_with_help() {
    let cases: &[(Kind, &str, &[&str])] = &[
        (Kind::Length, "12 gpm", &["expected a length, found a volume flow", "mm, cm"]),
        (Kind::VolumeFlow, "12", &["expected a volume flow, found `12` without a unit", "12 gpm"]),
        (Kind::VolumeFlow, "12 gmp", &["unknown unit `gmp`", "did you mean `gpm`?"]),
        (Kind::Power, "12 kw", &["unknown unit `kw`", "did you mean `kW`?"]),
        (Kind::VolumeFlow, "gpm", &["does not begin with a number"]),
        (Kind::VolumeFlow, "", &["found an empty text"]),
        (Kind::VolumeFlow, "  ", &["found an empty text"]),
        (Kind::VolumeFlow, "1,200 L/min", &["comma", "`1200`", "`1.200`"]),
        (Kind::Length, "1,5 in", &["the decimal sign is a point: `1.5`"]),
        (Kind::Length, "1 200 mm", &["without separators"]),
        (Kind::Length, "1'200 mm", &["without separators"]),
        (Kind::Length, "1'200 ft", &["without separators"]),
        (Kind::Length, "2'6", &["expected inches after `ft`", "write \"… ft 6 in\""]),
        (Kind::Length, "1_200 mm", &["without separators"]),
        (Kind::Length, "1e300 mm", &["beyond anything real for a length"]),
        (Kind::Length, "1e999 mm", &["too large"]),
        (Kind::Length, "1e-999 mm", &["too small"]),
        (Kind::Length, "NaN mm", &["not a finite number"]),
        (Kind::Length, "inf", &["not a finite number"]),
        (Kind::Length, "-infinity mm", &["not a finite number"]),
        (Kind::Length, "10-20 mm", &["write one number and one unit"]),
        (Kind::Length, "1.2.3 mm", &["cannot be read"]),
        (Kind::Length, "1/0 in", &["unknown unit"]),
        (Kind::Length, "5 m in", &["unknown unit"]),
        (Kind::Temperature, "90°", &["expected a temperature, found an angle", "`°C` or `°F`"]),
        (Kind::Temperature, "20 K", &["-253 °C", "`coolers/motor:rise`"]),
        (Kind::GaugePressure, "16 lb", &["found a mass", "write \"16 psi\""]),
        (Kind::Temperature, "-500 °F", &["below absolute zero"]),
        (Kind::AbsolutePressure, "15 psig", &["expected an absolute pressure, found a gauge"]),
        (Kind::GaugePressure, "101 kPa abs", &["expected a gauge pressure, found an absolute"]),
        (Kind::PressureDifference, "15 psig", &["expected a pressure difference, found a gauge"]),
        (Kind::AbsolutePressure, "-1 kPa", &["beyond anything real"]),
        (Kind::Fraction, "30", &["found `30` without `%`", "write \"30 %\""]),
        (Kind::Fraction, "8", &["for 8 % write \"8 %\"", "for 8 times as much \"800 %\""]),
        (Kind::PressureDifference, "25 ft", &["a head is a pressure here", "write \"25 ftH2O\""]),
        (Kind::PressureDifference, "7 m", &["write \"7 mH2O\""]),
        (Kind::PressureDifference, "25 ft of head", &["is a head", "in `ftH2O`"]),
        (
            Kind::Length,
            "-16",
            &["a dash size", "16 is nominally 1 in", "common practice, no source"],
        ),
        (Kind::Length, "dash 10", &["10 is nominally 5/8 in"]),
        (Kind::Length, "AN20", &["20 is nominally 1-1/4 in", "measure yours"]),
        (Kind::Length, "-8 AN", &["8 is nominally 1/2 in"]),
        (Kind::Length, "DN25", &["a nominal size"]),
        (Kind::Length, "1 NPT", &["a nominal size"]),
        (Kind::Length, "12 ft 14 in", &["must be less than one `ft`"]),
        (Kind::Length, "6 in 12 ft", &["unknown unit"]),
        (Kind::Length, "12 ft 6", &["expected inches after `ft`"]),
        (Kind::Length, "12 ft -6 in", &["unknown unit"]),
        (Kind::Length, "3 ft 2 min", &["expected inches after `ft`"]),
        (Kind::Time, "5:75", &["is no time", "`min:s` or `h:min:s`"]),
        (Kind::Time, "1:2:3:4", &["is no time"]),
        (Kind::AirFlow, "700 gpm", &["a unit for flows of liquids, not of air"]),
        (Kind::VolumeFlow, "3 cfm", &["a unit for flows of air, not of liquids"]),
        (Kind::Count, "0", &["from 1 up"]),
        (Kind::Count, "1.5", &["from 1 up"]),
        (Kind::Number, "3 mm", &["expected a plain number, found a length"]),
    ];
    for &(kind, text, wanted) in cases {
        let error = match parse(kind, text) {
            Ok(si) => panic!("{text} as {kind:?} must be refused, gave {si}"),
            Err(error) => error.to_string(),
        };
        for part in wanted {
            assert!(error.contains(part), "{text} as {kind:?}: {error:?} lacks {part:?}");
        }
    }
}

#[test]
fn letter_case_that_could_change_a_value_is_never_guessed() {
    assert_eq!(parse(Kind::Power, "1 mW"), Ok(1e-3));
    assert_eq!(parse(Kind::Power, "1 MW"), Ok(1e6));
    assert_eq!(parse(Kind::Voltage, "1 mV"), Ok(1e-3));
    assert!(parse(Kind::Voltage, "1 MV").is_err(), "no megavolts in a vehicle");
    assert!(parse(Kind::Length, "1 M").is_err());
    // Per second of what? A turn or a radian: a factor of six.
    assert!(parse(Kind::RotationalSpeed, "1 1/s").is_err());
}

#[test]
fn quantities_are_shown_in_the_units_of_the_reader() {
    use UnitSystem::{Metric, Si, Us};
    let cases = [
        (Kind::VolumeFlow, 7.5e-4, Metric, "45 L/min"),
        (Kind::VolumeFlow, 7.5e-4, Us, "11.9 gpm"),
        (Kind::VolumeFlow, 7.5e-4, Si, "0.00075 m³/s"),
        (Kind::Temperature, 363.15, Metric, "90 °C"),
        (Kind::Temperature, 363.15, Us, "194 °F"),
        (Kind::Temperature, 273.15 - 0.01, Metric, "0 °C"),
        (Kind::TemperatureDifference, 10.0 / 1.8, Us, "10 °F"),
        (Kind::TemperatureDifference, 10.0 / 1.8, Metric, "5.56 K"),
        (Kind::PressureDifference, 103421.3594, Us, "15 psi"),
        (Kind::PressureDifference, 103421.3594, Metric, "103 kPa"),
        (Kind::GaugePressure, 103421.3594, Us, "15 psig"),
        (Kind::AbsolutePressure, 101325.0, Metric, "101 kPa abs"),
        (Kind::AirPressureDifference, 249.08891, Us, "1 inH2O"),
        (Kind::Length, 0.0381, Us, "1.5 in"),
        (Kind::Length, 3.1, Us, "10.2 ft"),
        (Kind::Length, 0.0381, Metric, "38.1 mm"),
        (Kind::Length, 3.1, Metric, "3.1 m"),
        (Kind::Length, 0.0381, Si, "0.0381 m"),
        (Kind::Distance, 1450.0, Us, "4757 ft"),
        (Kind::Velocity, 2.0, Us, "6.56 ft/s"),
        (Kind::Power, 357935.9383594897, Us, "480 hp"),
        (Kind::HeatRate, 1055.05585262 / 60.0, Us, "1 Btu/min"),
        (Kind::HeatRate, 350e3, Metric, "350 kW"),
        (Kind::Angle, std::f64::consts::FRAC_PI_2, Metric, "90°"),
        (Kind::Fraction, 0.3, Metric, "30 %"),
        (Kind::Number, -0.0, Metric, "0"),
        (Kind::Number, -1e-30, Metric, "-1e-30"),
        (Kind::Number, 9.9996, Metric, "10"),
        (Kind::Number, 123456.7, Metric, "123457"),
        (Kind::Number, f64::NAN, Metric, "unknown"),
        (Kind::Time, 2100.0, Metric, "35 min"),
    ];
    for (kind, si, system, want) in cases {
        assert_eq!(show(kind, si, system).to_string(), want, "{kind:?} {si} {system:?}");
    }
    assert_eq!(to_unit(Kind::Length, 3.048, UnitSystem::Us), (120.0, "in"));
}

#[test]
fn what_is_shown_can_be_read_again() {
    for kind in Kind::ALL {
        for system in [UnitSystem::Us, UnitSystem::Metric, UnitSystem::Si] {
            // Temperatures are rounded to a tenth of a degree, so near absolute zero is no test.
            let si = match kind {
                Kind::Temperature => 300.0,
                Kind::Consumption => 7e-8,
                // Without its sign, as in SI, two and more would be a percentage that has lost it.
                Kind::Fraction => 0.7,
                _ => 7.0,
            };
            let shown = show(kind, si, system).to_string();
            let read = parse(kind, &shown).unwrap_or_else(|e| panic!("{kind:?} {shown:?}: {e}"));
            let near = (read / si - 1.0).abs() < 0.006;
            assert!(near, "{kind:?}: {shown} reads as {read} and not {si} in SI");
        }
    }
}
