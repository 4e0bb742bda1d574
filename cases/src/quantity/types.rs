//! One type for each kind of quantity.

use serde::{Deserialize, Deserializer};

use coolwright_models::kind::Kind;

use super::kind::InWords;
use super::parse::{AIR_FLOW, FLOW};
use crate::text::{Span, located};

macro_rules! quantities {
    ($($name:ident, $doc:literal;)*) => {
        $(
            #[doc = $doc]
            ///
            /// Read from a text with a unit. It holds the value in SI units and its place.
            #[derive(Clone, Copy, Debug, PartialEq)]
            pub struct $name {
                si: f64,
                span: Span,
            }

            impl $name {
                /// Its kind.
                pub const KIND: Kind = Kind::$name;

                /// A value in SI units that stands at a place.
                pub const fn new(si: f64, span: Span) -> Self {
                    Self { si, span }
                }

                /// The value in SI units.
                pub const fn si(self) -> f64 {
                    self.si
                }

                /// Where it was written.
                pub const fn span(self) -> Span {
                    self.span
                }
            }

            impl<'de> Deserialize<'de> for $name {
                fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                    let kind = Kind::$name;
                    let (si, span, _) = located(marker(kind), kind.name(), deserializer)?;
                    Ok(Self { si, span })
                }
            }
        )*

        /// The name under which a quantity asks the reader for its value.
        pub(super) fn marker(kind: Kind) -> &'static str {
            match kind {
                $(Kind::$name => concat!("$coolwright::quantity::", stringify!($name)),)*
            }
        }
    };
}

quantities! {
    Length, "A length in m.";
    Distance, "A long length, such as an altitude, in m.";
    Area, "An area in m².";
    Volume, "A volume in m³.";
    Mass, "A mass in kg.";
    Temperature, "A temperature on the absolute scale in K.";
    TemperatureDifference, "A difference of two temperatures in K.";
    PressureDifference, "A difference of two pressures in Pa.";
    AirPressureDifference, "A difference of two pressures in air in Pa.";
    GaugePressure, "A pressure above the surrounding air in Pa.";
    AbsolutePressure, "A pressure above vacuum in Pa.";
    VolumeFlow, "A volume flow of liquid in m³/s.";
    AirFlow, "A volume flow of air in m³/s.";
    MassFlow, "A mass flow in kg/s.";
    Power, "A mechanical power, or a power of any form, in W.";
    ElectricPower, "An electric power in W.";
    HeatRate, "A flow of heat in W.";
    Speed, "The speed of a vehicle in m/s.";
    Velocity, "The velocity of a fluid in m/s.";
    RotationalSpeed, "A rotational speed in rad/s.";
    Angle, "An angle in rad.";
    Time, "A time in s.";
    Fraction, "A part of a whole, written in percent or as a number.";
    Density, "A density in kg/m³.";
    HeatCapacity, "The heat capacity of a whole body in J/K.";
    SpecificHeat, "A heat capacity per mass in J/(kg·K).";
    Conductance, "A thermal conductance in W/K.";
    FilmCoefficient, "The heat transfer coefficient of a surface in W/(m²·K).";
    Conductivity, "A thermal conductivity in W/(m·K).";
    Voltage, "A voltage in V.";
    Current, "An electric current in A.";
    ElectricResistance, "An electric resistance in Ω.";
    Energy, "An energy in J.";
    HeatPerMass, "A heat per mass in J/kg.";
    Viscosity, "A dynamic viscosity in Pa·s.";
    KinematicViscosity, "A kinematic viscosity in m²/s.";
    Consumption, "A fuel mass per energy in kg/J.";
    Number, "A number without a unit, with or without quotes.";
    Count, "A positive whole number, with or without quotes.";
}

impl Count {
    /// The count as a whole number; one where the text was faulty.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "reading admits whole numbers from 1 to 2^32 - 1 only, and NaN becomes 0"
    )]
    pub fn get(self) -> u32 {
        (self.si as u32).max(1)
    }
}

/// A flow, given as a volume or as a mass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Flow {
    /// In m³/s.
    Volume(VolumeFlow),
    /// In kg/s.
    Mass(MassFlow),
}

impl Flow {
    /// Where it was written.
    pub const fn span(self) -> Span {
        match self {
            Self::Volume(flow) => flow.span(),
            Self::Mass(flow) => flow.span(),
        }
    }

    /// The mass flow in kg/s of a fluid of this density.
    pub fn mass_flow_kg_per_s(self, density_kg_per_m3: f64) -> f64 {
        match self {
            Self::Volume(flow) => flow.si() * density_kg_per_m3,
            Self::Mass(flow) => flow.si(),
        }
    }
}

impl<'de> Deserialize<'de> for Flow {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        flow_as(FLOW, deserializer)
    }
}

/// Reads a flow of air, given as a volume or as a mass.
///
/// # Errors
/// As a flow of liquid.
pub fn flow_of_air<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Flow, D::Error> {
    flow_as(AIR_FLOW, deserializer)
}

/// The same for one that may be left out.
///
/// # Errors
/// As a flow of liquid.
pub fn some_flow_of_air<'de, D: Deserializer<'de>>(
    deserializer: D,
) -> Result<Option<Flow>, D::Error> {
    flow_of_air(deserializer).map(Some)
}

fn flow_as<'de, D: Deserializer<'de>>(
    marker: &'static str,
    deserializer: D,
) -> Result<Flow, D::Error> {
    let (si, span, mass) = located(marker, "a volume flow or a mass flow", deserializer)?;
    Ok(if mass {
        Flow::Mass(MassFlow::new(si, span))
    } else {
        Flow::Volume(VolumeFlow::new(si, span))
    })
}
