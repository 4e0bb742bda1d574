//! The coolant sheet.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::CoolantSpec;
use coolwright_models::fluids::Base;

use crate::answer::{Lay, Section, Sentence, Table, Value};
use crate::say;
use crate::study::sheets::CoolantOf;

/// How much coolant each circuit takes, how it is mixed, how it stands.
pub fn coolant(ready: &Ready, all: &[CoolantOf]) -> Vec<Section> {
    let mut sections = Vec::new();
    for of in all {
        sections.push(mix(ready, of));
        sections.push(parts(ready, of));
    }
    sections
}

/// What goes into a circuit, and in which shares.
fn mixed(coolant: &CoolantSpec, of: &CoolantOf) -> Sentence {
    let litres = |m3: f64| Value::of(Kind::Volume, m3);
    let base = match coolant {
        CoolantSpec::Mixture { base, .. } => base,
        CoolantSpec::Table(table) => {
            let all = litres(of.volume_m3);
            return say!("{all} of `{liquid}`", all = all, liquid = &table.name);
        }
    };
    let concentrate = match base {
        Base::Water => None,
        Base::EthyleneGlycol => Some("ethylene glycol, which is poisonous"),
        Base::PropyleneGlycol => Some("propylene glycol"),
    };
    match concentrate.filter(|_| of.share > 0.0) {
        None => say!("{all} of water with an inhibitor", all = litres(of.volume_m3)),
        Some(what) => say!(
            "{all}: {concentrate} of {what}, {water} of water ({share} by volume; volumes before mixing, which shrinks a little)",
            all = litres(of.volume_m3),
            concentrate = litres(of.share * of.volume_m3),
            what = what,
            water = litres((1.0 - of.share) * of.volume_m3),
            share = Value::of(Kind::Fraction, of.share)
        ),
    }
}

fn mix(ready: &Ready, of: &CoolantOf) -> Section {
    let circuit = &ready.model.circuits[of.circuit];
    let litres = |m3: f64| Value::of(Kind::Volume, m3);
    let k = |si: f64| Value::of(Kind::Temperature, si);
    if of.open {
        let title = say!("COOLANT of `{circuit}`", circuit = &circuit.name);
        return Section::new("coolant", title).of(&circuit.name).say(
            "It is fed from outside and flows out again: no additive and no glycol may go in, and its water goes where \
             it is let out.",
            Lay::Paragraph,
        );
    }
    let mix = mixed(&circuit.coolant, of);
    let title = say!("COOLANT of `{circuit}`", circuit = &circuit.name);
    let mut section = Section::new("coolant", title).of(&circuit.name).say(mix, Lay::Inset).say(
        say!(
            "{mass}, filled at {filled}; freezes at {freezes}",
            mass = Value::of(Kind::Mass, of.mass_kg),
            filled = k(of.filled_k),
            freezes = k(of.freezes_k)
        ),
        Lay::Inset,
    );
    if of.ice_kg > 0.0 {
        let ice = Value::of(Kind::Mass, of.ice_kg);
        section =
            section.say(say!("and {ice} of ice, which counts in the marks", ice = ice), Lay::Inset);
        if let Some(thinned) = of.thinned_k {
            let thinned = say!("freezes at {at} when the ice has melted into it", at = k(thinned));
            section = section.say(thinned, Lay::Inset);
        }
    }
    section = match of.boils_k {
        [Some(open), Some(capped)] => section.say(
            say!(
                "boils at {open} in the open at the site, {capped} under its cap",
                open = k(open),
                capped = k(capped)
            ),
            Lay::Inset,
        ),
        [Some(open), None] => {
            section.say(say!("boils at {open} in the open at the site", open = k(open)), Lay::Inset)
        }
        _ => section,
    };
    if let Some(tank) = &of.contents {
        let level = |m3: f64| {
            say!(
                "{volume} ({share} of the tank)",
                volume = litres(m3),
                share = Value::percent(m3 / tank.tank_m3, 0)
            )
        };
        section = section.say(
            say!(
                "cold mark on `{tank}`: {cold} at {filled}",
                tank = &tank.tank,
                cold = level(tank.cold_m3),
                filled = k(of.filled_k)
            ),
            Lay::Inset,
        );
        if let Some((hot, at)) = tank.hot {
            section = section.say(
                say!("level with all of it at {at}: {hot}", hot = level(hot), at = k(at)),
                Lay::Inset,
            );
        }
    }
    section = match of.lifts {
        Some((opens, Some(at))) => section.say(
            say!(
                "the cap opens at {opens}: at rest when all of the circuit is at {at}",
                opens = Value::of(Kind::GaugePressure, opens),
                at = k(at)
            ),
            Lay::Inset,
        ),
        Some((opens, None)) => section.say(
            say!(
                "the cap opens at {opens}, which the circuit at rest does not reach by warming alone",
                opens = Value::of(Kind::GaugePressure, opens)
            ),
            Lay::Inset,
        ),
        None => section,
    };
    section
        .say("Never open a cap on a hot circuit. Catch every drop that is let out.", Lay::Paragraph)
}

fn parts(ready: &Ready, of: &CoolantOf) -> Section {
    let mut table = Table::new()
        .words("part", "part")
        .numbers("mass", "coolant", Kind::Mass)
        .numbers("volume", "volume", Kind::Volume);
    for (path, kg) in &of.parts {
        let m3 = kg / of.mass_kg * of.volume_m3;
        table.row(
            path,
            [path.into(), Value::of(Kind::Mass, *kg).into(), Value::of(Kind::Volume, m3).into()],
        );
    }
    let name = &ready.model.circuits[of.circuit].name;
    Section::new("coolant_parts", say!("Where the coolant of `{circuit}` is", circuit = name))
        .of(name)
        .table(table)
}
