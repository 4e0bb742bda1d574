//! A small invented case, to try the text layer without the real case types.
#![allow(unreachable_pub, reason = "shared by several test binaries")]
#![allow(dead_code, reason = "each test binary uses a part of it")]

use coolwright_cases::quantity::{
    AbsolutePressure, Count, Flow, Fraction, GaugePressure, Length, Mass, Number, Temperature,
    TemperatureDifference, Volume,
};
use coolwright_cases::text::{Map, Raw, Spanned};
use serde::Deserialize;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Case {
    pub title: String,
    pub runs: Map<Run>,
    #[serde(default)]
    pub air: Option<Temperature>,
    pub cap: Option<GaugePressure>,
    pub barometer: Option<AbsolutePressure>,
    pub rise: Option<TemperatureDifference>,
    pub humidity: Option<Fraction>,
    #[serde(default)]
    pub changes: Vec<(Spanned<String>, Raw)>,
}

#[derive(Debug, Deserialize)]
pub struct Run {
    pub from: Spanned<String>,
    pub to: Spanned<String>,
    pub bore: Length,
    pub flow: Option<Flow>,
    #[serde(default)]
    pub parts: Map<Part>,
}

#[derive(Debug, Deserialize)]
pub enum Part {
    Tank(Tank),
    Hose {
        length: Length,
        #[serde(default)]
        bends: Vec<Bend>,
        #[serde(default)]
        route: Vec<(Length, Length, Length)>,
        loss: Option<Number>,
    },
    Pump {
        curve: String,
        #[serde(default)]
        count: Arrangement,
        check_valves: Option<bool>,
        speed: Option<f64>,
    },
    Plug,
}

#[derive(Debug, Deserialize)]
pub struct Tank {
    pub volume: Volume,
    pub ice: Option<Mass>,
    pub stage: Option<u8>,
}

#[derive(Debug, Deserialize)]
pub struct Bend {
    pub angle: coolwright_cases::quantity::Angle,
    pub radius: Length,
    pub count: Option<Count>,
}

#[derive(Debug, Default, Deserialize, PartialEq)]
pub enum Arrangement {
    #[default]
    Single,
    Series(u32),
    Parallel(u32),
}
