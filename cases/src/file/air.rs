//! Cores, fans, and the way of the air through them.

use serde::Deserialize;

use super::CoolantMix;
use super::parts::{Resistance, WhenStopped};
use crate::quantity::{
    AirFlow, AirPressureDifference, Angle, Area, Conductance, Conductivity, Count, Current,
    Density, Flow, Fraction, HeatCapacity, Length, Number, Power, Temperature,
    TemperatureDifference, Time, Velocity, Voltage, Volume, flow_of_air, some_flow_of_air,
};
use crate::text::{Map, Spanned, written};

/// A radiator core.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Core {
    /// One rated point.
    pub rated: Option<Spanned<RatedCore>>,
    /// A table of rated points: each of its coolant flows at each of its air flows.
    pub table: Option<Spanned<Vec<TableRow>>>,
    /// Of what other core this is a piece; then its numbers are told there, and that one stands in no run and no lane.
    pub piece: Option<Spanned<Piece>>,
    /// Its flat tubes: with `fins`, a core known by its dimensions.
    pub tubes: Option<Spanned<CoreTubes>>,
    /// The fins between its tubes.
    pub fins: Option<Spanned<Fins>>,
    /// Factor on all conductances of its table, or of those that follow from its dimensions.
    pub conductance_scale: Option<Fraction>,
    /// Fall of coolant pressure, in the place of what follows from its dimensions.
    pub fall: Option<Resistance>,
    /// Fall of air pressure, in the place of what follows from its dimensions.
    pub air_fall: Option<AirFall>,
    /// Fall of air pressure over the air's flow or face velocity, in the place of `air_fall`.
    pub air_falls: Option<Spanned<AirFalls>>,
    /// Factor on all falls of `air_falls`, or of those that follow from its dimensions.
    pub air_falls_scale: Option<Fraction>,
    /// Coolant in it; follows from its dimensions where they are known.
    pub volume: Option<Volume>,
    /// Heat capacity of its metal; follows from its dimensions where they are known: tubes and fins.
    pub metal: Option<HeatCapacity>,
    /// Face area; follows from its dimensions where they are known.
    pub face: Option<Area>,
    /// Share of the heat resistance at the rating that lies in the coolant film.
    pub coolant_share: Option<Fraction>,
    /// How the air-side conductance goes with air flow.
    pub air_exponent: Option<Number>,
    /// Share of the face that is blocked.
    pub blocked: Option<Fraction>,
    /// Bore of its ports.
    pub bore: Option<Length>,
}

/// A piece of a core whose face does not meet the same air everywhere.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Piece {
    /// The whole core.
    pub of: Spanned<String>,
    /// Its share of the face; where left out, what the other pieces leave.
    pub share: Option<Fraction>,
    /// How the coolant meets the pieces; `SideBySide` where left out.
    pub cut: Option<Cut>,
}

/// How a core is cut into pieces.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum Cut {
    /// Each piece has tubes of its own: their coolant divides before them and meets behind them.
    SideBySide,
    /// All tubes go through every piece: the coolant goes through one after the other.
    InTurn,
}

/// The flat tubes of a core, side by side in one row or in several. They share the face with as many strips of fins and one more.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CoreTubes {
    /// Length of a tube between the tanks: the size of the face along the tubes.
    pub length: Length,
    /// Size of the face across the tubes, the fins outside of the last ones included.
    pub across: Length,
    /// How many stand side by side in one row.
    pub count: Option<Count>,
    /// Distance from tube to tube, in the place of `count`: as many are taken as come nearest to it.
    pub pitch: Option<Length>,
    /// Outside thickness of a tube, the narrow way, across the air.
    pub thickness: Option<Length>,
    /// Outside depth of a tube, the wide way, along the air.
    pub depth: Length,
    /// Thickness of the wall of a tube.
    pub wall: Option<Length>,
    /// What they are made of; aluminium where left out.
    pub of: Option<CoreMetal>,
    /// Conductivity, in the place of that of their metal.
    pub conductivity: Option<Conductivity>,
    /// How many rows the air meets one behind the other, four at most; one where left out. The coolant goes through all of them at
    /// once.
    pub rows: Option<Count>,
    /// How many times the coolant goes across the face, each time through an equal number of the tubes; once where left out.
    pub passes: Option<Count>,
    /// Roughness inside.
    pub roughness: Option<Length>,
    /// Loss coefficient of the ends of a tube, for each pass.
    pub loss: Option<Number>,
    /// Factor of turbulators on the film of the coolant; 1 where there are none. What they cost in pressure is not in it: tell `loss`,
    /// or a `fall` of the core.
    pub turbulators: Option<Number>,
    /// Coolant in both of its tanks together; of no account where `volume` of the core is told.
    pub tanks: Option<Volume>,
}

/// The fins between the tubes of a core. They are plain where nothing is said of louvres.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fins {
    /// Distance from fin to fin.
    pub pitch: Option<Length>,
    /// How many stand on a stretch of a tube, in the place of `pitch`.
    pub count: Option<Number>,
    /// That stretch; an inch where left out.
    pub over: Option<Length>,
    /// Height from tube to tube, in the place of the number of tubes: as many are taken as come nearest to it.
    pub height: Option<Length>,
    /// Depth along the air.
    pub depth: Option<Length>,
    /// Thickness.
    pub thickness: Option<Length>,
    /// What they are made of; aluminium where left out.
    pub of: Option<CoreMetal>,
    /// Conductivity, in the place of that of their metal.
    pub conductivity: Option<Conductivity>,
    /// Distance from louvre to louvre along the air.
    pub louvre_pitch: Option<Length>,
    /// Angle of the louvres to the air.
    pub louvre_angle: Option<Angle>,
    /// Length of the louvres, from tube towards tube.
    pub louvre_length: Option<Length>,
}

/// Metal of a core.
#[derive(Clone, Copy, Debug, Deserialize)]
pub enum CoreMetal {
    /// Rolled aluminium for brazing, 2730 kg/m³, 900 J/(kg·K).
    Aluminium,
    /// Copper, 8930 kg/m³, 390 J/(kg·K).
    Copper,
    /// Brass, 8530 kg/m³, 380 J/(kg·K).
    Brass,
}

/// A drop of air measured at one flow.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AirFall {
    /// Fall of pressure.
    pub fall: AirPressureDifference,
    /// Flow of that fall; a volume is counted at `density`.
    #[serde(deserialize_with = "flow_of_air")]
    pub at: Flow,
    /// How the fall at one density goes with the flow; where left out, 1.6 through a core, 2 through
    /// anything else, which is an assumption.
    pub exponent: Option<Number>,
    /// Density of the air of that fall; where left out, that of dry air at sea level, as warm as at the
    /// rating of the core, else at 25 °C.
    pub density: Option<Density>,
}

/// Drops of air measured at several flows, the least first.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AirFalls {
    /// Velocity of the air in front of the `face` of the core, and the fall there.
    pub by_velocity: Option<Spanned<Vec<(Velocity, AirPressureDifference)>>>,
    /// Flow of the air, counted at `density`, and the fall there; in the place of `by_velocity`.
    pub by_flow: Option<Spanned<Vec<(AirFlow, AirPressureDifference)>>>,
    /// Density of the air of these falls; where left out, that of dry air at sea level, as warm as at the
    /// rating of the core, else at 25 °C.
    pub density: Option<Density>,
}

/// One rated point of a core.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RatedCore {
    /// Heat given off.
    pub heat: Power,
    /// Coolant flow.
    pub coolant: Flow,
    /// Air flow.
    #[serde(deserialize_with = "flow_of_air")]
    pub air: Flow,
    /// Coolant inlet less air inlet temperature.
    pub difference: TemperatureDifference,
    /// Air temperature at the rating.
    pub air_in: Option<Temperature>,
    /// Its coolant; that of the core's circuit where left out.
    pub fluid: Option<Spanned<CoolantMix>>,
}

/// One rated point of a table.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename = "Rated", deny_unknown_fields)]
pub struct TableRow {
    /// Heat given off.
    pub heat: Option<Power>,
    /// Conductance UA between coolant and air, in the place of `heat`.
    pub conductance: Option<Conductance>,
    /// Coolant flow.
    pub coolant: Flow,
    /// Air flow.
    #[serde(default, deserialize_with = "some_flow_of_air")]
    pub air: Option<Flow>,
    /// Velocity of the air in front of the `face` of the core, in the place of `air`.
    pub velocity: Option<Velocity>,
    /// Coolant inlet less air inlet temperature; with `conductance` it may be left out, and 50 K are taken for the liquid.
    pub difference: Option<TemperatureDifference>,
    /// Air temperature at the rating.
    pub air_in: Option<Temperature>,
    /// Its coolant; that of the core's circuit where left out.
    pub fluid: Option<Spanned<CoolantMix>>,
}

/// The way of the air.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AirPath {
    /// The cores, from front to back, where all air goes through all of them.
    #[serde(default)]
    pub cores: Vec<Spanned<String>>,
    /// Ways side by side for the air, in the place of `cores`: they begin in one space behind the grille and end in one before
    /// the fans.
    #[serde(default)]
    pub lanes: Map<Lane>,
    /// The fans, side by side behind the cores but where they say otherwise.
    #[serde(default)]
    pub fans: Map<Fan>,
    /// Fall of grille, shroud and ducts; all of it is met by the air as it enters.
    pub loss: Option<AirFall>,
    /// Share of the dynamic pressure of the road speed that stands in front.
    pub ram: Option<Fraction>,
    /// Share of the air in front that has been through before and comes round again.
    pub recirculation: Option<Fraction>,
}

/// One of the ways side by side of an air path.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lane {
    /// The cores in it, from front to back.
    #[serde(default)]
    pub cores: Vec<Spanned<String>>,
    /// Fall of a duct of its own, met by the air as it enters.
    pub loss: Option<AirFall>,
    /// Area of an opening past the cores, in the place of `loss`.
    pub gap: Option<Area>,
    /// Loss coefficient of the opening, on the velocity in its area.
    pub gap_loss: Option<Number>,
}

/// A fan, or several equal ones side by side.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fan {
    /// Its curve: a name under `fan_curves`.
    pub curve: Option<Spanned<String>>,
    /// Rise of static pressure without flow, where only the label is known.
    pub shut_off: Option<AirPressureDifference>,
    /// Flow without rise of pressure, where only the label is known.
    pub free_flow: Option<AirFlow>,
    /// How many.
    pub count: Option<Count>,
    /// Speed over the speed of the curve; 0 is stopped.
    pub speed: Option<Fraction>,
    /// The supply that feeds it, by its name under `supplies`.
    pub supply: Option<Spanned<String>>,
    /// Supply voltage at which it turns at the speed of its curve: below that it slows with the
    /// voltage. A `speed` beyond 100 % is that of another motor, which reaches it at this voltage. That of its curve where
    /// left out.
    pub rated_voltage: Option<Voltage>,
    /// Whether a controller holds its speed at any voltage.
    pub regulated: Option<bool>,
    /// How it stands when stopped: `Freewheeling`, which counts where left out, or `Seized`.
    pub when_stopped: Option<WhenStopped>,
    /// Current of one fan at full speed, at its rated voltage.
    pub current: Option<Current>,
    /// The lane that it stands in, where it draws or pushes the air of that one alone.
    pub lane: Option<Spanned<String>>,
    /// Whether it stands in front of the cores and pushes.
    pub pushes: Option<bool>,
    /// Switches it by a coolant temperature or by a gauge; always on where left out.
    pub switch: Option<SwitchSpec>,
    /// How long it runs on, commanded as before, after its switch or a phase has stopped it; not at all where left out.
    pub run_on: Option<Time>,
    /// Its speed follows a temperature.
    pub follows: Option<Follows>,
    /// Time from rest to the speed of its curve; at once where left out, 2 s where its speed follows a temperature.
    pub ramp: Option<Time>,
}

/// A speed that follows a temperature.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Follows {
    /// What it feels: a part whose outlet temperature, `circuit/run/part`, or a thermometer, `gauges/name`.
    pub feels: Spanned<String>,
    /// Temperatures, rising, and the share of the speed commanded at each: straight lines between, the ends' beyond. It
    /// rises for a fan or pump that works harder in the heat, and falls for one that spares itself.
    pub shares: Spanned<Vec<(Temperature, Fraction)>>,
}

/// A switch with hysteresis.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename = "Switch", deny_unknown_fields)]
pub struct SwitchSpec {
    /// What it feels: a part whose outlet temperature, `circuit/run/part`, or what a gauge shows, `gauges/name`.
    pub feels: Spanned<String>,
    /// It goes on when that rises to this. One by the pressure or flow of a gauge may have this below `off`: then it
    /// goes on when that falls to this.
    #[serde(deserialize_with = "written")]
    pub on: Spanned<String>,
    /// It goes off when that has come back to this.
    #[serde(deserialize_with = "written")]
    pub off: Spanned<String>,
}

/// A fan's curve at one speed.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FanCurve {
    /// Volume flow and rise of static pressure.
    pub points: Spanned<Vec<(AirFlow, AirPressureDifference)>>,
    /// Voltage at which it was measured.
    pub voltage: Option<Voltage>,
    /// Air density of the curve; 1.2 kg/m³ where left out.
    pub density: Option<Density>,
    /// Says that the pressure really rises with flow somewhere.
    pub rising: Option<bool>,
}
