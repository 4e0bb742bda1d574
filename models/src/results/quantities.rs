//! The quantities that results are made of: name, meaning, formula.

use crate::kind::Kind;

/// A quantity that results are given for.
#[derive(Debug, PartialEq, Eq)]
pub struct Quantity {
    /// Its name in an address.
    pub name: &'static str,
    /// Its kind.
    pub kind: Kind,
    /// What it is, in words.
    pub label: &'static str,
    /// How it comes about.
    pub formula: &'static str,
    /// Its place in [`ALL`].
    pub(super) number: usize,
}

macro_rules! quantities {
    ($($id:ident: $name:literal, $kind:ident, $label:literal, $formula:literal;)*) => {
        $(
            #[doc = $label]
            pub static $id: Quantity = Quantity {
                name: $name,
                kind: Kind::$kind,
                label: $label,
                formula: $formula,
                number: Number::$id as usize,
            };
        )*
        /// The quantities by number.
        #[allow(non_camel_case_types, clippy::upper_case_acronyms)] // Names of statics.
        enum Number { $($id),* }
        /// All quantities.
        pub static ALL: &[&Quantity] = &[$(&$id),*];
    };
}

quantities! {
    FLOW: "flow", VolumeFlow, "volume flow along the run", "Q = m/ρ, ρ at the temperature where it is read";
    MASS_FLOW: "mass_flow", MassFlow, "mass flow along the run", "mass conserved at every junction, falls of total pressure equal around every loop";
    ENTRY_FALL: "entry_fall", PressureDifference, "fall of total pressure on leaving the tee or header at the start", "K ½ρv² of the combined flow, from three signed flows";
    EXIT_FALL: "exit_fall", PressureDifference, "fall of total pressure on entering the tee or header at the end", "K ½ρv² of the combined flow, from three signed flows";
    VELOCITY: "velocity", Velocity, "mean velocity in the bore at the inlet", "v = Q/A";
    REYNOLDS: "reynolds", Number, "Reynolds number in the bore at the inlet; of flat tubes in one of them", "Re = 4 m/(π D μ); of flat tubes m D/(A μ), D = 4 A/perimeter";
    FALL: "fall", PressureDifference, "fall of total pressure by friction and losses; a pump's is negative", "the part's law at its flow";
    LIFT: "lift", PressureDifference, "fall of pressure by height gained", "Δp = ρ g Δz";
    PRESSURE_IN: "pressure_in", GaugePressure, "static pressure at the inlet", "p = p_total − ½ρv² at the bore there";
    PRESSURE_OUT: "pressure_out", GaugePressure, "static pressure at the outlet", "p = p_total − ½ρv² at the bore there";
    TOTAL_IN: "total_in", GaugePressure, "total pressure at the inlet", "the junction's at the start, less all falls and heights up to here";
    TOTAL_OUT: "total_out", GaugePressure, "total pressure at the outlet", "that at the inlet less fall and height";
    HEIGHT_IN: "height_in", Length, "height of the inlet above the circuit's reference", "z, heights gained on the way added up";
    HEIGHT_OUT: "height_out", Length, "height of the outlet above the circuit's reference", "z, heights gained on the way added up";
    BORE_IN: "bore_in", Length, "bore at the inlet", "as given";
    BORE_OUT: "bore_out", Length, "bore at the outlet", "as given";
    VELOCITY_IN: "velocity_in", Velocity, "mean velocity along the run at the inlet", "v = m/(ρA), ρ at the temperature there";
    VELOCITY_OUT: "velocity_out", Velocity, "mean velocity along the run at the outlet", "v = m/(ρA), ρ at the temperature there";
    COOLANT_IN: "coolant_in", Temperature, "coolant temperature at the start of the part, whichever way it flows", "the cell upstream";
    COOLANT_OUT: "coolant_out", Temperature, "coolant temperature at the end of the part, whichever way it flows", "the cell upstream";
    VAPOUR_IN: "vapour_in", AbsolutePressure, "vapour pressure of the coolant at the inlet", "p_v(T), ideal mixing";
    VAPOUR_OUT: "vapour_out", AbsolutePressure, "vapour pressure of the coolant at the outlet", "p_v(T), ideal mixing";
    MARGIN_IN: "margin_in", PressureDifference, "static pressure over vapour pressure at the inlet", "p + p_ambient − p_v(T)";
    MARGIN_OUT: "margin_out", PressureDifference, "static pressure over vapour pressure at the outlet", "p + p_ambient − p_v(T)";
    TEMPERATURE_IN: "in", Temperature, "coolant temperature at the inlet, in the direction of flow", "the cell upstream";
    TEMPERATURE_OUT: "out", Temperature, "coolant temperature at the outlet, in the direction of flow", "the last cell of the part";
    RISE: "rise", TemperatureDifference, "rise of the coolant from inlet to outlet", "T_out − T_in";
    HEAT: "heat", HeatRate, "heat into the coolant", "q = hA (T_metal − T_coolant), summed over the cells";
    HEAD: "head", PressureDifference, "rise of pressure by the pump", "Δp = (ρ/ρ₁) c_H s² H(Q/(s c_Q)), factors for viscosity 1 where there is no correction";
    POWER: "power", ElectricPower, "electric power drawn", "P = (ρ/ρ₁) (c_Q c_H/c_η) s³ P₁(Q/(s c_Q))";
    SHAFT_POWER: "shaft_power", Power, "power taken from the engine at the pump's shaft", "P = (ρ/ρ₁) (c_Q c_H/c_η) s³ P₁(Q/(s c_Q))";
    CURRENT: "current", Current, "current drawn", "I = P/U";
    PUMP_EFFICIENCY: "efficiency", Number, "hydraulic power over the power taken", "η = Q Δp/P";
    PUMP_HEAT: "pump_heat", HeatRate, "heat from the pump into the coolant", "q = share · P";
    SPEED: "speed", Number, "speed over the speed of the curve", "the least of command, U/U₁ (of a command over 1 that much of it) and what the current limit leaves; ratio · n_engine/n₁ where the engine turns it";
    SPEED_HELD: "speed_held_by", Number, "what holds the speed: 1 the command, 2 the supply voltage, 3 the current limit, 4 the engine", "the least of the three, or the engine";
    TURNING: "turning", RotationalSpeed, "rotational speed", "n = s n₁";
    VISCOUS_FLOW: "viscous_flow", Number, "factor on the pump's flow for viscosity", "c_Q = C_Q(B)/C_Q(B₁), ANSI/HI 9.6.7";
    VISCOUS_HEAD: "viscous_head", Number, "factor on the pump's head for viscosity", "c_H = C_H(B)/C_H(B₁), ANSI/HI 9.6.7";
    VISCOUS_EFFICIENCY: "viscous_efficiency", Number, "factor on the pump's efficiency for viscosity", "c_η = C_η(B)/C_η(B₁), ANSI/HI 9.6.7";
    VISCOUS_PARAMETER: "viscous_parameter", Number, "parameter B of the correction for viscosity", "B = 16.5 ν^0.5 H^0.0625/(Q^0.375 n^0.25) at the best point; cSt, m, m³/h, 1/min";
    SUCTION_MARGIN: "suction_margin", PressureDifference, "margin at the inlet against boiling", "p_static,abs − p_vapour(T)";
    SUCTION_HEAD: "npsh_available", Distance, "net positive suction head available at the inlet", "(p_total,abs − p_vapour(T))/(ρ g)";
    SUCTION_HEAD_REQUIRED: "npsh_required", Distance, "net positive suction head required", "s² N₁(Q/s)";
    SUCTION_HEAD_MARGIN: "npsh_margin", Distance, "net positive suction head available less required", "NPSH available − NPSH required";
    JUNCTION_PRESSURE: "pressure", GaugePressure, "total pressure", "the network's solution";
    JUNCTION_TEMPERATURE: "temperature", Temperature, "temperature", "mixed from what flows in";
    JUNCTION_HEIGHT: "height", Length, "height above the circuit's reference", "z, heights gained on the way added up";
    JUNCTION_VAPOUR: "vapour", AbsolutePressure, "vapour pressure of the coolant", "p_v(T), ideal mixing";
    JUNCTION_MARGIN: "margin", PressureDifference, "total pressure over vapour pressure", "p_total + p_ambient − p_v(T)";
    COOLANT_VOLUME: "coolant", Volume, "coolant in the circuit when it was filled, without what ice displaces now", "Σ V − m_ice/ρ_start";
    GAS_PRESSURE: "gas_pressure", GaugePressure, "pressure of the gas over the surface", "given, or from (p − p_v(T)) V/T, which stays as when filled but for what the cap lets out and in";
    LEVEL: "level", Length, "height of the surface above the tank's ports", "as given";
    PORTS_PRESSURE: "ports_pressure", GaugePressure, "pressure of the still coolant at the tank's ports", "p = p_gas + ρ g z_level";
    DEW_POINT: "dew_point", Temperature, "temperature at which the air of the site begins to give off water", "p_sat(T_dew) = φ p_sat(T)";
    AIR_DENSITY: "density", Density, "density of the air of the site", "ρ = p/(R T), R of the moist air";
    AIR_ENTHALPY: "enthalpy", HeatPerMass, "sensible enthalpy of the air of the site above 0 °C, vapour as vapour, for each kg of moist air", "∫ c_p dT";
    AMBIENT: "air_pressure", AbsolutePressure, "pressure of the air of the site", "ISO 2533 at its altitude";
    CONTENTS: "contents", Volume, "coolant and ice in the tank; below zero where the coolant has shrunk by more than the tank held", "V_tank − V_gas; without a cap V_tank − V_air + expansion − swelling since the start";
    GAS_VOLUME: "gas_volume", Volume, "volume of the gas over the surface", "V = V_fill − expansion + swelling + coolant lost";
    EXPANSION: "expansion", Volume, "what all coolant of the circuit has grown by since it was filled", "ΔV = Σ V (ρ_fill − ρ(T))/ρ_tank";
    SWELLING: "swelling", Volume, "what hoses have swollen by since the circuit was filled", "ΔV = Σ V_hose s (p − p_fill)/100 kPa";
    LOST: "lost", Volume, "coolant that has gone out since the circuit was filled: through the cap, or over the edge of an open tank", "where expansion − swelling leaves no room for gas, what is above that";
    GAS_OUT: "gas_out", Volume, "gas that has gone out through the cap since the circuit was filled, counted at 15 °C and 101.325 kPa", "what (p − p_v(T)) V/T has lost at the pressure at which the cap opens";
    GAS_IN: "gas_in", Volume, "air that has come in through the cap since the circuit was filled, counted at 15 °C and 101.325 kPa", "what (p − p_v(T)) V/T has gained at the pressure at which the cap lets air in";
    CAP: "cap", Number, "what the cap does: 0 shut, 1 open, -1 lets air in", "p at a pressure at which it opens";
    OUTSIDE: "outside", VolumeFlow, "flow that enters from outside", "mass conserved at the junction";
    BAY_HEAT: "bay_heat", HeatRate, "heat from the air around it; below zero what it gives off there", "q = U A (T_bay − T), summed over hoses and tanks; of a body that of its metal";
    METAL: "metal", Temperature, "temperature of the hottest metal, a hot wall apart", "C dT/dt = q_in − q_coolant, node by node";
    WALL: "wall", Temperature, "temperature of the hot wall at its hottest place, on the side where the heat comes in", "T_s + F (T_hot − T_s,mean), F the peak of the heat flux";
    WALL_SURFACE: "wall_surface", Temperature, "temperature of the hot wall at its hottest place on the side of the coolant", "F q = h (T_s − T_c) + B max(0, T_s − T_boil)³";
    ONSET_MARGIN: "onset_margin", TemperatureDifference, "by how much the hottest place of the wall stays below the onset of boiling; below zero it boils there, which takes heat and is normal", "T_boil + ΔT_onset(q) − T_s";
    CRITICAL_SHARE: "critical_share", Fraction, "largest heat flux into the coolant over that at which vapour would cover the wall", "F q/q_critical";
    METAL_MEAN: "metal_mean", Temperature, "mean temperature of the metal", "Σ C T / Σ C";
    HEAT_IN: "heat_in", HeatRate, "heat that comes in", "q = q₀ + share · P, a share of the fuel’s heat, or what a table or a map tells";
    FLOW_RATIO: "flow_ratio", Number, "largest over smallest flow of the passes", "max Q/min Q";
    COOLANT_RISE: "rise", TemperatureDifference, "mean rise of the coolant from inlet to outlet over all passes", "Σ m c_p (T_out − T_in)/Σ m c_p";
    LARGEST_RISE: "largest_rise", TemperatureDifference, "largest rise of the coolant over one of the passes", "max (T_out − T_in)";
    COOLANT_FLOW: "flow", VolumeFlow, "flow through all passes", "Σ Q";
    STARVED_FLOW: "starved_flow", VolumeFlow, "flow through all passes if each got as little as the least", "n min Q";
    PASSED: "heat", HeatRate, "heat from the first liquid to the second", "Σ h A (T_metal − T) over the cells of the second side";
    EXCHANGER_UA: "ua", Conductance, "conductance from liquid to liquid at these flows", "1/(1/h₁A + 1/G + 1/h₂A), G that of the plate";
    PASSED_SHARE: "effectiveness", Fraction, "heat over the most that there could be", "q/(min(C₁; C₂) (T_1,in − T_2,in))";
    REJECTED: "heat", HeatRate, "heat given to the air", "cells in cross-flow, air unmixed, coolant mixed";
    AIR_IN: "air_in", Temperature, "air temperature in front of the core", "mixed from the core before it";
    AIR_OUT: "air_out", Temperature, "air temperature behind the core", "T_in + q/(w c_p)";
    CORE_UA: "ua", Conductance, "conductance from coolant to air at these flows", "1/(R_film + R_wall + R_air)";
    GAIN_COOLANT_FLOW: "colder_by_coolant", TemperatureDifference, "how much colder the coolant could enter for the same heat with 10 % more coolant flow", "q/H − q/H', H of cross-flow, air unmixed, coolant mixed";
    GAIN_FILM: "colder_by_film", TemperatureDifference, "how much colder the coolant could enter for the same heat with a coolant film 10 % better", "q/H − q/H', H of cross-flow, air unmixed, coolant mixed";
    GAIN_AIR_SIDE: "colder_by_surface", TemperatureDifference, "how much colder the coolant could enter for the same heat with 10 % more surface on the air side", "q/H − q/H', H of cross-flow, air unmixed, coolant mixed";
    GAIN_AIR_FLOW: "colder_by_air", TemperatureDifference, "how much colder the coolant could enter for the same heat with 10 % more air", "q/H − q/H', H of cross-flow, air unmixed, coolant mixed";
    GAIN_CORE: "colder_by_core", TemperatureDifference, "how much colder the coolant could enter for the same heat with a core 10 % larger", "q/H − q/H', H of cross-flow, air unmixed, coolant mixed";
    COOLANT_STRETCH: "over_rated_coolant", Fraction, "coolant flow over that of the rating", "m/m₀";
    AIR_STRETCH: "over_rated_air", Fraction, "air flow over that of the rating", "w/w₀";
    AIR_FALL: "air_fall", AirPressureDifference, "fall of air pressure", "Δp ρ ∝ w^n";
    DUCTS_FALL: "ducts_fall", AirPressureDifference, "fall of air pressure in grille, shroud and ducts", "Δp ρ ∝ w^n";
    AIR_MASS_FLOW: "mass_flow", MassFlow, "mass flow of air", "fans against cores, one network";
    AIR_FLOW: "flow", AirFlow, "volume flow of air at the site's density", "Q = w/ρ";
    AIR_FRONT: "front", Temperature, "temperature of the air in front of the lanes", "T + s (T_e − T) of the site, what comes round and what comes back";
    AIR_LEAVES: "leaves", Temperature, "temperature of the air that leaves behind", "Σ w T/Σ w of what flows out there";
    AIR_FACE: "face_velocity", Velocity, "air velocity in front of the core", "v = w/(ρ A)";
    FAN_FLOW: "flow", AirFlow, "volume flow at the density at the fan", "Q = w/ρ_fan";
    FAN_PRESSURE: "pressure", AirPressureDifference, "rise of static pressure by the fan", "Δp = (ρ/ρ₁) s² H(Q/s)";
    MANIFOLD: "manifold", Temperature, "temperature of the charge air behind the last stage", "followed from stage to stage";
    MANIFOLD_PRESSURE: "manifold_pressure", AbsolutePressure, "pressure of the charge air behind the last stage", "times the ratio of each compressor, less the fall of each stage";
    BOOST: "boost", GaugePressure, "pressure of the charge air behind the last stage over that of the air of the site", "p − p_ambient";
    MANIFOLD_DENSITY: "manifold_density", Density, "density of the charge air behind the last stage", "ρ = p/(R T)";
    CHARGE_FLOW: "mass_flow", MassFlow, "mass flow of the charge air, moisture included", "full flow · share of full power";
    CHARGE_HEAT: "heat", HeatRate, "heat that all charge coolers of the way take", "Σ q";
    CHARGE_CONDENSED: "condensed", MassFlow, "water that condenses on the way", "w_d (ω_in − ω_out)";
    STAGE_IN: "in", Temperature, "temperature of the charge air in front of the stage", "followed from stage to stage";
    STAGE_OUT: "out", Temperature, "temperature of the charge air behind the stage", "compressed: T₂ = T₁ (1 + (Π^(R/c) − 1)/η); cooled: T₁ − q/(w c)";
    STAGE_PRESSURE_IN: "pressure_in", AbsolutePressure, "pressure of the charge air in front of the stage", "that behind the stage before";
    STAGE_PRESSURE_OUT: "pressure_out", AbsolutePressure, "pressure of the charge air behind the stage", "p₁ Π − Δp";
    STAGE_HEAT: "heat", HeatRate, "heat that the charge air gives off in the stage; below zero what a compressor puts into it", "w c (T₁ − T₂), and the heat of what condenses";
    STAGE_CONDENSED: "condensed", MassFlow, "water that condenses in the stage", "w_d (ω_in − ω_out)";
    EFFECTIVENESS: "effectiveness", Fraction, "fall of the charge air's temperature over its inlet temperature less that of the coldest coolant that enters", "(T_in − T_out)/(T_in − T_coolant,in)";
    BOIL_MARGIN: "boil_margin", TemperatureDifference, "least margin against boiling anywhere in the circuit", "T_boil(p_abs) − T";
    FREEZE_MARGIN: "freeze_margin", TemperatureDifference, "least margin against freezing anywhere in the circuit", "T − T_freeze(share)";
    HOTTEST: "hottest", Temperature, "hottest coolant in the circuit", "max T";
    LOWEST_PRESSURE: "lowest_pressure", GaugePressure, "lowest static pressure in the circuit", "min p";
    ICE: "ice", Mass, "ice left", "dm/dt = −hA (T − T_freeze)/L";
    WAX: "wax", Temperature, "temperature of the thermostat's wax", "dT/dt = (T_coolant − T)/τ";
    OPENING: "opening", Fraction, "lift of the thermostat's valve over its full lift; a bypass shuts as its main valve opens", "s(T_wax) between the way up and the way down, of a bypass 1 less that";
    READING_PRESSURE: "reading", GaugePressure, "static pressure at the gauge", "p = p_total − ½ρv² in the bore there";
    READING_TEMPERATURE: "reading", Temperature, "coolant temperature at the gauge", "the cell there; at a junction the streams mixed";
    READING_LAGGING: "reading", Temperature, "what the thermometer shows", "dT/dt = (T_coolant − T)/τ, τ = τ₀ √(Q₀/Q)";
    TRUE_TEMPERATURE: "coolant", Temperature, "coolant temperature at the thermometer", "the cell there; at a junction the streams mixed";
    READING_FLOW: "reading", VolumeFlow, "volume flow at the gauge, along the run", "Q = m/ρ, ρ at the temperature there";
    RISE_SHOWN: "reading", TemperatureDifference, "what the thermometer behind shows above the one before", "T_to − T_from";
    PRESSURE_RISE_SHOWN: "reading", PressureDifference, "what the pressure gauge behind shows above the one before", "p_to − p_from";
    FALL_UNCERTAINTY: "fall_uncertainty", PressureDifference, "half width of what the part's fall may be at its flow, because published laws disagree", "the spread of published values for its laws, √Σ u²";
    ENTRY_FALL_UNCERTAINTY: "entry_fall_uncertainty", PressureDifference, "half width of the fall on leaving the tee or header at the start", "half the spread of three sets of formulas, at least 0.2 to 0.4 velocity heads";
    EXIT_FALL_UNCERTAINTY: "exit_fall_uncertainty", PressureDifference, "half width of the fall on entering the tee or header at the end", "half the spread of three sets of formulas, at least 0.2 to 0.4 velocity heads";
    SHARE: "share", Number, "share of the pass in the mass flow through all passes", "ṁ/Σ ṁ";
    SUPPLY: "current", Current, "current of all pumps and fans", "Σ I";
    TERMINAL: "terminal_voltage", Voltage, "voltage that its pumps and fans find, where it sags", "U₀ − R Σ I";
    BALANCE: "imbalance", MassFlow, "largest error of mass at a junction", "|Σ m|";
}

/// Quantities of temperatures, and of room and pressure over vapour that follow from them, beside those
/// whose kind says so.
static OF_HEAT: &[&Quantity] = &[
    &MARGIN_IN,
    &MARGIN_OUT,
    &JUNCTION_MARGIN,
    &SUCTION_MARGIN,
    &SUCTION_HEAD,
    &SUCTION_HEAD_MARGIN,
    &VAPOUR_IN,
    &VAPOUR_OUT,
    &JUNCTION_VAPOUR,
    &CONTENTS,
    &GAS_VOLUME,
    &EXPANSION,
    &SWELLING,
    &LOST,
    &CAP,
    &ICE,
    &OPENING,
    &CORE_UA,
    &EXCHANGER_UA,
    &CRITICAL_SHARE,
    &PASSED_SHARE,
    &MANIFOLD_PRESSURE,
    &BOOST,
    &MANIFOLD_DENSITY,
    &CHARGE_CONDENSED,
    &STAGE_PRESSURE_IN,
    &STAGE_PRESSURE_OUT,
    &STAGE_CONDENSED,
    &EFFECTIVENESS,
];

/// Vapour pressures, and room over them.
static OF_VAPOUR: [&Quantity; 10] = [
    &BOIL_MARGIN,
    &VAPOUR_IN,
    &VAPOUR_OUT,
    &JUNCTION_VAPOUR,
    &MARGIN_IN,
    &MARGIN_OUT,
    &JUNCTION_MARGIN,
    &SUCTION_MARGIN,
    &SUCTION_HEAD,
    &SUCTION_HEAD_MARGIN,
];

impl Quantity {
    /// Whether it follows from a vapour pressure: there is none where no vapour pressure of the liquid is told.
    pub fn is_of_vapour(&self) -> bool {
        is_of_vapour(self.name)
    }

    /// Whether it says how warm something is, or what heat does: there is none where the temperatures
    /// are not known. Heat that comes in whatever the temperatures is known.
    pub fn is_of_heat(&self) -> bool {
        let by_kind =
            matches!(self.kind, Kind::Temperature | Kind::TemperatureDifference | Kind::HeatRate);
        let known = self == &HEAT_IN || self == &PUMP_HEAT;
        (by_kind && !known) || OF_HEAT.contains(&self)
    }
}

/// Whether the quantity of a circuit with this name follows from a vapour pressure.
pub fn is_of_vapour(name: &str) -> bool {
    OF_VAPOUR.iter().any(|quantity| quantity.name == name)
}

/// The quantities of a point at one end of a part.
#[derive(Debug)]
pub(crate) struct Ends {
    pub(crate) height: &'static Quantity,
    pub(crate) bore: &'static Quantity,
    pub(crate) velocity: &'static Quantity,
    pub(crate) total: &'static Quantity,
    /// Static pressure in the bore.
    pub(crate) of_bore: &'static Quantity,
    pub(crate) temperature: &'static Quantity,
    pub(crate) vapour: &'static Quantity,
    pub(crate) margin: &'static Quantity,
}

/// At the start of a part.
pub(crate) static AT_INLET: Ends = Ends {
    height: &HEIGHT_IN,
    bore: &BORE_IN,
    velocity: &VELOCITY_IN,
    total: &TOTAL_IN,
    of_bore: &PRESSURE_IN,
    temperature: &COOLANT_IN,
    vapour: &VAPOUR_IN,
    margin: &MARGIN_IN,
};

/// At the end of a part.
pub(crate) static AT_OUTLET: Ends = Ends {
    height: &HEIGHT_OUT,
    bore: &BORE_OUT,
    velocity: &VELOCITY_OUT,
    total: &TOTAL_OUT,
    of_bore: &PRESSURE_OUT,
    temperature: &COOLANT_OUT,
    vapour: &VAPOUR_OUT,
    margin: &MARGIN_OUT,
};
