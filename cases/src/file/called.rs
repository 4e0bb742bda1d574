//! What people call things that have another name here, and where those stand.
//!
//! Words are compared without regard to letter case, `_` and `-`.

/// What to write for a name that one of the file's enums does not know: `kind` is the name of its type.
pub(crate) fn kind(kind: &str, word: &str) -> Option<String> {
    let word = plain(word);
    let table: &[(&[&str], &str)] = match kind {
        "PartSpec" => PARTS,
        "Junction" => JUNCTIONS,
        "CoolantMix" => COOLANTS,
        "Metal" => METALS,
        _ => return None,
    };
    look_up(table, &word).or_else(|| {
        let table =
            if kind == "PartSpec" { JUNCTIONS_HERE } else { return part_here(kind, &word) };
        look_up(table, &word)
    })
}

/// A kind of part where a junction belongs.
fn part_here(kind: &str, word: &str) -> Option<String> {
    const KNOWN: [&str; 15] = [
        "Hose",
        "Reducer",
        "Meter",
        "Filter",
        "Coupling",
        "Resistance",
        "Pump",
        "CheckValve",
        "Restrictor",
        "Throttle",
        "Thermostat",
        "Barb",
        "Pass",
        "Jacket",
        "CoreSide",
    ];
    let part = KNOWN.iter().find(|known| plain(known) == word).filter(|_| kind == "Junction")?;
    Some(format!("`{part}` is a part: it stands among the `parts` of a run, between two junctions"))
}

/// What to write for a field that a block with these fields does not know.
pub(crate) fn field(word: &str, known: &[&str]) -> Option<String> {
    let word = plain(word);
    let meant = FIELDS.iter().filter(|(words, _)| words.contains(&word.as_str()));
    let field = meant.map(|(_, field)| *field).find(|field| known.contains(field));
    field.map(|field| format!("here it is called `{field}`"))
}

/// The same of what only one block is often given, whatever else it may be like.
pub(crate) fn field_of(block: &str, word: &str) -> Option<String> {
    let table = match block {
        "Case" => CASE,
        "Thermostat" => THERMOSTAT,
        "CheckValve" => CHECK_VALVE,
        "Pass" | "Jacket" | "CoreSide" => WAYS,
        _ => return None,
    };
    look_up(table, &plain(word))
}

fn look_up(table: &[(&[&str], &str)], word: &str) -> Option<String> {
    table.iter().find(|(words, _)| words.contains(&word)).map(|(_, advice)| (*advice).to_owned())
}

/// What a plain number stands for where one of an enum's names belongs: the name, or what to write instead of it.
pub(crate) fn counted(kind: &str, number: &str) -> Option<Result<&'static str, String>> {
    if kind != "PumpCount" {
        return None;
    }
    let count = number.trim().parse::<u32>().ok()?;
    Some(match count {
        1 => Ok("One"),
        _ => Err(format!(
            "write `Series({count})` for pumps one behind the other, or `Parallel({count})` for pumps side by side"
        )),
    })
}

/// Small letters and digits alone.
fn plain(word: &str) -> String {
    word.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

type Table = &'static [(&'static [&'static str], &'static str)];

const PARTS: Table = &[
    (
        &["pipe", "tube", "line", "hardline", "tubing", "piping", "hoses", "duct", "flex"],
        "a pipe or tube is a `Hose` here: `Hose(length: …, bore: …, roughness: …)`",
    ),
    (
        &["elbow", "bend", "ell", "elbow90", "elbow45", "sweep", "uturn"],
        "bends belong to a hose: `Hose(length: …, bends: [Bend(angle: \"90°\", radius: …)])`",
    ),
    (
        &[
            "ballvalve",
            "gatevalve",
            "butterflyvalve",
            "globevalve",
            "valve",
            "shutoff",
            "shutoffvalve",
            "needlevalve",
            "controlvalve",
        ],
        "a valve is a `Throttle` here: its fall when full open, and `open` from 0 to 100 %",
    ),
    (
        &["nonreturnvalve", "oneway", "onewayvalve", "backflowpreventer"],
        "a valve that lets flow one way is a `CheckValve` here",
    ),
    (
        &["radiator", "heatercore", "matrix", "core", "exchangertoair"],
        "describe it under `cores` of the case; in the run write `CoreSide(core: \"its name\")`",
    ),
    (
        &[
            "intercooler",
            "aftercooler",
            "chargecooler",
            "chargeaircooler",
            "cooler",
            "coldplate",
            "oilcooler",
            "heatexchanger",
            "exchanger",
            "inverter",
            "motor",
            "battery",
            "chiller",
            "heater",
            "turbo",
        ],
        "describe it under `coolers` of the case; in the run write `Pass(cooler: \"its name\")`",
    ),
    (
        &["engine", "block", "engineblock", "head", "cylinderhead", "jacket", "waterjacket"],
        "describe it under `engines` of the case; in the run write `Jacket(engine: \"its name\")`",
    ),
    (
        &[
            "reservoir",
            "expansiontank",
            "surgetank",
            "headertank",
            "swirlpot",
            "icetank",
            "icebox",
            "degastank",
            "bottle",
            "overflow",
        ],
        "that is a `Tank` here: `Tank(volume: …, cap: Cap(opens: …))`, with `ice` for an ice tank",
    ),
    (
        &["orifice", "orificeplate", "restriction", "jet", "nozzle"],
        "a hole of its own bore is a `Restrictor` here",
    ),
    (&["strainer", "screen"], "a strainer is a `Filter` here, by its measured fall"),
    (&["flowmeter", "flowsensor"], "a flow meter is a `Meter` here"),
    (
        &["quickdisconnect", "quickcoupling", "quickrelease", "qd", "drybreak", "disconnect"],
        "a quick coupling is a `Coupling` here, by its measured fall",
    ),
    (&["waterpump", "electricpump", "boosterpump"], "it is a `Pump` here"),
    (
        &["adapter", "adaptor", "fitting", "union", "connector", "nipple", "bulkhead"],
        "a fitting narrower than its hose is a `Barb`, one between two bores a `Reducer`, one known by its fall a \
         `Resistance`; a change of bore between parts has its loss by itself",
    ),
    (
        &["diffuser", "expander", "expansion", "contraction", "cone", "transition"],
        "a cone between two bores is a `Reducer` here; a sudden change of bore has its loss by itself",
    ),
    (
        &["fan", "fans"],
        "fans stand in an air path: `air_paths: { \"front\": AirPath(cores: […], fans: { … }) }`",
    ),
    (
        &["gauge", "sensor"],
        "gauges stand under `gauges` of the case, with the place where they sit",
    ),
    (&["cap", "pressurecap"], "a cap belongs to a tank: `Tank(volume: …, cap: Cap(opens: …))`"),
    (
        &["through"],
        "the way through a cooler is a `Pass(cooler: …)`, through an engine a `Jacket(engine: …)`, through a core a \
         `CoreSide(core: …)`",
    ),
    (&["minorloss", "loss", "drop", "pressuredrop"], "a measured fall is a `Resistance` here"),
];

const JUNCTIONS_HERE: Table = &[
    (
        &["tee", "wye", "y", "cross", "splitter", "joint", "junction"],
        "runs meet at junctions: end this run there (`to: \"name\"`), and describe it under `junctions` of the \
         circuit as `Tee(straight: (…, …), side: …)`",
    ),
    (
        &["header", "manifold", "rail", "collector", "spreader", "distributor"],
        "runs meet at junctions: end this run there (`to: \"name\"`), and describe it under `junctions` of the \
         circuit as `Header(inlet: …, outlets: […], bore: …)`",
    ),
    (
        &["open", "supply", "drain", "outlet", "inlet", "source", "sink"],
        "an open end is a junction: `Open(pressure: …)` or `Open(flow: …)` under `junctions` of the circuit",
    ),
];

const JUNCTIONS: Table = &[
    (
        &["wye", "y", "splitter"],
        "write `Tee(straight: (…, …), side: …, angle: …)`: its side may stand at any angle",
    ),
    (&["cross"], "write two tees, one behind the other"),
    (
        &["manifold", "rail", "collector", "spreader", "distributor", "plenum"],
        "it is a `Header` here: `Header(inlet: …, outlets: […], bore: …)` or its mirror",
    ),
    (
        &[
            "reservoir",
            "expansiontank",
            "surgetank",
            "headertank",
            "swirlpot",
            "degastank",
            "bottle",
        ],
        "it is a `Tank` here",
    ),
    (
        &["supply", "drain", "outlet", "inlet", "source", "sink"],
        "it is an `Open` end here, held at a pressure or a flow",
    ),
];

const COOLANTS: Table = &[
    (
        &["glycol", "antifreeze", "coolant", "eg", "meg", "ethylene", "monoethyleneglycol"],
        "write `EthyleneGlycol(by_volume: \"50 %\")` or `PropyleneGlycol(by_volume: \"50 %\")`",
    ),
    (&["pg", "mpg", "propylene"], "write `PropyleneGlycol(by_volume: \"50 %\")`"),
    (
        &["oil", "methanol", "ethanol", "alcohol", "brine"],
        "water and mixtures with glycol are all that is modelled",
    ),
];

const METALS: Table = &[
    (&["aluminum", "alu", "al", "alloy"], "write `Aluminium(\"5 kg\")`"),
    (
        &["steel", "castiron", "stainless", "stainlesssteel"],
        "write `Iron(…)`: iron and steel count alike",
    ),
    (&["brass", "bronze", "titanium", "magnesium"], "write its heat capacity: `Capacity(…)`"),
];

const CASE: Table = &[
    (&["radiators", "radiator", "core"], "radiators stand under `cores`"),
    (
        &[
            "intercoolers",
            "intercooler",
            "heatexchangers",
            "exchangers",
            "coldplates",
            "motors",
            "inverters",
            "batteries",
            "cooler",
        ],
        "what coolant cools stands under `coolers`",
    ),
    (
        &["pumps", "pump", "hoses", "thermostats", "tanks"],
        "parts stand in the `parts` of a run of a circuit",
    ),
    (
        &["fans", "fan"],
        "fans stand in an air path: `air_paths: { \"front\": AirPath(cores: […], fans: { … }) }`",
    ),
    (&["fluids", "coolant", "fluid"], "each circuit has its own `coolant`"),
    (&["phases", "cycle"], "phases stand in `duty: Duty(phases: { … })`"),
    (
        &["ambient", "environment", "weather", "air"],
        "the air stands in `site: Site(air: …, altitude: …)`",
    ),
    (&["engine"], "here it is called `engines`: a map of names"),
    (&["junctions", "runs"], "runs and junctions stand in a circuit"),
    (&["circuit", "loops", "loop"], "here it is called `circuits`: a map of names"),
];

const THERMOSTAT: Table = &[
    (
        &[
            "openat",
            "opensat",
            "temperature",
            "starts",
            "startsat",
            "startstoopen",
            "setpoint",
            "begins",
            "rating",
        ],
        "opens",
    ),
    (
        &["full", "fullopen", "fullyopen", "fullat", "fullopenat"],
        "`range` says by how much warmer than `opens` it is full open",
    ),
    (
        &["senses", "feels", "sensor", "at_junction"],
        "it feels what meets at the junction next to it",
    ),
];

const CHECK_VALVE: Table = &[(
    &[
        "reversed",
        "reverse",
        "backwards",
        "turned",
        "flipped",
        "direction",
        "flow",
        "way",
        "opens",
        "from",
        "to",
        "side",
    ],
    "a check valve opens along its run, `from` to `to` (along the parts as written where a run has no ends): it is \
     turned by turning the run",
)];

/// What another kind of way through something names.
const WAYS: Table = &[
    (&["cooler"], "the way through a cooler is a `Pass(cooler: …)`"),
    (&["engine"], "the way through an engine is a `Jacket(engine: …)`"),
    (&["core", "radiator"], "the way through a core is a `CoreSide(core: …)`"),
];

/// What people call a field, and its name here, where the block has it.
const FIELDS: Table = &[
    (&["diameter", "dia", "id", "insidediameter", "innerdiameter", "size", "d"], "bore"),
    (&["elbows", "bend"], "bends"),
    (&["height", "elevation", "lift", "dz"], "rise"),
    (&["k", "zeta", "losscoefficient"], "loss"),
    (&["rough", "eps", "epsilon"], "roughness"),
    (
        &[
            "head",
            "maxhead",
            "maxpressure",
            "deadhead",
            "shutoffhead",
            "shutoffpressure",
            "rise",
            "pressure",
        ],
        "shut_off",
    ),
    (&["maxflow", "flow", "openflow", "flowrate"], "free_flow"),
    (&["rpm", "ratedspeed"], "at_speed"),
    (&["drop", "pressuredrop", "dp", "deltap", "loss", "pressure"], "fall"),
    (&["flow", "flowrate", "q"], "at"),
    (&["capacity", "size", "room"], "volume"),
    (&["headspace", "airspace", "gas"], "air"),
    (&["pressure", "rating", "setting", "opensat"], "opens"),
    (&["duration", "length", "seconds", "t"], "time"),
    (&["power", "heatload", "load", "rejection", "q"], "heat"),
    (&["fraction", "heatshare", "percent"], "share"),
    (&["below", "maximum", "atmost", "upper"], "max"),
    (&["above", "minimum", "atleast", "lower"], "min"),
    (&["max", "maximum", "atmost"], "below"),
    (&["min", "minimum", "atleast"], "above"),
    (&["result", "on", "what", "address"], "of"),
    (&["mass", "weight", "material"], "metal"),
    (&["itd", "etd", "deltat", "dt", "temperaturedifference"], "difference"),
    (&["airflow"], "air"),
    (&["coolantflow", "waterflow", "water"], "coolant"),
    (&["airtemperature", "ambient", "temperature"], "air_in"),
    (&["number", "quantity", "qty", "n"], "count"),
    (&["turnson", "onat"], "on"),
    (&["turnsoff", "offat"], "off"),
    (&["at", "sensor", "senses", "part"], "feels"),
    (&["coeffs", "coefs", "coeff", "coef", "c"], "coefficients"),
    (&["temperature", "starttemperature", "initial"], "start"),
    (&["fluid", "mix"], "coolant"),
    (&["coolant", "liquid"], "fluid"),
    (&["volts", "v"], "voltage"),
    (&["amps", "amperes"], "current"),
    (&["type"], "reads"),
    (&["place", "position", "location"], "at"),
    (&["temperature", "ambient"], "air"),
    (&["elevation", "height"], "altitude"),
    (&["ratio", "concentration", "percent", "glycol"], "by_volume"),
    (&["bounds", "branch"], "side"),
    (&["changes", "set", "edits"], "change"),
    (&["fansspeed", "fanspeed", "fan"], "fans"),
    (&["pumpspeed", "pump"], "pumps"),
    (&["rpm", "enginerpm"], "engine_speed"),
    (&["speed", "vehiclespeed"], "road_speed"),
    (&["maxpower", "fullpower", "horsepower", "hp"], "power"),
    (&["repeats", "rounds", "times", "laps"], "repeat"),
];

/// How a field, or a name in front of brackets, is written that is easily taken for something else.
pub(crate) fn form(field: &str) -> Option<String> {
    let form = match field {
        "Series" | "Parallel" => {
            "write `count: Series(2)` or `count: Parallel(2)`; whether each of several in parallel has a check valve is \
             a field of the pump, `check_valves: true`"
        }
        "npsh_required" => {
            "`npsh_required` lists a height for each point of the curve: `[\"{Length 2 m}\", …]`; with flows of \
             their own, `npsh_required_at: [(\"{one VolumeFlow}\", \"{Length 2 m}\"), …]`"
        }
        "npsh_required_at" => {
            "`npsh_required_at` lists pairs of flow and height: `[(\"{one VolumeFlow}\", \"{Length 2 m}\"), …]`"
        }
        _ => return None,
    };
    Some(form.to_owned())
}
