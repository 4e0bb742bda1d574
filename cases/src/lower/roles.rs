//! Who may write the number at an address.

/// What a number tells, and so who may write it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// How things are set: anything may write it, a phase too.
    Setting,
    /// How much there is, or how it began: a phase that wrote it would make coolant or heat out of
    /// nothing.
    Store,
    /// How many there are, or how they are put together: writing it makes the model anew.
    Structure,
    /// It follows from a route, and only from that.
    OfRoute,
    /// A log drives it: whatever else is written is overridden.
    Driven,
}

impl Role {
    /// Why a phase must not write it, where it must not.
    pub fn refusal(self) -> Option<&'static str> {
        match self {
            Self::Setting => None,
            Self::Store => {
                Some("it tells how much there is or how it began: that does not change on the way")
            }
            Self::Structure => Some("it tells how the circuit is put together"),
            Self::OfRoute => Some("it follows from the route of this hose"),
            Self::Driven => Some("the log of the duty drives it, whatever is written"),
        }
    }
}

/// The role of a number by the name in its address.
pub(super) fn role_of(address: &str) -> Role {
    let (path, name) = address.rsplit_once(':').unwrap_or((address, ""));
    let in_circuit = !["site", "bay", "duty", "supply"].contains(&path)
        && ![
            "engines/",
            "coolers/",
            "exchangers/",
            "cores/",
            "air_paths/",
            "charge_air/",
            "gauges/",
            "supplies/",
            "liquids/",
        ]
        .iter()
        .any(|group| path.starts_with(group));
    match name {
        "volume" | "metal" | "start" | "filled_at" | "fill_pressure" | "filled_altitude"
        | "ice" | "ice_piece" | "glycol" | "bore" | "spacing" | "tube_count" | "tube_width"
        | "tube_height" | "tube_length" | "length" | "from" | "to" | "wall_area"
        | "wall_thickness" | "wall_peak" | "tube_across" | "tube_thickness" | "tube_depth"
        | "tube_wall" | "tanks" | "fin_pitch" | "fin_count" | "fin_over" | "fin_depth"
        | "fin_thickness" | "louvre_pitch" | "louvre_angle" | "louvre_length" => Role::Store,
        "air" | "level" if in_circuit => Role::Store,
        "rise" => Role::Structure,
        _ => Role::Setting,
    }
}
