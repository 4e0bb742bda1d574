//! What is taken where a case is silent, all of it in one table, to be reviewed as one.

use coolwright_models::laws::quadrants::{RADIAL_BACKWARDS, RADIAL_FREE, RADIAL_HELD};

use super::context::Assumed;
use crate::quantity::Kind;

/// What a usual value and its range are counted in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Of {
    /// In itself, SI.
    Itself,
    /// In times this.
    Times(&'static str),
    /// In SI units above this.
    Above(&'static str),
}

/// A value that stands in for one that a case leaves out.
#[derive(Clone, Copy, Debug)]
pub(super) struct Usual {
    /// What it is, in words.
    pub what: &'static str,
    /// Its kind.
    pub kind: Kind,
    /// What it is counted in.
    pub of: Of,
    /// The value.
    pub value: f64,
    /// The least and the most that it may plausibly be.
    pub range: (f64, f64),
    /// Why this value, with its source.
    pub why: &'static str,
}

impl Usual {
    /// Where it is what it is counted in, SI.
    pub(super) const fn fixed(&self) -> Assumed {
        let Self { what, kind, value, range, why, .. } = *self;
        Assumed { what, kind, value, range, why }
    }

    /// Where it is counted in something of that size, SI.
    pub(super) fn of(&self, size: f64) -> Assumed {
        let (least, most) = self.range;
        let range = (self.count(least, size), self.count(most, size));
        Assumed { value: self.at(size), range, ..self.fixed() }
    }

    /// Its value alone, SI, where what it is counted in is of that size.
    pub(super) fn at(&self, size: f64) -> f64 {
        self.count(self.value, size)
    }

    fn count(&self, number: f64, size: f64) -> f64 {
        match self.of {
            Of::Itself => number,
            Of::Times(_) => number * size,
            Of::Above(_) => size + number,
        }
    }
}

/// Velocity at which valves of an unknown fall are taken to be rated, m/s: the upper end of good practice before pumps
/// (common practice, no source).
pub(super) const USUAL_M_S: f64 = 2.0;

/// One line: name, kind, what it is counted in, value, range; what it is; why.
macro_rules! usual {
    ($($name:ident: $kind:ident, $of:expr, $value:expr, $range:expr; $what:literal; $why:literal;)*) => {
        $(pub(super) const $name: Usual = Usual {
            what: $what, kind: Kind::$kind, of: $of, value: $value, range: $range, why: $why,
        };)*

        /// All of them.
        #[cfg(test)]
        pub(super) static ALL: &[(&str, Usual)] = &[$((stringify!($name), $name)),*];
    };
}

use Of::{Above, Itself, Times};

usual! {
    // The site and its supplies.
    AIR: Temperature, Itself, 303.15, (288.15, 318.15);
        "air temperature";
        "a warm day";
    ALTITUDE: Length, Itself, 0.0, (0.0, 1500.0);
        "altitude";
        "sea level";
    HUMIDITY: Fraction, Itself, 0.5, (0.1, 0.9);
        "humidity";
        "neither dry nor wet";
    VOLTAGE: Voltage, Itself, 13.5, (12.0, 14.4);
        "supply voltage";
        "a 12 V supply with the alternator or a charger at work";
    NAMED_VOLTAGE: Voltage, Itself, 13.5, (12.0, 14.4);
        "voltage of a named supply";
        "a 12 V supply with the alternator or a charger at work";

    // The bay.
    BAY_AIR: Temperature, Above("the air"), 20.0, (0.0, 60.0);
        "temperature of the air in the bay";
        "warmed by what stands in it; common practice, no source";
    HOSE_WALL: Length, Itself, 5e-3, (3e-3, 8e-3);
        "thickness of the wall of a hose";
        "fabric in rubber; common practice, no source";
    TANK_SURFACE: Area, Times("the side of a cube as large as it"), 6.0, (4.84, 9.0);
        "outside of a tank";
        "a cube; a sphere has the least, a flat box half as much more";

    // Circuits and tanks.
    START: Temperature, Above("the air"), 0.0, (0.0, 50.0);
        "temperature of a circuit at the start";
        "as warm as the air";
    ICE_START: Temperature, Itself, 273.15, (273.15, 278.15);
        "temperature of a circuit with ice at the start";
        "as cold as ice that melts in water: who fills a mixture colder says so";
    FILLED_AT: Temperature, Above("the air"), 0.0, (-15.0, 15.0);
        "temperature at which a circuit was filled";
        "as warm as the air";
    ENTERING: Temperature, Above("the air"), 0.0, (-10.0, 10.0);
        "temperature of what enters at an open end";
        "as warm as the air";
    OPEN_TANK: GaugePressure, Itself, 0.0, (0.0, 100e3);
        "gauge pressure in a tank without a cap";
        "open to the air; under a cap hot coolant would raise it";
    KNOWN_PRESSURE: GaugePressure, Itself, 0.0, (0.0, 100e3);
        "gauge pressure where the circuit's pressure is known";
        "a cold or uncapped system stands near zero gauge";
    TANK_AIR: Volume, Times("its volume"), 0.2, (0.1, 0.4);
        "air in a tank when filled cold";
        "a fifth of the tank; common practice, no source";
    LEVEL: Length, Itself, 0.0, (0.0, 0.3);
        "height of the surface in a tank above its ports";
        "the least there is: the ports are just covered";
    CAP_VACUUM: PressureDifference, Itself, 5e3, (1e3, 10e3);
        "vacuum at which a cap lets air in";
        "a soft valve in the cap; common practice, no source";
    ICE_FILM: FilmCoefficient, Itself, 700.0, (300.0, 1500.0);
        "film coefficient at the ice";
        "stirred tank; common practice, no source";
    ICE_PIECE: Length, Itself, 25e-3, (15e-3, 60e-3);
        "edge of a piece of ice";
        "bagged cubes; common practice, no source";

    // Hoses, headers, valves.
    ROUGHNESS: Length, Itself, 5e-6, (1.5e-6, 50e-6);
        "roughness of hoses and tubes";
        "between drawn tube ({Length 1.5 µm}) and used rubber hose; common practice, no source";
    SWELLING: Fraction, Itself, 0.01, (0.002, 0.03);
        "swelling of hoses under {PressureDifference 100 kPa}";
        "fabric-reinforced rubber; common practice, no source";
    BEND_RADIUS: Length, Times("the bore"), 1.5, (1.0, 4.0);
        "centre-line radius of bends";
        "1.5 bores, a moulded hose elbow; common practice, no source";
    PORT_SPACING: Length, Times("its bore"), 2.5, (1.5, 6.0);
        "distance between the ports of a header";
        "2.5 bores; common practice, no source";
    CONE: Angle, Itself, 30.0_f64.to_radians(), (15.0_f64.to_radians(), 60.0_f64.to_radians());
        "whole angle of a reducer's cone";
        "silicone and cast reducers; common practice, no source";
    BARB_ROUGHNESS: Length, Itself, 5e-6, (1.5e-6, 25e-6);
        "roughness of barbs";
        "between moulded ({Length 1.5 µm}) and cast; common practice, no source";
    CRACKING: PressureDifference, Itself, 700.0, (0.0, 3500.0);
        "cracking pressure of a check valve";
        "soft spring; common practice, no source";
    CHECK_VALVE_FALL: PressureDifference, Itself, 5e3, (2.5e3, 15e3);
        "fall of an open check valve at {Velocity 2 m/s}";
        "2.5 velocity heads, no less than opens it; common practice, no source";
    THROTTLE_OPENING: Fraction, Itself, 1.0, (0.5, 1.0);
        "opening of a throttle";
        "full open, as it is when hot";
    THROTTLE_LEAK: Fraction, Itself, 5e-3, (1e-4, 2e-2);
        "share of its full-open flow that a shut throttle leaks";
        "seat leakage class II of IEC 60534-4, from memory";
    EQUAL_PERCENTAGE_LEAK: Fraction, Itself, 0.02, (0.01, 0.033);
        "share of its full-open flow that an equal percentage throttle passes shut";
        "a rangeability of 50; common practice, no source";
    THERMOSTAT_OPENING: Fraction, Itself, 1.0, (0.5, 1.0);
        "opening of a thermostat";
        "full open, as it is when hot";
    THERMOSTAT_FALL: PressureDifference, Itself, 8e3, (4e3, 24e3);
        "fall of an open thermostat at {Velocity 2 m/s}";
        "4 velocity heads; common practice, no source";
    THERMOSTAT_RANGE: TemperatureDifference, Itself, 13.0, (10.0, 16.0);
        "temperature from where a thermostat begins to open to where it is full open";
        "{TemperatureDifference 10 K} to {TemperatureDifference 15 K}; common practice, no source";
    THERMOSTAT_HYSTERESIS: TemperatureDifference, Itself, 4.0, (2.0, 10.0);
        "hysteresis of a thermostat";
        "{TemperatureDifference 3 K} to {TemperatureDifference 6 K} when new, more when used; common practice, no source";
    THERMOSTAT_LAG: Time, Itself, 15.0, (8.0, 40.0);
        "lag of a thermostat's wax";
        "10 to 40 s in moving water; common practice, no source";
    THERMOSTAT_LAG_AT: VolumeFlow, Itself, 1e-3, (0.5e-3, 2e-3);
        "flow at which a thermostat's wax lags so";
        "a small engine's main flow; common practice, no source";
    THERMOSTAT_LEAK: Fraction, Itself, 0.01, (1e-3, 0.03);
        "area of a shut thermostat's bleed hole and seat, over its full area";
        "a {Length 3 mm} hole beside a {Length 32 mm} seat; common practice, no source";

    // Measured falls.
    BENCH_WATER: Temperature, Itself, 293.15, (283.15, 353.15);
        "temperature of the water in which a part was measured";
        "a bench at room temperature; common practice, no source";
    BENCH_COOLANT: Temperature, Itself, 293.15, (283.15, 353.15);
        "temperature of the coolant in which a part was measured";
        "a bench at room temperature; common practice, no source";
    BENCH_LIQUID: Temperature, Itself, 333.15, (313.15, 373.15);
        "temperature of the oil or other liquid in which a part was measured";
        "warm, as it works; common practice, no source";
    WARM_WATER: Temperature, Itself, 363.15, (313.15, 373.15);
        "temperature of the water in which an engine was measured";
        "an engine that has warmed up; common practice, no source";
    WARM_COOLANT: Temperature, Itself, 363.15, (313.15, 373.15);
        "temperature of the coolant in which an engine was measured";
        "an engine that has warmed up; common practice, no source";
    FITTING_EXPONENT: Number, Itself, 2.0, (1.75, 2.0);
        "exponent of a measured fall over flow, of a fitting";
        "abrupt ways, turbulent; common practice, no source";
    JACKET_EXPONENT: Number, Itself, 1.9, (1.75, 2.0);
        "exponent of a measured fall over flow, of an engine's jacket";
        "wide ways with many turns, turbulent; common practice, no source";
    NARROW_EXPONENT: Number, Itself, 1.8, (1.6, 2.0);
        "exponent of a measured fall over flow, of a cooler or a core";
        "narrow ways: 1.75 in smooth tubes (Blasius), 2 at their ends; common practice, no source";

    // Pumps.
    PUMP_POWER: ElectricPower, Times("its best power in the coolant"), 1.0 / 0.40, (1.0 / 0.55, 1.0 / 0.25);
        "electric power of a pump at full speed";
        "40 % overall efficiency at the best point; common practice, no source";
    SHAFT_POWER: Power, Times("its best power in the coolant"), 1.0 / 0.50, (1.0 / 0.65, 1.0 / 0.35);
        "shaft power of a pump at the speed of its curve";
        "50 % efficiency at the best point; common practice, no source";
    PUMP_HEAT: Fraction, Itself, 1.0, (0.4, 1.0);
        "share of a pump's electric power that ends in the coolant";
        "wet motor; common practice, no source";
    SHAFT_HEAT: Fraction, Itself, 1.0, (0.9, 1.0);
        "share of an engine-driven pump's shaft power that ends in the coolant";
        "seal and bearing keep little of it; common practice, no source";
    RATED_VOLTAGE: Voltage, Itself, 13.5, (12.0, 14.4);
        "voltage at which a pump or fan turns at the speed of its curve";
        "13.5 V of a 12 V supply that is charged, 27 V of a 24 V one, else the supply\u{2019}s own; common practice, no source";
    VALVE_OF_PUMP: PressureDifference, Itself, 4e3, (1e3, 12e3);
        "fall of a pump's open check valve at 60 % of the pump's free flow";
        "a swing or spring valve of the pump's own bore; common practice, no source";
    PUMP_SEIZED: PressureDifference, Times("its shut-off pressure"), RADIAL_HELD, (0.6, 2.5);
        "fall through a stopped pump, seized, at its free flow";
        "149 % of its shut-off pressure: complete characteristics of a radial pump, Donsky 1961, as reprinted";
    PUMP_FREE: PressureDifference, Times("its shut-off pressure"), RADIAL_FREE, (0.25, 1.2);
        "fall through a stopped pump, freewheeling, at its free flow";
        "61 % of its shut-off pressure: complete characteristics of a radial pump without torque, Donsky 1961, as reprinted";
    PUMP_BACKWARDS_SEIZED: Number, Itself, RADIAL_BACKWARDS / RADIAL_HELD, (0.8, 2.5);
        "fall of a pump driven backwards, over that of as much flow forwards through it at rest, seized";
        "rotor held: complete characteristics of a radial pump, Donsky 1961, as reprinted";
    PUMP_BACKWARDS_FREE: Number, Itself, RADIAL_BACKWARDS / RADIAL_FREE, (1.0, 10.0);
        "fall of a pump driven backwards, over that of as much flow forwards through it at rest, freewheeling";
        "rotor held backwards, free forwards: complete characteristics of a radial pump, Donsky 1961, as reprinted; free both ways it would be 10";

    // Engines and coolers.
    ENGINE_SHARE: Fraction, Itself, 0.65, (0.45, 0.90);
        "heat to coolant as a share of brake power";
        "full-load heat balances of petrol engines spread over 0.6 to 1.0, boosted ones lower; common practice, measure it";
    FUEL_SHARE: Fraction, Itself, 0.24, (0.16, 0.35);
        "share of the heat of an engine's fuel that comes into its coolant";
        "heat balances at full load: 17 to 26 % of spark engines, 16 to 35 % of diesels, Heywood, Internal Combustion Engine Fundamentals, table 12.1 (from memory)";
    ENGINE_METAL: HeatCapacity, Itself, 40e3, (15e3, 90e3);
        "heat capacity of the engine metal that takes part";
        "about {Mass 45 kg} of aluminium near the jacket; in a short pull less takes part; common practice, no source";
    ENGINE_VOLUME: Volume, Itself, 6e-3, (3e-3, 12e-3);
        "coolant in the engine";
        "a V8 block with heads; common practice, no source";
    ENGINE_FILM: Conductance, Itself, 9e3, (4e3, 20e3);
        "conductance from engine metal to water of {Temperature 90 °C} at {VolumeFlow 200 L/min}";
        "a jacket of {Area 1.2 m²} at {FilmCoefficient 7500 W/(m²·K)}, boiling left out; common practice, no source";
    ENGINE_FALL: PressureDifference, Itself, 35e3, (15e3, 80e3);
        "fall of pressure through the engine at {VolumeFlow 200 L/min}";
        "block and heads without thermostat; common practice, no source";
    WALL_THICKNESS: Length, Itself, 8e-3, (5e-3, 12e-3);
        "thickness of a hot wall";
        "cast head or liner of a car's engine; common practice, no source";
    ALUMINIUM_WALL: Conductivity, Itself, 155.0, (120.0, 180.0);
        "conductivity of a hot wall of aluminium";
        "cast alloys with silicon near {Temperature 150 °C}: common handbook values, from memory";
    IRON_WALL: Conductivity, Itself, 46.0, (35.0, 55.0);
        "conductivity of a hot wall of iron";
        "grey cast iron near {Temperature 200 °C}: common handbook values, from memory";
    COPPER_WALL: Conductivity, Itself, 385.0, (320.0, 395.0);
        "conductivity of a hot wall of copper";
        "pure to hard copper near {Temperature 150 °C}: common handbook values, from memory";
    WALL_FILM: FilmCoefficient, Itself, 8e3, (4e3, 16e3);
        "film coefficient at a hot wall (boiling left out)";
        "water at {Velocity 1 m/s} to {Velocity 2 m/s} in a passage of {Length 10 mm}: Gnielinski 1976";
    ENGINE_WALL_AT: VolumeFlow, Itself, 200.0 / 60e3, (100.0 / 60e3, 300.0 / 60e3);
        "flow at which the film at an engine's hot wall holds";
        "a mechanical pump at high speed through one engine; common practice, no source";
    COOLER_WALL_AT: VolumeFlow, Itself, 30.0 / 60e3, (15.0 / 60e3, 60.0 / 60e3);
        "flow at which the film at a cooler's hot wall holds";
        "an electric pump through one cooler; common practice, no source";
    WALL_SURFACE: Number, Itself, 0.013, (0.007, 0.018);
        "number of surface and liquid for boiling at a hot wall";
        "0.0068 to 0.0132 for water on copper and steel: Incropera et al., table 10.1 (from memory); nothing is published for castings";
    WALL_PEAK: Number, Itself, 2.0, (1.3, 3.0);
        "peak of a hot wall's heat flux";
        "the bridge between exhaust valves against head and liner in the mean; common practice, no source";
    COOLER_METAL: HeatCapacity, Itself, 5e3, (2e3, 12e3);
        "heat capacity of a cooler's metal";
        "{Mass 5 kg} to {Mass 6 kg} of aluminium; common practice, no source";
    COOLER_FILM: Conductance, Itself, 2.5e3, (1e3, 6e3);
        "conductance from a cooler's metal to water of {Temperature 20 °C} in a pass at {VolumeFlow 30 L/min}";
        "a finned water side; common practice, no source";
    PASS_VOLUME: Volume, Itself, 0.8e-3, (0.3e-3, 2.5e-3);
        "coolant in a pass of a cooler";
        "a charge-cooler core of hand size; common practice, no source";
    PASS_ROUGHNESS: Length, Itself, 3e-6, (1.5e-6, 20e-6);
        "roughness of the passes of a cooler";
        "drawn or extruded channel; common practice, no source";
    PASS_LOSS: Number, Itself, 1.5, (0.5, 4.0);
        "loss coefficient of the turns in a pass of a cooler";
        "one or two turns; common practice, no source";
    EXCHANGER_FIRST: Fraction, Itself, 0.45, (0.22, 0.68);
        "share of the heat resistance of an exchanger in the film on its first side, at its rating";
        "like ways for both liquids, films as turbulent ones; common practice, no source";
    EXCHANGER_PLATE: Fraction, Itself, 0.10, (0.03, 0.25);
        "share of the heat resistance of an exchanger in its plate, at its rating";
        "{Length 0.5 mm} of steel between films of {FilmCoefficient 6000 W/m2K} on both sides; common practice, no source";
    EXCHANGER_METAL: HeatCapacity, Itself, 2e3, (0.8e3, 6e3);
        "heat capacity of an exchanger's metal";
        "{Mass 2 kg} to {Mass 4 kg} of aluminium or steel; common practice, no source";
    EXCHANGER_FALL: PressureDifference, Itself, 20e3, (8e3, 50e3);
        "fall of pressure through one side of an exchanger, at its rating";
        "a plate pack; common practice, no source";
    EXCHANGER_VOLUME: Volume, Itself, 0.5e-3, (0.2e-3, 2e-3);
        "coolant in one side of an exchanger";
        "a plate pack of hand size; common practice, no source";

    // Charge air.
    COMPRESSOR_EFFICIENCY: Fraction, Itself, 0.70, (0.60, 0.78);
        "isentropic efficiency of a compressor";
        "a turbocharger away from its best point; driven ones are lower; common practice, no source";
    CHARGE_EFFECTIVENESS: Fraction, Itself, 0.80, (0.70, 0.92);
        "effectiveness of a charge cooler against its coolant";
        "liquid charge coolers reach 75 to 95 %; common practice, no source";
    CHARGE_COOLANT: VolumeFlow, Itself, 40.0 / 60e3, (20.0 / 60e3, 80.0 / 60e3);
        "coolant flow at which a charge cooler is rated";
        "a large electric pump through one cooler; common practice, no source";
    COMPRESSOR_MAP_AIR: Temperature, Itself, 288.15, (288.15, 302.65);
        "temperature that the flows of a compressor's map are counted at";
        "the standard atmosphere, ISO 2533; SAE J1826 has {Temperature 29.5 °C} (from memory)";
    COMPRESSOR_MAP_PRESSURE: AbsolutePressure, Itself, 101325.0, (95e3, 101325.0);
        "pressure that the flows of a compressor's map are counted at";
        "the standard atmosphere, ISO 2533; SAE J1826 has {AbsolutePressure 96 kPa abs} (from memory)";
    CHARGE_COOLANT_IN: Temperature, Itself, 303.15, (283.15, 333.15);
        "coolant temperature at which a charge cooler is rated";
        "a bench on a warm day; common practice, no source";
    CHARGE_COOLANT_SHARE: Fraction, Itself, 0.20, (0.10, 0.40);
        "share of a charge cooler's heat resistance in the coolant film, at its rating";
        "as that of a radiator core; common practice, no source";
    CHARGE_AIR_EXPONENT: Number, Itself, 0.6, (0.5, 0.8);
        "exponent of a charge cooler's air-side conductance over air flow";
        "between short offset fins and smooth channels; common practice, no source";
    CHARGE_FALL: AirPressureDifference, Itself, 8e3, (3e3, 20e3);
        "fall of the charge air's pressure through a charge cooler at its rated air flow";
        "half as much under boost, as the air is denser; a cooler with its two tanks; common practice, no source";
    CHARGE_FALL_DENSITY: Density, Itself, 1.18, (1.0, 3.0);
        "density of the charge air in which a fall was measured";
        "a flow bench at room temperature; a fall at boost needs its `density`; common practice, no source";
    CHARGE_FALL_EXPONENT: Number, Itself, 1.8, (1.6, 2.0);
        "exponent of the fall of charge air over its flow";
        "turbulent; common practice, no source";

    // Cores, air paths, fans.
    CORE_FALL: PressureDifference, Itself, 12e3, (5e3, 30e3);
        "fall of coolant pressure through a core at its rated coolant flow";
        "single-pass car radiator; common practice, no source";
    CORE_VOLUME: Volume, Itself, 3e-3, (1.5e-3, 8e-3);
        "coolant in a core";
        "a car radiator; common practice, no source";
    CORE_METAL: HeatCapacity, Itself, 4.5e3, (2.5e3, 9e3);
        "heat capacity of a core's metal";
        "{Mass 5 kg} of aluminium; common practice, no source";
    CORE_TUBE_THICKNESS: Length, Itself, 2e-3, (1.5e-3, 2.5e-3);
        "outside thickness of the tubes of a core";
        "flat tubes of car radiators; common practice, no source";
    CORE_TUBE_WALL: Length, Itself, 0.3e-3, (0.2e-3, 0.45e-3);
        "thickness of the wall of the tubes of a core";
        "folded or welded strip; common practice, no source";
    CORE_TUBE_ROUGHNESS: Length, Itself, 1.5e-6, (0.5e-6, 10e-6);
        "roughness of the tubes of a core";
        "rolled strip, as drawn tube; common practice, no source";
    CORE_TUBE_LOSS: Number, Itself, 1.5, (1.2, 2.7);
        "loss coefficient of the ends of a core's tubes";
        "out of a tank and into one, 0.5 and 1; up to 1.2 more while a laminar flow develops (as in Shah & London 1978, from memory)";
    CORE_TANKS: Volume, Times("the coolant in its tubes"), 1.0, (0.4, 2.0);
        "coolant in the tanks of a core";
        "as much as in the tubes of a car radiator; common practice, no source";
    CORE_FIN_DEPTH: Length, Times("the depth of all its rows of tubes"), 1.0, (1.0, 1.15);
        "depth of the fins of a core along the air";
        "as deep as the tubes, or a little deeper; common practice, no source";
    CORE_FIN_THICKNESS: Length, Itself, 0.08e-3, (0.06e-3, 0.10e-3);
        "thickness of the fins of a core";
        "rolled strip of brazed radiators; common practice, no source";
    LOUVRE_PITCH: Length, Itself, 1.2e-3, (0.9e-3, 1.5e-3);
        "distance from louvre to louvre of the fins of a core";
        "brazed radiators; common practice, no source";
    LOUVRE_ANGLE: Angle, Itself, 27.0_f64.to_radians(), (24.0_f64.to_radians(), 30.0_f64.to_radians());
        "angle of the louvres of the fins of a core";
        "shallower turns the air too little, steeper blocks it; common practice, no source";
    LOUVRE_LENGTH: Length, Times("the height of the fins"), 0.85, (0.75, 0.92);
        "length of the louvres of the fins of a core";
        "four fifths of the height of the fin and a little more; common practice, no source";
    CORE_ALUMINIUM: Conductivity, Itself, 180.0, (150.0, 215.0);
        "conductivity of the aluminium of a core";
        "rolled alloys for brazing, after brazing: common handbook values, from memory";
    CORE_COPPER: Conductivity, Itself, 360.0, (300.0, 395.0);
        "conductivity of the copper of a core";
        "alloyed against softening to pure: common handbook values, from memory";
    CORE_BRASS: Conductivity, Itself, 115.0, (100.0, 130.0);
        "conductivity of the brass of a core";
        "30 to 35 % zinc: common handbook values, from memory";
    CORE_COOLANT_SHARE: Fraction, Itself, 0.20, (0.10, 0.40);
        "share of a core's heat resistance in the coolant film, at its rating";
        "turbulent tubes behind louvred fins; common practice, no source";
    CORE_OIL_SHARE: Fraction, Itself, 0.50, (0.25, 0.75);
        "share of a core's heat resistance in the film of an oil, at its rating";
        "oil in narrow or finned tubes behind louvred fins: its film is several times as bad as that of water; common practice, no source";
    CORE_AIR_EXPONENT: Number, Itself, 0.51, (0.40, 0.65);
        "exponent of a core's air-side conductance over air flow";
        "j ∝ Re^−0.49 of louvred fins (Chang and Wang 1997, from memory)";
    CORE_AIR_FALL: AirPressureDifference, Itself, 150.0, (70.0, 300.0);
        "fall of air pressure through a core at its rated air flow";
        "louvred core at {Velocity 4 m/s} face velocity; common practice, no source";
    CORE_AIR_FALL_EXPONENT: Number, Itself, 1.6, (1.4, 1.9);
        "exponent of the fall of the air through a core over its flow";
        "louvred fins between laminar and turbulent; common practice, no source";
    PATH_LOSS: AirPressureDifference, Itself, 40.0, (10.0, 120.0);
        "fall of air pressure in grille, shroud and ducts at their rated air flow";
        "open front with a shroud; common practice, no source";
    PATH_LOSS_EXPONENT: Number, Itself, 2.0, (1.8, 2.0);
        "exponent of the fall of the air in grille, shroud and ducts over its flow";
        "turbulent; common practice, no source";
    GAP_LOSS: Number, Itself, 2.68, (1.5, 2.9);
        "loss coefficient of a gap past the cores";
        "sharp edges: the contraction π/(π + 2) of a jet through a slit, Kirchhoff 1869; less where they are rounded";
    RAM: Fraction, Itself, 0.5, (0.2, 0.8);
        "share of the road speed's dynamic pressure in front of the cores";
        "open front, ducted badly to well; common practice, no source";
    FAN_POWER: ElectricPower, Times("its best power in the air"), 1.0 / 0.30, (1.0 / 0.45, 1.0 / 0.15);
        "electric power of a fan at full speed";
        "30 % overall efficiency at the best point; common practice, no source";
    FAN_SEIZED: AirPressureDifference, Times("its shut-off pressure"), 1.8, (0.8, 3.0);
        "fall through a stopped fan, seized, at its free flow";
        "180 % of its shut-off pressure: complete characteristics of an axial machine with its rotor held, Donsky 1961 (from memory)";
    FAN_WINDMILLING: AirPressureDifference, Times("its shut-off pressure"), 0.5, (0.2, 1.2);
        "fall through a stopped fan, windmilling, at its free flow";
        "50 % of its shut-off pressure; common practice, no source";
    FAN_BACKWARDS: Number, Itself, 1.45, (0.8, 5.0);
        "fall of a fan driven backwards, over that of as much flow forwards through it at rest";
        "rotor held: complete characteristics of an axial machine, Donsky 1961 (from memory)";
}

#[cfg(test)]
mod tests {
    use std::fmt::Write as _;
    use std::path::Path;

    use super::{ALL, BENCH_WATER, COOLER_FILM, ENGINE_FILM, Of, Usual, WARM_WATER};
    use crate::quantity::{Kind, UnitSystem, in_units, show};

    const HEAD: &str = "\
# What is taken where a case is silent

Made from the table in `cases/src/lower/usual.rs`; a test keeps it true. To write it anew:
`WRITE_USUAL=1 cargo test -p coolwright-cases usual`.

Every answer lists those that it took, sorted by the share of a margin that they could use up. Measure, or read off
a data sheet, what stands at the top there; a field for each is in [FIELDS.md](FIELDS.md).

| what | taken | could be | why |
| --- | --- | --- | --- |
";

    /// A number of a line, in what it is counted in.
    fn number(usual: &Usual, number: f64) -> String {
        let shown = |kind| {
            let shown = show(kind, number, UnitSystem::Metric);
            format!("{} {}", shown.number, shown.unit).trim_end().to_owned()
        };
        match usual.of {
            Of::Itself => shown(usual.kind),
            Of::Times(_) => shown(Kind::Number),
            Of::Above(_) => shown(Kind::TemperatureDifference),
        }
    }

    fn page() -> String {
        let mut page = HEAD.to_owned();
        for (_, usual) in ALL {
            let after = match usual.of {
                Of::Itself => String::new(),
                Of::Times(what) => format!(" times {what}"),
                Of::Above(what) => format!(" above {what}"),
            };
            let [what, why] =
                [usual.what, usual.why].map(|text| in_units(text, UnitSystem::Metric));
            let (least, most) = usual.range;
            let [value, least, most] = [usual.value, least, most].map(|n| number(usual, n));
            let _ = writeln!(page, "| {what} | {value}{after} | {least} to {most} | {why} |");
        }
        page
    }

    #[test]
    fn the_page_of_what_is_usual_is_that_of_the_table() {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("USUAL.md");
        let page = page();
        if std::env::var_os("WRITE_USUAL").is_some() {
            std::fs::write(&path, &page).expect("a page that can be written");
        }
        let written = std::fs::read_to_string(&path).unwrap_or_default();
        let differs = page.lines().zip(written.lines()).find(|(ours, theirs)| ours != theirs);
        assert!(
            page == written,
            "cases/USUAL.md differs, first at {differs:?}: WRITE_USUAL=1 writes it"
        );
    }

    #[test]
    fn every_usual_value_lies_in_its_range_and_has_a_reason() {
        for (name, usual) in ALL {
            let (least, most) = usual.range;
            assert!(least <= usual.value && usual.value <= most && least < most, "{name}");
            assert!(!usual.why.is_empty() && !usual.what.is_empty(), "{name}");
            let times = matches!(usual.of, Of::Times(_));
            assert!(!times || least > 0.0, "{name}: nothing of something");
        }
        let mut said: Vec<&str> = ALL.iter().map(|(_, usual)| usual.what).collect();
        said.sort_unstable();
        said.dedup();
        assert_eq!(said.len(), ALL.len(), "two lines say the same");
    }

    /// An assumed film is rated in water, as warm as is assumed of a rating.
    #[test]
    fn the_water_of_an_assumed_film_is_that_of_its_rating() {
        for (film, water) in [(COOLER_FILM, BENCH_WATER), (ENGINE_FILM, WARM_WATER)] {
            let warm = format!("water of {{Temperature {} °C}}", water.value - 273.15);
            assert!(film.what.contains(&warm), "{warm} is not in {}", film.what);
        }
    }
}
